//go:build !nodesk

package flying

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

// The arrow lights where it helps and nowhere else: from 10 Hz on at steps of
// 20 Hz, from 8 Hz on at small ones, with the hand's quarter of a second before it.
func TestWhenTheArrowLights(t *testing.T) {
	for _, c := range []struct {
		name         string
		offset, rate float64
		step         int
		change       func(f *flying)
		want         int
	}{
		{"10 Hz", 10, 0, 20, nil, 0},
		{"more than 10 Hz", 10.1, 0, 20, nil, 1},
		{"as much too low", -10.1, 0, 20, nil, -1},
		{"8 Hz at small steps", 8, 0, 10, nil, 0},
		{"more than 8 Hz", 8.1, 0, 10, nil, 1},
		{"soon", 0, 41, 20, nil, 1},
		{"soon too low", 0, -41, 20, nil, -1},
		{"without the arrow", 100, 0, 20, func(f *flying) { f.about.Aids.Arrow = false }, 0},
		{"while aids rest", 100, 0, 20, func(f *flying) { f.state.AidsOn = false }, 0},
		{"off the air", 100, 0, 20, func(f *flying) { f.state.Keyed = false }, 0},
	} {
		f := newFlying(desktest.NewSession(), port.RunRequest{})
		f.about.Aids = port.Aids{Arrow: true}
		f.state = sim.State{Keyed: true, AidsOn: true, OffsetHz: c.offset, RateHzS: c.rate, StepHz: c.step, UplinkSideband: sim.LSB, ReceiveSideband: sim.USB, UplinkHz: 435_148_000}
		f.state.TrueHz = float64(f.state.UplinkHz) + c.offset
		if c.change != nil {
			c.change(f)
		}
		if got := f.lit(); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
}

// Where the voice is true already the sidebands tell which way is which, and where
// it is not the dial itself does.
func TestWhichWayIsWhich(t *testing.T) {
	for _, c := range []struct {
		offset, needs float64
		up, down      sim.Sideband
		rule          sim.Rule
		want          bool
	}{
		{1, 50, sim.LSB, sim.USB, sim.RuleUplink, true}, {1, 50, sim.USB, sim.USB, sim.RuleUplink, false}, {50, 1, sim.LSB, sim.USB, sim.RuleUplink, true}, {50, 1, sim.USB, sim.USB, sim.RuleUplink, false},
		{2, 2, sim.USB, sim.USB, sim.RuleUplink, true}, {2, -2, sim.LSB, sim.USB, sim.RuleUplink, false}, {-2, -2, sim.USB, sim.USB, sim.RuleUplink, true}, {-2, 2, sim.LSB, sim.USB, sim.RuleUplink, false},
		{2, -2, sim.LSB, sim.USB, sim.RuleDownlink, true}, {2, 2, sim.LSB, sim.LSB, sim.RuleDownlink, false},
	} {
		s := sim.State{OffsetHz: c.offset, TrueHz: 435_148_000 + c.needs, UplinkHz: 435_148_000, UplinkSideband: c.up, ReceiveSideband: c.down, Rule: c.rule}
		if got := upLowers(&s, &port.About{}); got != c.want {
			t.Errorf("%+v: %v", c, got)
		}
	}
}

func TestTimesInWords(t *testing.T) {
	for s, want := range map[sim.Tick]string{0: "0 seconds", 1: "1 second", 2: "2 seconds", 59: "59 seconds", 60: "1 minute 0", 61: "1 minute 1", 119: "1 minute 59", 120: "2 minutes 0", 605: "10 minutes 5"} {
		if got := spokenTime(s*sim.TicksPerSecond + 199); got != want {
			t.Errorf("%d s: %q, want %q", s, got, want)
		}
	}
}

// A brief stands for 25 s of an over that was never true, and goes at once where it
// is true to 25 Hz on the air; being asked to move is shown for 10 s.
func TestForHowLongACardStands(t *testing.T) {
	ab, b := &port.About{Brief: "the brief"}, port.DefaultBindings()
	talk := sim.State{Phase: sim.PhaseTalk, Found: true, Keyed: true, Assigned: true, OffsetHz: 26, Tick: 1000, InPassband: true}
	stands := func(after sim.Tick, change func(s *sim.State)) bool {
		p, s := &prompter{}, talk
		p.at(&s, ab, b)
		s.Tick += after
		change(&s)
		return p.at(&s, ab, b).Body == "the brief"
	}
	for _, c := range []struct {
		name   string
		after  sim.Tick
		change func(s *sim.State)
		want   bool
	}{
		{"25 s later", briefFor, func(*sim.State) {}, true}, {"later still", briefFor + 1, func(*sim.State) {}, false},
		{"true", 10, func(s *sim.State) { s.OffsetHz = 25 }, false}, {"true from below", 10, func(s *sim.State) { s.OffsetHz = -25 }, false}, {"nearly true", 10, func(s *sim.State) { s.OffsetHz = -26 }, true},
		{"true and off the air", 10, func(s *sim.State) { s.OffsetHz, s.Keyed = 0, false }, true},
		{"the next over", briefFor + 9, func(s *sim.State) { s.Over = 2 }, true},
		{"begun again", 0, func(s *sim.State) { s.Tick = 100 }, true},
	} {
		if got := stands(c.after, c.change); got != c.want {
			t.Errorf("%s: the brief stands: %v", c.name, got)
		}
	}
	ab = &port.About{Free: true}
	p, s := &prompter{}, sim.State{Phase: sim.PhaseListen, Found: true, ContactWith: -1, Tick: 1000, Told: 1}
	for by, want := range map[sim.Tick]string{0: "You are on top of others", toldTicks - 1: "You are on top of others", toldTicks: "Listen, or call"} {
		p = &prompter{}
		p.at(&s, ab, b)
		later := s
		later.Tick += by
		if got := p.at(&later, ab, b).Title; got != want {
			t.Errorf("%d ticks after they asked: %q, want %q", by, got, want)
		}
	}
	for left, want := range map[sim.Tick]string{0: "Get ready", 1: "Ready in 1", 200: "Ready in 1", 201: "Ready in 2"} {
		if got := new(prompter).at(&sim.State{PhaseLeft: left}, &port.About{AOS: 5}, b).Title; got != want {
			t.Errorf("%d ticks to go: %q, want %q", left, got, want)
		}
	}
	for tick, want := range map[sim.Tick]bool{4: false, 5: true} {
		if got := new(prompter).at(&sim.State{Tick: tick}, &port.About{AOS: 5}, b).Body; strings.HasPrefix(got, "The bird is up") != want {
			t.Errorf("tick %d: %q", tick, got)
		}
	}
}

// The time that is told goes on to the next thing at the very tick of the one before.
func TestCountdownGoesOnInTime(t *testing.T) {
	for _, c := range []struct {
		now, start, end sim.Tick
		what            string
		to              sim.Tick
	}{
		{999, 0, 100_000, "until it rises", 1}, {1000, 0, 100_000, "to the top", 49_000}, {49_999, 0, 50_000, "to the top", 1}, {50_000, 0, 50_000, "to the end", 0}, {40_000, 0, 49_999, "to the end", 9999},
		{60_000, 5000, 5000, "until it sets", 40_000}, {100_001, 0, 100_000, "to the end", 0},
	} {
		f := newFlying(desktest.NewSession(), port.RunRequest{})
		f.about.AOS, f.about.TCA, f.about.LOS, f.about.Start, f.about.End = 1000, 50_000, 100_000, c.start, c.end
		f.state.Tick = c.now
		if to, what := f.nextEvent(); to != c.to || what != c.what {
			t.Errorf("at %d: %d %s, want %d %s", c.now, to, what, c.to, c.what)
		}
	}
}

// watched takes down what becomes of a run.
type watched struct {
	*desktest.Session
	pauses []bool
	result error
}

func (w *watched) Pause(on bool) { w.pauses = append(w.pauses, on) }

func (w *watched) Finish(ctx context.Context) (*port.Result, error) {
	if w.result != nil {
		return nil, w.result
	}
	return w.Session.Finish(ctx)
}

// atWatch is the desk with a run that is watched.
func atWatch(t *testing.T, change func(f *desktest.Session)) (*pilot, *watched) {
	s := newPilot(t, change)
	w := &watched{Session: s.Fake}
	s.f.ses = w
	return s, w
}

// A pause holds the run, lets go of everything, and each way out of it does what is written on it.
func TestWaysOutOfThePause(t *testing.T) {
	for _, c := range []struct {
		name   string
		downs  int
		key    string
		pauses []bool
		closed bool
		said   bool // that it goes on
		top    func(s *pilot) bool
	}{
		{"escape", 0, "key:Escape", []bool{true, false}, false, true, func(s *pilot) bool { return s.App.Scenes.Top() == s.f }},
		{"resume", 0, "key:Enter", []bool{true, false}, false, true, func(s *pilot) bool { return s.App.Scenes.Top() == s.f }},
		{"end the run", 1, "key:Enter", []bool{true}, false, false, func(s *pilot) bool { _, ok := s.App.Scenes.Top().(*marking); return ok }},
		{"begin again", 2, "key:Enter", []bool{true}, true, false, func(s *pilot) bool { l, ok := s.App.Scenes.Top().(*loading); return ok && l.req.Same }},
		{"leave the run", 3, "key:Enter", []bool{true}, true, false, func(s *pilot) bool { return s.App.Scenes.Top() != s.f }},
	} {
		s, w := atWatch(t, nil)
		s.App.Routes.Run = func(r port.RunRequest) screen.Scene { return Begin(r) }
		said := desktest.Hearing(s.Stage)
		s.f.keyDown, s.f.touching, s.f.fast, s.f.refOn, s.f.refUntil, s.f.paddles = true, true, true, true, 1<<30, [2]bool{true, true}
		s.f.state.Latched, s.Fake.State.Latched = true, true
		s.Keys[keyOf(t, "key:Space")], s.Keys[keyOf(t, "key:ShiftLeft")] = 1, 1
		s.Press(t, "key:Escape")
		if _, ok := s.App.Scenes.Top().(*paused); !ok || s.f.keyDown || s.f.touching || s.f.fast || s.f.refOn || s.f.paddles != [2]bool{} {
			t.Errorf("%s: not let go of: %v %v %v %v %v", c.name, s.f.keyDown, s.f.touching, s.f.fast, s.f.refOn, s.f.paddles)
		}
		var let []sim.CommandKind
		for _, p := range s.Fake.Posts {
			if p.Value == 0 {
				let = append(let, p.Kind)
			}
		}
		if !slices.Equal(let, []sim.CommandKind{sim.CommandKey, sim.CommandLatch, sim.CommandFast}) {
			t.Errorf("%s: let go of %v", c.name, let)
		}
		s.Keys = map[ebiten.Key]int{}
		s.Update(2)
		for range c.downs {
			s.Press(t, "key:ArrowDown")
		}
		*said = nil
		p := s.App.Scenes.Top().(*paused)
		code := keyOf(t, keys.Trigger(c.key))
		s.Keys[code], s.JustPressed = 1, []ebiten.Key{code}
		s.Update(1)
		s.Keys[code] = 0
		if !slices.Equal(w.pauses, c.pauses) || s.Fake.Closed != c.closed || slices.Contains(*said, "Going on.") != c.said || !c.top(s) || s.App.Scenes.Top() == p {
			t.Errorf("%s: pauses %v, closed %v, said %q, on top %T", c.name, w.pauses, s.Fake.Closed, *said, s.App.Scenes.Top())
		}
		if l, ok := s.App.Scenes.Top().(*loading); ok {
			l.cancel()
		}
	}
}

// The end of a run: its marks, one line where there are none, or the end of the
// program where it was asked for that.
func TestWhatComesAfterARun(t *testing.T) {
	for _, c := range []struct {
		name   string
		result error
		quits  bool
		want   string
	}{
		{"marks", nil, false, "debrief"}, {"no marks", errors.New("the disk is full"), false, "trouble: the disk is full"}, {"quits", nil, true, "quit"}, {"quits in failure", errors.New("the disk is full"), true, "failed: the disk is full"},
	} {
		s, w := atWatch(t, nil)
		w.result = c.result
		s.App.Cfg.QuitAtEnd = c.quits
		got := ""
		s.App.Routes.Debrief = func(f screen.Flown) screen.Scene {
			got = "debrief"
			if f.Result == nil || f.About != s.f.about || f.Exercise != s.f.state.Exercise {
				t.Errorf("%s: %+v", c.name, f)
			}
			return newTrouble("the debrief", errors.New(""))
		}
		s.Fake.State.Tick = s.Fake.Facts.End
		s.Update(1)
		m, ok := s.App.Scenes.Top().(*marking)
		if !ok {
			t.Fatalf("%s: on top %T", c.name, s.App.Scenes.Top())
		}
		for len(m.done) == 0 {
			time.Sleep(time.Millisecond)
		}
		m.Update(s.App)
		if tr, ok := s.App.Scenes.Top().(*trouble); ok && got == "" {
			got = "trouble: " + tr.err.Error()
		}
		quit, failure := s.App.Ending()
		if quit && failure == nil {
			got = "quit"
		} else if failure != nil {
			got = "failed: " + failure.Error()
		}
		if got != c.want || s.Fake.Closed {
			t.Errorf("%s: %s, closed %v", c.name, got, s.Fake.Closed)
		}
	}
}

// A run that is left is closed; one that ends goes on to its marks.
func TestALeftRunIsClosed(t *testing.T) {
	s, _ := atWatch(t, nil)
	s.App.Scenes.Replace(s.App, newTrouble("elsewhere", errors.New("")))
	if !s.Fake.Closed {
		t.Error("it goes on behind another screen")
	}
}

// The sound's sign: silence is told once, by its reason, and not before the run has gone for 2 s as a loss.
func TestSilenceIsToldByItsReason(t *testing.T) {
	for _, c := range []struct {
		tick sim.Tick
		want string
	}{{400, "No sound device: the run goes on silently."}, {401, "The sound device has gone: the run goes on silently."}} {
		s := newPilot(t, nil)
		said := desktest.Hearing(s.Stage)
		s.Fake.Silent, s.Fake.State.Tick = true, c.tick
		s.f.Update(s.App)
		if n := len(*said); n == 0 || (*said)[n-1] != c.want && !slices.Contains(*said, c.want) {
			t.Errorf("at tick %d: said %q", c.tick, *said)
		}
		*said = nil
		s.f.told = true
		if s.f.Update(s.App); slices.Contains(*said, c.want) {
			t.Error("it is told twice")
		}
	}
}

// Where a pass is looked for the ears are told now and then, and the eyes after a third of a second.
func TestWaitingIsTold(t *testing.T) {
	s := desktest.NewStage(t, 1280, 720, 1, "night")
	said := desktest.Hearing(s)
	s.App.Cfg.NewSession = func(ctx context.Context, _ port.RunRequest) (port.Session, error) {
		<-ctx.Done()
		return nil, ctx.Err()
	}
	s.App.Frame = 137
	l := Begin(port.RunRequest{})
	s.App.Scenes.Push(s.App, l)
	defer l.cancel()
	var at []int
	for i := 1; i <= 2*screen.ProgressEvery; i++ {
		s.Step()
		if len(*said) > 0 {
			at = append(at, i)
			*said = nil
		}
		if drawn := len(s.Drawn()) > 0; i < 25 && drawn != (i > 20) {
			t.Errorf("update %d: drawn %v", i, drawn)
		}
	}
	if want := []int{screen.ProgressEvery / 4, screen.ProgressEvery * 5 / 4}; !slices.Equal(at, want) {
		t.Errorf("told at %v, want %v", at, want)
	}
}

// How a run begins: its desk, one line where it cannot, or the end of a program
// that was begun for this run alone; a run that comes too late is closed.
func TestHowARunBegins(t *testing.T) {
	begin := func(err error, first bool) (*desktest.Stage, *desktest.Session) {
		s := desktest.NewStage(t, 1280, 720, 1, "night")
		ses := desktest.NewSession()
		s.App.Cfg.NewSession = func(context.Context, port.RunRequest) (port.Session, error) {
			if err != nil {
				return nil, err
			}
			return ses, nil
		}
		if first {
			s.App.Cfg.First = &port.RunRequest{}
		}
		l := Begin(port.RunRequest{Drill: "come-back"})
		s.App.Scenes.Push(s.App, l)
		for len(l.done) == 0 {
			time.Sleep(time.Millisecond)
		}
		s.Step()
		return s, ses
	}
	s, ses := begin(nil, true)
	if f, ok := s.App.Scenes.Top().(*flying); !ok || f.req.Drill != "come-back" || ses.Closed {
		t.Errorf("on top %T, closed %v", s.App.Scenes.Top(), ses.Closed)
	}
	s, _ = begin(errors.New("no elements"), false)
	if tr, ok := s.App.Scenes.Top().(*trouble); !ok || tr.title != "This run cannot be flown" {
		t.Errorf("on top %T", s.App.Scenes.Top())
	}
	s, _ = begin(errors.New("no elements"), true)
	if quit, err := s.App.Ending(); !quit || err == nil {
		t.Error("the program does not end")
	}
	late, ses := make(chan struct{}), desktest.NewSession()
	s = desktest.NewStage(t, 1280, 720, 1, "night")
	s.App.Cfg.NewSession = func(context.Context, port.RunRequest) (port.Session, error) { <-late; return ses, nil }
	l := Begin(port.RunRequest{})
	s.App.Scenes.Push(s.App, l)
	s.App.Scenes.Replace(s.App, newTrouble("elsewhere", errors.New("")))
	close(late)
	if got := <-l.done; got.ses != nil || !ses.Closed {
		t.Error("a run that comes too late goes on")
	}
}

// What went wrong is said as it is written, and Back leads away from it, by each way.
func TestTroubleIsSaid(t *testing.T) {
	for _, key := range []string{"key:Escape", "key:Enter"} {
		s := desktest.NewSeat(t, nil)
		said := desktest.Hearing(s.Stage)
		tr := newTrouble("This run cannot be flown", errors.New("mine.toml, line 7: no such key"))
		s.App.Scenes.Push(s.App, tr)
		if !slices.Equal(*said, []string{"This run cannot be flown: mine.toml, line 7: no such key"}) {
			t.Errorf("said %q", *said)
		}
		s.Update(1)
		if s.Press(t, keys.Trigger(key)); s.App.Scenes.Top() == tr {
			t.Errorf("%s leads nowhere", key)
		}
	}
	s := desktest.NewSeat(t, nil)
	s.App.Cfg.NewSession = func(ctx context.Context, _ port.RunRequest) (port.Session, error) {
		<-ctx.Done()
		return nil, ctx.Err()
	}
	l := Begin(port.RunRequest{})
	s.App.Scenes.Push(s.App, l)
	if s.Press(t, "key:Escape"); s.App.Scenes.Top() == l {
		t.Error("one cannot stop looking for a pass")
	}
}
