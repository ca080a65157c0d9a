//go:build !nodesk

package recordings

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// seat opens a page over a recording with its pass, with devices to play and all that
// is said written down.
func seat(t *testing.T, rec *port.Recording, open func(p *page) screen.Scene) (*desktest.Seat, func() string) {
	t.Helper()
	s := desktest.NewSeat(t, nil)
	s.App.Cfg.Pages = desktest.Pages()
	s.App.Cfg.OpenRecording = measured
	said := desktest.Hearing(s.Stage)
	p := New("")
	s.App.Scenes.Push(s.App, p)
	p.take(rec)
	s.App.Scenes.Push(s.App, open(p))
	*said = nil
	s.Update(1)
	return s, func() string { all := strings.Join(*said, " "); *said = nil; return all }
}

// By keys: left and right go two seconds on and say how it stood, Enter plays from a
// second before, and again stops; Escape stops first, then goes back.
func TestHeardByKeys(t *testing.T) {
	rec := unmarked()
	var from, length sim.Tick
	stopped := 0
	rec.Replay = func(f, l sim.Tick) (func(), func() sim.Tick, error) {
		from, length = f, l
		return func() { stopped++ }, func() sim.Tick { return f }, nil
	}
	rec.Offsets = []port.OffsetPoint{{Tick: 2 * sim.TicksPerSecond, Hz: 10.6}, {Tick: 4 * sim.TicksPerSecond, Hz: 10.4}, {Tick: 6 * sim.TicksPerSecond, Hz: -10.6}}
	s, heard := seat(t, rec, func(p *page) screen.Scene { return newHearing(p) })
	h := s.App.Scenes.Top().(*hearing)
	for _, c := range []struct{ key, want string }{
		{"key:ArrowRight", "0:02: 11 Hz too high"}, {"key:ArrowRight", "0:04: true"}, {"key:ArrowRight", "0:06: 11 Hz too low"}, {"key:ArrowRight", "0:08: not told"},
		{"key:ArrowLeft", "0:06: 11 Hz too low"}, {"key:ArrowLeft", "0:04: true"}, {"key:ArrowLeft", "0:02: 11 Hz too high"}, {"key:ArrowLeft", "0:00: not told"}, {"key:ArrowLeft", "0:00: not told"},
	} {
		s.Press(t, keys.Trigger(c.key))
		if got := heard(); got != c.want {
			t.Errorf("%s: %q, want %q", c.key, got, c.want)
		}
	}
	h.plot.cursor = 100 * sim.TicksPerSecond
	play := func() {
		s.Press(t, "key:Enter")
		for h.plot.sound.Opening() {
			s.Update(1)
		}
	}
	if play(); !h.plot.sound.Playing() || from != 99*sim.TicksPerSecond || length != 8*sim.TicksPerSecond {
		t.Errorf("from %g s, %g s long", from.Seconds(), length.Seconds())
	}
	if play(); h.plot.sound.Playing() || stopped != 1 {
		t.Error("Enter does not stop it")
	}
	rec.Unheard = func() bool { return true }
	heard()
	if play(); heard() != "No sound." {
		t.Error("it is not said that there is no sound")
	}
	if s.Press(t, "key:Escape"); s.App.Scenes.Top() != screen.Scene(h) || stopped != 2 {
		t.Errorf("the first Escape: %T, stopped %d times", s.App.Scenes.Top(), stopped)
	}
	play()
	if s.App.Scenes.Pop(s.App); stopped != 3 {
		t.Error("it goes on when the page is left")
	}
}

// A stretch is dragged by the end that is nearer; what is in it is said once the
// mouse lets go.
func TestStretchIsDragged(t *testing.T) {
	s, heard := seat(t, laid("pass.wav", port.Laying{}), func(p *page) screen.Scene { return newStretch(p) })
	x := s.App.Scenes.Top().(*stretch)
	at := func(seconds float64, pressed, down bool) {
		r := x.plot.rect
		s.App.In.Contacts = []kit.Contact{{ID: -1, At: kit.Pt(r.X+seconds/600*r.W, r.Centre().Y), Down: down, Pressed: pressed}}
		x.plot.update(s.App.Window)
		s.App.In.Contacts = nil
	}
	for _, c := range []struct{ from, to, wantFrom, wantTo float64 }{{130, 30.4, 30, 180}, {170, 200.6, 30, 201}, {104, 40, 40, 201}, {190, 10, 5, 10}, {400, 700, 5, 600}} {
		at(c.from, true, true)
		at(c.to, false, true)
		if got := heard(); got != "" {
			t.Errorf("said while it moves: %q", got)
		}
		at(c.to, false, false)
		if got := heard(); x.fromS != c.wantFrom || x.toS != c.wantTo || got != x.words() {
			t.Errorf("from %g to %g s: %g to %g, said %q", c.from, c.to, x.fromS, x.toS, got)
		}
		if at(300, false, true); x.fromS != c.wantFrom || x.toS != c.wantTo {
			t.Error("an end that was let go of moves")
		}
	}
	x.fromS, x.toS = 20, 38
	if got := x.words(); got != "0:20 to 0:38: you were not on the air" {
		t.Errorf("%q", got)
	}
	x.fromS, x.toS = 45, 59
	if got := x.words(); !strings.HasPrefix(got, "0:45 to 0:59: 1 over, on the air for 14 s, at most ") {
		t.Errorf("%q", got)
	}
	x.says = "No drill: it is too short"
	if got := x.TellNow(s.App); !strings.Contains(got, "Fly a stretch again. 0:45") || !strings.Contains(got, "too short") {
		t.Errorf("%q", got)
	}
}

// The steps of the ends are fine in a short recording; one of a few seconds is taken
// whole, and the last second of any can be reached.
func TestStretchesOfShortRecordings(t *testing.T) {
	for _, c := range []struct {
		length, end, step float64
		last              [2]float64
	}{{600.9, 600, 5, [2]float64{570, 600}}, {240, 240, 1, [2]float64{210, 240}}, {3, 5, 1, [2]float64{0, 5}}} {
		rec := laid("pass.wav", port.Laying{})
		rec.LengthS, rec.Stretches = c.length, [][2]float64{{c.last[0] + 0.7, c.last[1] - 0.3}}
		s, _ := seat(t, rec, func(p *page) screen.Scene { return newStretch(p) })
		x := s.App.Scenes.Top().(*stretch)
		if x.from.High != c.end || x.to.Step != c.step || x.fromS != c.last[0] || x.toS != c.last[1] || len(x.Widgets) != 5 {
			t.Errorf("of %g s: to %g by %g, %g to %g, %d widgets", c.length, x.from.High, x.to.Step, x.fromS, x.toS, len(x.Widgets))
		}
	}
}

// waits looks until a text is written, or fails.
func waits(t *testing.T, s *desktest.Seat, want string) {
	t.Helper()
	var all []string
	for range 5000 {
		s.Update(1)
		all = all[:0]
		for _, b := range s.Texts() {
			if all = append(all, b.Text); b.Text == want {
				return
			}
		}
		time.Sleep(time.Millisecond)
	}
	t.Errorf("%q is not among %q", want, all)
}

// How far a search and a laying have come is shown while they last, and begins anew
// with each.
func TestProgressIsShown(t *testing.T) {
	rec := air("pass.wav")
	release := make(chan int)
	rec.Passes = func(_ context.Context, _ time.Time, _ bool, p port.Progress) ([]port.AirPass, error) {
		if n := <-release; n >= 0 {
			p(n, 8)
			<-release
		}
		return nil, nil
	}
	rec.Lay = func(_ context.Context, _ port.Laying, p port.Progress) (*port.Recording, error) {
		if n := <-release; n >= 0 {
			p(n, 60)
			<-release
		}
		return nil, errors.New("it does not rise then")
	}
	s, _ := seat(t, rec, func(p *page) screen.Scene { return newWhen(p) })
	w := s.App.Scenes.Top().(*when)
	waits(t, s, "Looking for passes")
	release <- 2
	waits(t, s, "Looking for passes: 3 of 8")
	release <- 0
	s.Settle()
	w.search(s.App)
	waits(t, s, "Looking for passes")
	release <- 8
	waits(t, s, "Looking for passes: 8 of 8")
	release <- 0
	s.Settle()
	if w.Focus.At == 2 {
		t.Error("the keys are on an empty list")
	}
	l := newLaying(s.App.Scenes.All()[0].(*page), port.AirPass{}, began, false)
	s.App.Scenes.Push(s.App, l)
	for range 2 {
		l.begin(s.App)
		waits(t, s, "Laying the pass beside it.")
		if l.lay.Text != "Stop" {
			t.Errorf("the button says %q", l.lay.Text)
		}
		release <- 30
		waits(t, s, "50 % measured")
		release <- 0
		s.Settle()
		if l.lay.Text != "Lay it beside" || !strings.Contains(l.trouble, "does not rise") {
			t.Errorf("the button says %q, trouble %q", l.lay.Text, l.trouble)
		}
	}
	l.begin(s.App)
	l.begin(s.App)
	if l.Busy() {
		t.Error("it is not stopped")
	}
	release <- -1
}

// All of what a recording was read as is said, in words.
func TestReadAsInWords(t *testing.T) {
	for want, as := range map[string]port.ReadAs{
		"":                            {},
		"speech":                      {Sent: port.SentVoice, PitchHz: 600, Call: "Q3FEN"},
		"CW":                          {Sent: port.SentCW},
		"CW, pitch 650 Hz":            {Sent: port.SentCW, PitchHz: 650},
		"CW, call Q3FEN":              {Sent: port.SentCW, Call: "Q3FEN"},
		"microphone on the left side": {Side: port.SideLeft},
		"CW, sidetone on the right side, the receiver alone": {Sent: port.SentCW, Side: port.SideRight, Alone: true},
	} {
		if got := asWords(as); got != want {
			t.Errorf("%+v: %q, want %q", as, got, want)
		}
	}
	for text, want := range map[string]float64{"": 0, " 650,5 ": 650.5, "200": 200, "2500": 2500} {
		if got, err := readPitch(text); err != nil || got != want {
			t.Errorf("%q: %g, %v", text, got, err)
		}
	}
	for text, want := range map[string]bool{"": true, " Q3FEN/P9 ": true, "AZ09": true, "Q3[FEN": false, "q3fen": false, "Q3:FEN": false} {
		if _, ok := checkCall(text); ok != want {
			t.Errorf("%q is a call: %t", text, ok)
		}
	}
}

// Opened again, the page has what was chosen; the own call is offered where none was
// given; the pitch that was typed holds.
func TestReadAsIsRemembered(t *testing.T) {
	rec := air("pass.wav")
	s, heard := seat(t, rec, func(p *page) screen.Scene {
		p.as = port.ReadAs{Sent: port.SentCW, Side: port.SideRight, Alone: true, PitchHz: 650.5}
		return newReadingAs(p)
	})
	s.App.Set.Call = "Q7OWL"
	r := s.App.Scenes.Top().(*readingAs)
	r.Enter(s.App)
	if got := heard(); r.sent.At != 2 || r.side.At != 2 || r.take.At != 1 || r.pitch.Value != "650.5" || r.call.Value != "Q7OWL" || !strings.Contains(got, "pass.wav. It follows any tone: music cannot be told from a sidetone.") {
		t.Errorf("%d, %d, %d, %q, %q; said %q", r.sent.At, r.side.At, r.take.At, r.pitch.Value, r.call.Value, got)
	}
	r.Focus.At = len(r.Widgets) - 1
	r.sent.At = 1
	if r.sent.Changed(1); len(r.Widgets) != 5 || r.Widgets[r.Focus.At] != kit.Widget(&r.Back) {
		t.Errorf("of speech: %d widgets, the keys are on %d", len(r.Widgets), r.Focus.At)
	}
	r.owner.file.Value = ""
	r.read.Do()
	if p := r.owner; p.as != (port.ReadAs{Sent: port.SentVoice, Side: port.SideRight, Alone: true}) || p.Busy() || s.App.Scenes.Top() != screen.Scene(p) {
		t.Errorf("read as %+v", p.as)
	}
}

// A moment at the very end can be meant, one beyond it cannot; hours are told in
// minutes; dials lie within what a radio has.
func TestMomentsAndDials(t *testing.T) {
	for text, want := range map[string]float64{"0": 0, "2:30": 150, "600": 600, "10:00": 600, "1:02:03": 3723} {
		if got, err := readClock(text); err != nil || got != want {
			t.Errorf("%q: %g, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "2:", ":30", "-5", "1e7", "NaN"} {
		if got, err := readClock(text); err == nil {
			t.Errorf("%q: %g", text, got)
		}
	}
	for text, want := range map[string]float64{"1": 1e6, "99999.9": 99999.9e6, " 145,9000004 ": 145_900_000} {
		if got, err := readMHz(text); err != nil || got != want {
			t.Errorf("%q: %g, %v", text, got, err)
		}
	}
	for _, text := range []string{"0.9", "100000", "145.9 MHz"} {
		if got, err := readMHz(text); err == nil {
			t.Errorf("%q: %g", text, got)
		}
	}
	l := newLaying(&page{rec: air("pass.wav")}, port.AirPass{}, began, false)
	l.uplink.Value, l.downlink.Value, l.moment.Value = "435.15", "145.9", "10:00"
	if got, field, err := l.laid(); err != nil || field != 0 || got.DialsAtS != 600 {
		t.Errorf("at the very end: %+v, %d, %v", got, field, err)
	}
}

// What a pass tells is said from its own row on, and brought into sight; a correction
// that is kept already is not offered again.
func TestWhatThePassTells(t *testing.T) {
	for kept, offered := range map[bool]bool{false: true, true: false} {
		s, heard := seat(t, air("pass.wav"), func(p *page) screen.Scene { return newWhen(p) })
		p := s.App.Scenes.All()[0].(*page)
		l := newLaying(p, port.AirPass{}, began, true)
		s.App.Scenes.Push(s.App, l)
		if got := heard(); !strings.Contains(got, "The recording began at 2026-11-20 09:31:00 UTC, by its drift.") {
			t.Errorf("asked: %q", got)
		}
		rec := laid("pass.wav", port.Laying{UplinkHz: 1})
		rec.Correction.Kept = kept
		l.finish(s.App, rec)
		if got := heard(); !strings.HasSuffix(strings.Replace(got, " Keep offers it as your correction.", "", 1), "pass: LARK-1, top 64° at 09:33 UTC. clock and elements: the pass came 2.1 ± 0.4 s later than predicted.") ||
			strings.Contains(got, "Keep offers it") != offered {
			t.Errorf("said %q", got)
		}
		if p.list.At != 6 || s.App.Scenes.Top() != screen.Scene(p) || !p.show {
			t.Errorf("row %d of %d", p.list.At, p.list.Count)
		}
	}
}

// A recording whose beginning is known brings its passes at once; what cannot be read
// as a time is asked for again, and what was found before stays out of sight.
func TestTimesOfThePass(t *testing.T) {
	rec := air("pass.wav")
	var asked []time.Time
	find := rec.Passes
	rec.Passes = func(ctx context.Context, at time.Time, day bool, p port.Progress) ([]port.AirPass, error) {
		asked = append(asked, at)
		return find(ctx, at, day, p)
	}
	s, heard := seat(t, rec, func(p *page) screen.Scene { return newWhen(p) })
	w := s.App.Scenes.Top().(*when)
	s.Settle()
	if len(asked) != 1 || !asked[0].Equal(began) || w.began.Value != "2026-11-20 09:31:00" || w.Focus.At != 2 || !w.Focus.Visible {
		t.Errorf("asked %v, %q", asked, w.began.Value)
	}
	if got := heard(); !strings.HasSuffix(got, "Passes. LARK-1, 09:27 to 09:40 UTC, 64° high. up when it began. Enter takes it.") {
		t.Errorf("said %q", got)
	}
	w.began.Value = "2026-11-20"
	w.Focus.At = 2
	w.choose(s.App, 0) // only the day is told, and nothing by the drift
	if got := heard(); w.Focus.At != 0 || !strings.Contains(got, "Type the time of day too") {
		t.Errorf("said %q", got)
	}
	w.began.Value = "soon"
	w.choose(s.App, 0)
	if got := heard(); !strings.HasPrefix(got, "Write it as 2026-11-20 09:31:00") || s.App.Scenes.Top() != screen.Scene(w) {
		t.Errorf("said %q", got)
	}
	w.began.Value = "2020-01-01 12:00"
	w.search(s.App)
	s.Settle()
	if got := heard(); got != "Looking for passes. No bird was up over your place at that time." || w.list.Count != 0 {
		t.Errorf("said %q, %d rows", got, w.list.Count)
	}
}

// A recording offers what can be done with it, and nothing else; what takes long ends
// when its page is left.
func TestWhatARecordingOffers(t *testing.T) {
	s, _ := spoken(t)
	p := s.App.Scenes.Top().(*page)
	for name, c := range map[string]struct {
		change func(rec *port.Recording)
		want   string
	}{
		"all":               {func(*port.Recording) {}, "See and hear it, Another pass, Fly a stretch again, Keep, Read it again as"},
		"nothing to keep":   {func(rec *port.Recording) { rec.Keeps = nil }, "See and hear it, Another pass, Fly a stretch again, Read it again as"},
		"nowhere to keep":   {func(rec *port.Recording) { rec.Keep = nil }, "See and hear it, Another pass, Fly a stretch again, Read it again as"},
		"no pass":           {func(rec *port.Recording) { rec.Passes = nil }, "See and hear it, Fly a stretch again, Keep, Read it again as"},
		"no laying":         {func(rec *port.Recording) { rec.Lay = nil }, "See and hear it, Another pass, Keep, Read it again as"},
		"not marked":        {func(rec *port.Recording) { rec.Result = nil }, "Another pass, Keep, Read it again as"},
		"not told, no pass": {func(rec *port.Recording) { rec.Told, rec.Result, rec.Pass = false, nil, "" }, "Read it again as, Its pass, Keep"},
	} {
		rec := laid("pass.wav", port.Laying{})
		c.change(rec)
		p.take(rec)
		p.words()
		var got []string
		for _, w := range p.shown()[2:] {
			if b, ok := w.(*kit.Button); ok {
				got = append(got, b.Text)
			}
		}
		if strings.Join(got, ", ") != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
	stopped := make(chan bool)
	s.App.Cfg.OpenRecording = func(ctx context.Context, _ string, _ port.ReadAs, _ port.Progress) (*port.Recording, error) {
		<-ctx.Done()
		stopped <- true
		return nil, ctx.Err()
	}
	p.file.Value = "hours.wav"
	p.begin(s.App)
	s.App.Scenes.Pop(s.App)
	<-stopped
}
