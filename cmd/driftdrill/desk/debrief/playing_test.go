//go:build !nodesk

package debrief

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// player is a seat at a debrief whose moments can be played.
type player struct {
	*desktest.Seat
	d       *debrief
	said    *[]string
	from    []sim.Tick // where each playing began
	length  sim.Tick   // of the last
	at      sim.Tick   // where it is
	stopped int
	fault   error
}

func newPlayer(t *testing.T) *player {
	t.Helper()
	p := &player{Seat: desktest.NewSeat(t, nil)}
	p.said = desktest.Hearing(p.Stage)
	f := flownOnce()
	res := *f.Result
	res.Replay = func(from, length sim.Tick) (func(), func() sim.Tick, error) {
		p.from, p.length = append(p.from, from), length
		return func() { p.stopped++ }, func() sim.Tick { return p.at }, p.fault
	}
	p.d = newDebrief(&f.Facts, &res, port.RunRequest{})
	p.App.Scenes.Push(p.App, p.d)
	p.Update(1)
	return p
}

// last is what was said last.
func (p *player) last() string { return (*p.said)[len(*p.said)-1] }

// wantFrom checks that the last playing began a second before a tick.
func (p *player) wantFrom(t *testing.T, n int, tick sim.Tick) {
	t.Helper()
	if len(p.from) != n {
		t.Fatalf("played %d times, want %d", len(p.from), n)
	}
	if got := p.from[n-1]; got < tick-sim.TicksPerSecond-200 || got > tick-sim.TicksPerSecond+200 {
		t.Errorf("played from %d, want from a second before %d", got, tick)
	}
}

// click clicks on a place.
func (p *player) click(at kit.Point) {
	p.MouseAt.X, p.MouseAt.Y, p.Left = at.X, at.Y, true
	p.Update(1)
	p.Left = false
	p.ready()
}

// press presses a key; what is to be played has begun then.
func (p *player) press(t *testing.T, key keys.Trigger) {
	t.Helper()
	p.Press(t, key)
	p.ready()
}

// ready waits until the sound of a moment is ready.
func (p *player) ready() {
	for p.Update(1); p.d.run.sound.Opening(); p.Update(1) {
		time.Sleep(time.Millisecond)
	}
}

// A click on the run plays that moment; one on a number plays the numbered one from
// where it begins; one beside the run plays nothing.
func TestAClickPlaysThatMoment(t *testing.T) {
	p := newPlayer(t)
	plot := p.d.run.plot(p.App.Type)
	first, last := p.d.run.ends()
	p.click(kit.Pt(plot.X+plot.W/4, plot.Bottom()-20))
	p.wantFrom(t, 1, first+(last-first)/4)
	if p.length != 8*sim.TicksPerSecond {
		t.Errorf("%d ticks are played, want 8 s", p.length)
	}
	p.click(kit.Pt(plot.X+plot.W/2, plot.Bottom()+6))
	p.click(kit.Pt(plot.X-6, plot.Y+20))
	if len(p.from) != 1 {
		t.Error("a click beside the run plays")
	}
	m := p.d.run.worst[1]
	x, y := p.d.run.markAt(plot, m)
	for i, by := range []float64{-13, 13} {
		p.click(kit.Pt(x+by, y))
		p.wantFrom(t, i+2, m.From)
		if p.d.run.cursor != m.From {
			t.Errorf("%+.0f dips beside the number: at %d, want %d", by, p.d.run.cursor, m.From)
		}
	}
	p.click(kit.Pt(x+15, y))
	if p.d.run.cursor == m.From {
		t.Error("the number is hit beside its disc")
	}
	if p.stopped != 3 {
		t.Errorf("what was played before is stopped %d times, want 3", p.stopped)
	}
}

// The figures play the costliest moments, whichever widget has the keys, and say them.
func TestFiguresPlayTheCostliestMoments(t *testing.T) {
	p := newPlayer(t)
	for i, key := range []keys.Trigger{"key:Digit1", "key:Numpad2", "key:Digit3"} {
		p.press(t, key)
		m := p.d.run.worst[i]
		p.wantFrom(t, i+1, m.From)
		if p.last() != m.Words() || !p.d.run.chosen {
			t.Errorf("%s: said %q, want %q", key.Name(), p.last(), m.Words())
		}
	}
	p.press(t, "key:Digit4")
	if len(p.from) != 3 {
		t.Error("there is a fourth moment")
	}
}

// What is played ends by itself when its stretch is over, by Enter and by Esc.
func TestPlayingEnds(t *testing.T) {
	p := newPlayer(t)
	p.press(t, "key:Digit1")
	end := p.from[0] + 8*sim.TicksPerSecond
	p.at = end - 11
	if p.Update(1); !p.d.run.sound.Playing() {
		t.Error("it ends before its time")
	}
	p.at = end - 10
	if p.Update(1); p.d.run.sound.Playing() || p.stopped != 1 {
		t.Error("it does not end by itself")
	}
	p.at = 0
	p.d.focus.At = slices.Index(p.d.widgets, kit.Widget(&p.d.run))
	p.press(t, "key:Enter")
	p.press(t, "key:Enter")
	if len(p.from) != 2 || p.stopped != 2 || p.d.run.sound.Playing() {
		t.Errorf("Enter twice: played %d times, stopped %d times", len(p.from), p.stopped)
	}
	p.press(t, "key:Digit1")
	depth := p.App.Scenes.Depth()
	if p.press(t, "key:Escape"); p.stopped != 3 || p.App.Scenes.Depth() != depth {
		t.Error("Esc does not stop the playing alone")
	}
	if p.press(t, "key:Escape"); p.App.Scenes.Top() == p.d {
		t.Error("Esc does not leave the page")
	}
}

// The arrow keys go through the run by two seconds, as far as its ends, and say how it stood.
func TestArrowsGoThroughTheRun(t *testing.T) {
	p := newPlayer(t)
	r := &p.d.run
	first, last := r.ends()
	p.d.focus.At = slices.Index(p.d.widgets, kit.Widget(r))
	r.cursor = first + 1000
	p.press(t, "key:ArrowRight")
	if r.cursor != first+1400 || p.last() != r.tell(r.cursor) || !r.chosen {
		t.Errorf("right: at %d after 1000, said %q", r.cursor-first, p.last())
	}
	p.press(t, "key:ArrowLeft")
	p.press(t, "key:ArrowLeft")
	if r.cursor != first+600 {
		t.Errorf("left twice: at %d after 1400", r.cursor-first)
	}
	r.cursor = first + 100
	if p.press(t, "key:ArrowLeft"); r.cursor != first {
		t.Error("left goes beyond the beginning")
	}
	r.cursor = last - 100
	if p.press(t, "key:ArrowRight"); r.cursor != last {
		t.Error("right goes beyond the end")
	}
	if p.press(t, "key:Tab"); p.d.widgets[p.d.focus.At] == kit.Widget(r) {
		t.Error("Tab does not leave the run")
	}
	cursor := r.cursor
	if p.press(t, "key:ArrowRight"); r.cursor != cursor {
		t.Error("the arrow keys move in the run although another widget has them")
	}
	if want := "The whole run. Left and right go through it, Enter plays that moment, 1 to 3 the costliest ones. " + r.tell(r.cursor); r.Spoken() != want {
		t.Errorf("it says of itself %q", r.Spoken())
	}
}

// What cannot be played or heard is said.
func TestPlayingSaysWhatIsWrong(t *testing.T) {
	p := newPlayer(t)
	p.fault = errors.New("the sheet is gone")
	p.press(t, "key:Digit1")
	if p.last() != "it cannot be played: the sheet is gone" || p.d.run.sound.Playing() {
		t.Errorf("said %q", p.last())
	}
	p.fault, p.d.res.Unheard = nil, func() bool { return true }
	p.press(t, "key:Digit1")
	if p.last() != "No sound." || p.d.run.trouble != "" {
		t.Errorf("said %q, trouble %q", p.last(), p.d.run.trouble)
	}
	p.d.res.Unheard = func() bool { return false }
	if p.press(t, "key:Digit1"); p.last() != p.d.run.worst[0].Words() {
		t.Errorf("said %q where it can be heard", p.last())
	}
	p.d.res.Replay = nil
	played := len(p.from)
	if p.press(t, "key:Digit1"); len(p.from) != played {
		t.Error("a run that cannot be played is played")
	}
}

// How it stood at a tick is told with time, side and what was done, rounded to hertz.
func TestAMomentIsTold(t *testing.T) {
	p := newPlayer(t)
	tr := *p.d.run.tr
	tr.Samples = []scoring.Sample{{Tick: 1000}, {Tick: 1200, OffsetHz: 10.4, Keyed: true}, {Tick: 1400, OffsetHz: 10.6, Keyed: true}, {Tick: 1600, OffsetHz: -11, Phase: sim.PhaseTalk},
		{Tick: 13800, OffsetHz: -10, Phase: sim.PhaseListen}, {Tick: 14000, Keyed: true, Phase: sim.PhaseListen}}
	p.d.run.tr = &tr
	for tick, want := range map[sim.Tick]string{
		1200: "0:01 into the run: true, on the air", 1400: "0:02 into the run: 11 Hz too high, on the air", 1600: "0:03 into the run: 11 Hz too low, not on the air",
		1601: "0:03 into the run: true, listening", 14000: "1:05 into the run: true, on the air", 99000: "8:10 into the run: true, on the air"} {
		if got := p.d.run.tell(tick); got != want {
			t.Errorf("%d: %q, want %q", tick, got, want)
		}
	}
}

// The rating is told once it is known and the result has been spoken, and changes the verdict.
func TestTheRatingIsToldAfterTheResult(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	said := desktest.Hearing(s.Stage)
	f := flownOnce()
	res := *f.Result
	give := make(chan *port.Rated)
	stopped := make(chan bool, 1)
	res.Rate = func(ctx context.Context, p port.Progress) (*port.Rated, error) {
		p(2, 9)
		select {
		case r := <-give:
			return r, nil
		case <-ctx.Done():
			stopped <- true
			return nil, ctx.Err()
		}
	}
	show := func() *debrief {
		d := newDebrief(&f.Facts, &res, port.RunRequest{})
		s.App.Scenes.Push(s.App, d)
		for d.rateAt != [2]int{2, 9} {
			s.Update(1)
			time.Sleep(time.Millisecond)
		}
		return d
	}
	d := show()
	if !strings.HasPrefix((*said)[0], "Held 812 of a thousand. found yourself in 14 s. not yet: back within 4 s, half the time. Within 50 hertz for 74 percent of the time.") {
		t.Errorf("the result begins %q", (*said)[0])
	}
	if want := talkFrames((*said)[0]); d.talkEnds < want {
		t.Errorf("the result is spoken until update %d, %d are needed", d.talkEnds, want)
	}
	d.talkEnds = math.MaxInt // it is still being spoken, however long the rating takes to come
	give <- &port.Rated{Hand: 56, SD: 7, Words: "56 ± 7", Verdict: "passed: all of it", Saved: "saved with its rating"}
	for d.rated == nil {
		s.Update(1)
		time.Sleep(time.Millisecond)
	}
	if len(*said) != 1 {
		t.Errorf("the rating is told into the result: %q", *said)
	}
	if d.res.Verdict != "passed: all of it" || !d.res.Passed || d.saved(d.res) != "saved with its rating" {
		t.Errorf("the verdict stays %q", d.res.Verdict)
	}
	d.talkEnds = s.App.Frame + 2
	if s.Update(1); len(*said) != 1 {
		t.Error("the rating is told before the result has been spoken")
	}
	s.Update(1)
	if want := "Hand rating 56 ± 7."; len(*said) != 2 || (*said)[1] != want {
		t.Errorf("said %q, want %q", (*said)[1:], want)
	}
	if got := talkFrames(strings.Repeat("a", 26)); got != 120 {
		t.Errorf("26 letters take %d updates, want two seconds", got)
	}
	res.Verdict, res.Passed = f.Result.Verdict, false
	show()
	s.App.Scenes.Pop(s.App)
	<-stopped // who leaves the page gives the rating up
}
