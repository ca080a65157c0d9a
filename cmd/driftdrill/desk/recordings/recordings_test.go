//go:build !nodesk

package recordings

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// Busy tells whether something is measured.
func (p *page) Busy() bool { return p.work.job.Busy() }

// Busy tells whether passes are looked for.
func (w *when) Busy() bool { return w.job.Busy() }

// Busy tells whether the pass is laid beside.
func (l *laying) Busy() bool { return l.work.job.Busy() }

// Busy tells whether something is written.
func (k *keeping) Busy() bool { return k.job.Busy() }

// began is when the made-up recording began.
var began = time.Date(2026, 11, 20, 9, 31, 0, 0, time.UTC)

// air is a made-up recording of ten minutes.
func air(name string) *port.Recording {
	rec := &port.Recording{Name: name, Notes: []string{"The receiver is heard in the microphone, 32 dB below the own voice: the headset leaks. It was told apart."},
		Facts: [][2]string{{"length", "10:00"}, {"microphone", "left side; the return comes 48 ms later"}, {"keyed", "4:12 in 13 overs"},
			{"hold index", "702 of 1000, on the air: not rated among drills"}, {"next time", "Turn before it sounds wrong: one click each 1.2 s now."}},
		Began: began, LengthS: 600, Told: true, Place: "Quern Hill, 50.000° N, 8.000° E, locator JO40aa",
		About: &port.About{Bird: "LARK-1", DrillTitle: name}, Result: &port.Result{Trace: madeUp(), Air: true},
		Keeps: []string{port.KeepPage, port.KeepNumbers, port.KeepLog}}
	rec.Keep = func(_ context.Context, what string) (string, error) {
		if what == port.KeepLog {
			return "", errors.New("the logbook is read only")
		}
		return "/home/q3fen/.local/share/driftdrill/kept/pass.html", nil
	}
	rec.Passes = func(_ context.Context, at time.Time, day bool, _ port.Progress) ([]port.AirPass, error) {
		if at.Year() < 2026 {
			return nil, errors.New("no bird was up over your place at that time")
		}
		if day {
			return []port.AirPass{{Key: "a", Words: "LARK-1, 09:27 to 09:40 UTC, 64° high", Why: "if you turned one dial, its drift fits this one, and no other", Guessed: began},
				{Key: "b", Words: "DIPPER-2, 12:31 to 12:47 UTC, 22° high", Why: "fits less well"}}, nil
		}
		return []port.AirPass{{Key: "a", Transponder: 1, Words: "LARK-1, 09:27 to 09:40 UTC, 64° high", Why: "up when it began"}}, nil
	}
	rec.Lay = func(_ context.Context, l port.Laying, _ port.Progress) (*port.Recording, error) {
		if l.Steering == port.SteerCard {
			return nil, errors.New("LARK-1 does not rise then")
		}
		return laid(name, l), nil
	}
	return rec
}

// laid is the made-up recording with its pass.
func laid(name string, l port.Laying) *port.Recording {
	rec := air(name)
	rec.Pass = "LARK-1, top 64° at 09:33 UTC"
	rec.Facts = append(rec.Facts, [2]string{"pass", rec.Pass}, [2]string{"clock and elements", "the pass came 2.1 ± 0.4 s later than predicted"})
	rec.Stretches = [][2]float64{{120, 180}, {300, 360}, {30, 90}}
	rec.Again = func(from, to float64) (string, string, error) {
		if to-from > 500 {
			return "", "", errors.New("nothing of the recording was keyed in that stretch")
		}
		return "/drills/again.toml", "Again: 2:00 to 3:00", nil
	}
	if l.UplinkHz > 0 {
		rec.Correction = &port.Correction{Bird: "LARK-1", Tells: "+34 ± 9 Hz", Before: "+20 Hz, by 2 recordings", After: "+25 Hz, by 3 recordings"}
		rec.Keeps = append(rec.Keeps, port.KeepCorrection)
	}
	return rec
}

// unmarked is a made-up recording of the receiver alone.
func unmarked() *port.Recording {
	rec := &port.Recording{Name: "mono.wav", LengthS: 600, Told: true, Notes: []string{"Measured from the receiver alone: it cannot tell whose voice it is. Nothing of it is rated."},
		Facts: [][2]string{{"length", "10:00"}}}
	tr := madeUp()
	for i := range tr.Samples {
		if s := &tr.Samples[i]; s.Keyed && i%7 < 3 {
			rec.Offsets = append(rec.Offsets, port.OffsetPoint{Tick: s.Tick, Hz: s.OffsetHz})
		}
	}
	rec.Replay = func(from, _ sim.Tick) (func(), func() sim.Tick, error) {
		if from > 300*sim.TicksPerSecond {
			return nil, nil, errors.New("there is no file mono.wav")
		}
		return func() {}, func() sim.Tick { return from }, nil
	}
	return rec
}

// madeUp is a made-up trace: overs of twenty seconds, each a little off.
func madeUp() *scoring.Trace {
	tr := &scoring.Trace{}
	for i := range 600 * int(sim.TicksPerSecond) / int(scoring.SampleTicks) {
		tick := sim.Tick(i)*scoring.SampleTicks + scoring.SampleTicks/2
		s := scoring.Sample{Tick: tick, Over: int(tick.Seconds()) / 40}
		if math.Mod(tick.Seconds(), 40) < 20 {
			s.Phase, s.Keyed, s.Assigned, s.OffsetHz = sim.PhaseTalk, true, true, 200*math.Sin(tick.Seconds()/31)*math.Exp(-math.Mod(tick.Seconds(), 40)/8)
		}
		tr.Samples = append(tr.Samples, s)
	}
	return tr
}

// measured is what a made-up file tells.
func measured(_ context.Context, name string, as port.ReadAs, p port.Progress) (*port.Recording, error) {
	if name == "letter.txt" {
		return nil, errors.New("letter.txt is not sound that is read here")
	}
	p(600, 600)
	if name == "cw.wav" && as.PitchHz == 0 {
		return &port.Recording{Name: name, Notes: []string{"A tone is heard, but not what its pitch is at zero beat. Give the pitch, or record the sidetone too."}, LengthS: 600}, nil
	}
	return air(name), nil
}

// after opens the page and has a file measured.
func after(s *desktest.Stage, file string) *page {
	s.ShowWith(New(""), func(p *port.Pages) { p.OpenRecording = measured })
	p := s.App.Scenes.Top().(*page)
	p.file.Value = file
	p.begin(s.App)
	s.Settle()
	return p
}

// above opens a page on top of a recording with its pass.
func above(s *desktest.Stage, open func(p *page) screen.Scene) {
	p := after(s, "pass.wav")
	p.take(laid("pass.wav", port.Laying{UplinkHz: 435.1e6}))
	s.App.Scenes.Push(s.App, open(p))
	s.Settle()
}

var views = []desktest.View{
	{Name: "recording", Sun: true, Large: true, Put: func(s *desktest.Stage) { after(s, "pass.wav") }},
	{Name: "recording empty", Put: func(s *desktest.Stage) { s.Show(New("")) }},
	{Name: "recording trouble", Put: func(s *desktest.Stage) { after(s, "letter.txt") }},
	{Name: "recording not told", Put: func(s *desktest.Stage) { after(s, "cw.wav") }},
	{Name: "hearing", Sun: true, Large: true, Put: func(s *desktest.Stage) {
		above(s, func(p *page) screen.Scene { p.take(unmarked()); return newHearing(p) })
	}},
	{Name: "read it as", Sun: true, Large: true, Put: func(s *desktest.Stage) {
		above(s, func(p *page) screen.Scene {
			p.as = port.ReadAs{Sent: port.SentCW, PitchHz: 120, Call: "Q3FEN"}
			return newReadingAs(p)
		})
	}},
	{Name: "its pass", Large: true, Put: func(s *desktest.Stage) { above(s, func(p *page) screen.Scene { return newWhen(p) }) }},
	{Name: "its pass by day", Put: func(s *desktest.Stage) {
		above(s, func(p *page) screen.Scene { w := newWhen(p); w.began.Value = "2026-11-20"; return w })
	}},
	{Name: "laying", Sun: true, Large: true, Put: func(s *desktest.Stage) {
		above(s, func(p *page) screen.Scene {
			return newLaying(p, port.AirPass{Key: "a", Words: "LARK-1, 09:27 to 09:40 UTC, 64° high"}, began, true)
		})
	}},
	{Name: "keeping a recording", Sun: true, Large: true, Put: func(s *desktest.Stage) { above(s, func(p *page) screen.Scene { return newKeeping(p) }) }},
	{Name: "stretch", Sun: true, Large: true, Put: func(s *desktest.Stage) { above(s, func(p *page) screen.Scene { return newStretch(p) }) }},
}

var pages = []desktest.Page{{Name: "recordings", Open: func() screen.Scene { return New("") }}}

func TestOuterTextsKeepApart(t *testing.T) { desktest.KeepApart(t, views) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, views) }

func TestPagesSpeak(t *testing.T) { desktest.PagesSpeak(t, pages) }

// spoken is a stage on which everything that is said is written down.
func spoken(t *testing.T) (s *desktest.Stage, said *[]string) {
	t.Helper()
	s = desktest.BareStage(t, 1280, 720, 1, "night")
	said = &[]string{}
	s.App.Set.EarsOnly = true
	s.ShowWith(New(""), func(p *port.Pages) {
		p.OpenRecording = measured
		p.Speak = func(text string) { *said = append(*said, text) }
	})
	return s, said
}

// Enter in the field measures, what is told can be gone through, and the debrief opens.
func TestARecordingIsMeasured(t *testing.T) {
	s, said := spoken(t)
	var opened *screen.Flown
	s.App.Routes.Debrief = func(f screen.Flown) screen.Scene { opened = &f; return New("") }
	p := s.App.Scenes.Top().(*page)
	p.begin(s.App)
	if all := strings.Join(*said, "\n"); !strings.Contains(all, "which file") {
		t.Errorf("no file: %q", all)
	}
	p.file.Value = "letter.txt"
	p.file.Enter()
	s.Settle()
	if p.rec != nil || !strings.Contains(strings.Join(*said, "\n"), "is not sound") {
		t.Errorf("a letter: %q", *said)
	}
	p.file.Value = "pass.wav"
	p.file.Enter()
	s.Settle()
	if all := strings.Join(*said, "\n"); p.rec == nil || len(p.rows) != 6 || !strings.Contains(all, "the headset leaks") {
		t.Fatalf("%d rows, said %q", len(p.rows), all)
	}
	p.TakeSound(s.App, "other.wav")
	s.Settle()
	if p.rec == nil || p.rec.Name != "other.wav" {
		t.Error("a dropped file is not measured")
	}
	p.see.Do()
	if opened == nil || opened.About.Bird != "LARK-1" {
		t.Error("the debrief did not open")
	}
}

// While a long file is measured the page goes on; it tells how far that has come,
// and stops it when asked.
func TestMeasuringIsStopped(t *testing.T) {
	s, said := spoken(t)
	stopped := make(chan bool)
	s.App.Cfg.OpenRecording = func(ctx context.Context, _ string, _ port.ReadAs, tell port.Progress) (*port.Recording, error) {
		tell(5400, 10800)
		<-ctx.Done()
		close(stopped)
		return nil, ctx.Err()
	}
	p := s.App.Scenes.Top().(*page)
	p.file.Value = "hours.wav"
	p.begin(s.App)
	for p.work.seconds.Load() == 0 {
		s.Step()
	}
	for range screen.ProgressEvery + 2 {
		s.Step()
	}
	if all := strings.Join(*said, "\n"); !strings.Contains(all, "50 % measured") || p.measure.Text != "Stop" {
		t.Errorf("said %q, the button says %q", all, p.measure.Text)
	}
	p.measure.Do()
	<-stopped
	s.Settle()
	if last := (*said)[len(*said)-1]; p.rec != nil || last != "Stopped." || p.measure.Text != "Measure it" {
		t.Errorf("said %q, the button says %q", last, p.measure.Text)
	}
}

// From a measured file to the correction: the pass is found, laid beside it, and
// what it tells is said.
func TestThePassIsLaidBeside(t *testing.T) {
	s, said := spoken(t)
	p := s.App.Scenes.Top().(*page)
	p.file.Value = "pass.wav"
	p.begin(s.App)
	s.Settle()
	p.again.Do() // without the pass it leads there
	s.Settle()
	w, ok := s.App.Scenes.Top().(*when)
	if !ok || len(w.found) != 1 || w.Focus.At != 2 {
		t.Fatalf("%T, said %q", s.App.Scenes.Top(), *said)
	}
	for _, bad := range []string{"yesterday", "2020-01-01 12:00"} {
		w.began.Value = bad
		w.search(s.App)
		s.Settle()
		if w.trouble == "" || len(w.found) != 0 && bad != "yesterday" {
			t.Errorf("%q: %q", bad, w.trouble)
		}
	}
	w.began.Value = "2026-11-20"
	w.search(s.App)
	s.Settle()
	w.choose(s.App, 1)
	if s.App.Scenes.Top() != screen.Scene(w) {
		t.Error("a pass whose beginning nobody told was taken")
	}
	w.choose(s.App, 0)
	s.Settle()
	l, ok := s.App.Scenes.Top().(*laying)
	if !ok || !l.began.Equal(began) {
		t.Fatalf("%T", s.App.Scenes.Top())
	}
	l.steering.At = 1
	l.begin(s.App)
	s.Settle()
	if !strings.Contains(l.trouble, "does not rise then") {
		t.Errorf("trouble: %q", l.trouble)
	}
	l.steering.At, l.uplink.Value, l.downlink.Value, l.moment.Value = 0, "435,15", "145.9", "2:30"
	l.begin(s.App)
	s.Settle()
	if s.App.Scenes.Top() != screen.Scene(p) || p.rec.Pass == "" || p.rec.Correction == nil {
		t.Fatalf("%T %+v", s.App.Scenes.Top(), p.rec)
	}
	if last := (*said)[len(*said)-1]; !strings.Contains(last, "2.1 ± 0.4 s later") || !strings.Contains(last, "Keep offers it") {
		t.Errorf("said last: %q", last)
	}
}

// What is typed of the dials is read, and what cannot be read is asked for again.
func TestDialsThatWereNoted(t *testing.T) {
	for _, c := range []struct {
		how                  int
		up, down, moment     string
		wantUp, wantDown, at float64
		field                int // that is wrong; 0 = none
	}{
		{0, "", "", "", 0, 0, -1, 0},
		{0, "435.150000", "145,9", "2:30", 435_150_000, 145_900_000, 150, 0},
		{2, "435.15", "145.9", "", 435_150_000, 145_900_000, -1, 0},
		{0, "435.15", "145.9", "", 0, 0, 0, 3},
		{0, "435.15", "", "1:00", 0, 0, 0, 2},
		{0, "high", "145.9", "1:00", 0, 0, 0, 1},
		{0, "435.15", "NaN", "1:00", 0, 0, 0, 2},
		{0, "435.15", "145.9", "99:00", 0, 0, 0, 3},
	} {
		l := newLaying(&page{rec: air("pass.wav")}, port.AirPass{Key: "a"}, began, false)
		l.steering.At, l.uplink.Value, l.downlink.Value, l.moment.Value = c.how, c.up, c.down, c.moment
		got, field, err := l.laid()
		if field != c.field || (err != nil) != (c.field > 0) {
			t.Errorf("%+v: field %d, %v", c, field, err)
		} else if err == nil && (got.UplinkHz != c.wantUp || got.DownlinkHz != c.wantDown || got.DialsAtS != c.at) {
			t.Errorf("%+v: %+v", c, got)
		}
	}
}

// Times are read as people write them.
func TestWhen(t *testing.T) {
	for text, want := range map[string]string{"2026-11-20 09:31:05": "09:31:05", "2026-11-20 09:31": "09:31:00", " 2026-11-20T09:31:05Z ": "09:31:05", "2026-11-20 09:31 UTC": "09:31:00"} {
		if at, day, err := readWhen(text); err != nil || day || at.Format(time.TimeOnly) != want {
			t.Errorf("%q: %v %v %v", text, at, day, err)
		}
	}
	if _, day, err := readWhen("2026-11-20"); err != nil || !day {
		t.Error(day, err)
	}
	for _, text := range []string{"", "09:31", "20.11.2026", "2026-13-40"} {
		if _, _, err := readWhen(text); err == nil {
			t.Errorf("%q was read", text)
		}
	}
}

// What becomes of each kind of keeping is said.
func TestRecordingIsKept(t *testing.T) {
	s, said := spoken(t)
	p := s.App.Scenes.Top().(*page)
	p.take(laid("pass.wav", port.Laying{UplinkHz: 1}))
	p.keep.Do()
	k := s.App.Scenes.Top().(*keeping)
	words := ""
	for _, w := range k.Widgets {
		words += w.Spoken() + "\n"
	}
	if !strings.Contains(words, "Keep as my correction. +34 ± 9 Hz, until now +20 Hz, by 2 recordings") {
		t.Errorf("offered: %q", words)
	}
	for i, want := range []string{"It lies here: /home", "It lies here: /home", "It cannot be kept: the logbook is read only"} {
		k.Widgets[i].(*kit.Button).Do()
		s.Settle()
		if last := (*said)[len(*said)-1]; !strings.Contains(last, want) {
			t.Errorf("%d: %q", i, last)
		}
	}
}

// The stretch begins at the costliest minute, its ends keep apart, and it becomes
// a drill that is flown or kept.
func TestAStretchIsFlownAgain(t *testing.T) {
	s, said := spoken(t)
	p := s.App.Scenes.Top().(*page)
	p.take(laid("pass.wav", port.Laying{}))
	p.again.Do()
	x := s.App.Scenes.Top().(*stretch)
	s.Settle()
	if x.fromS != 120 || x.toS != 180 || !strings.Contains(x.words(), "2 overs, on the air for 40 s") {
		t.Errorf("%g to %g: %s", x.fromS, x.toS, x.words())
	}
	x.round.Changed(1)
	if x.fromS != 300 {
		t.Errorf("the second begins at %g", x.fromS)
	}
	x.fromS = 599
	x.sane(&x.fromS)
	if x.toS != 600 || x.fromS != 595 {
		t.Errorf("%g to %g", x.fromS, x.toS)
	}
	x.toS = 1
	x.sane(&x.toS)
	if x.fromS != 0 || x.toS != 5 {
		t.Errorf("%g to %g", x.fromS, x.toS)
	}
	x.fromS, x.toS = 0, 600
	x.keep.Do()
	if !strings.Contains(x.says, "was keyed") {
		t.Errorf("all of it: %q", x.says)
	}
	x.fromS, x.toS = 120, 180
	x.keep.Do()
	if last := (*said)[len(*said)-1]; !strings.Contains(last, "among the drills now") {
		t.Errorf("said %q", last)
	}
	var flown port.RunRequest
	s.App.Routes.Run = func(r port.RunRequest) screen.Scene { flown = r; return New("") }
	x.fly.Do()
	if flown.Drill != "/drills/again.toml" {
		t.Errorf("flown: %+v", flown)
	}
}
