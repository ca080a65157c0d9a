//go:build !nodesk

package flying

import (
	"math"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// sides are places at a distance from each side of a rectangle.
func sides(r kit.Rect, d float64) []kit.Point {
	m := r.Centre()
	return []kit.Point{{X: r.X - d, Y: m.Y}, {X: r.Right() + d, Y: m.Y}, {X: m.X, Y: r.Y - d}, {X: m.X, Y: r.Bottom() + d}}
}

// A finger may miss the key by 4 dips and a step by 5, and no more: our choice.
func TestHowFarAFingerMayMiss(t *testing.T) {
	s := newPilot(t, nil)
	s.Draw()
	press := func(at kit.Point) {
		s.App.In.Contacts = []kit.Contact{{ID: 3, At: at, Last: at, Down: true, Pressed: true}}
	}
	for d, want := range map[float64]bool{0: true, 3.5: true, 4.5: false} {
		for i, at := range sides(s.f.places.key, d) {
			s.f.touching = false
			press(at)
			if s.f.key(s.App); s.f.touching != want {
				t.Errorf("%g dips from side %d of the key: pressed %v", d, i, s.f.touching)
			}
		}
	}
	for n, pill := range s.f.dials.pills {
		for d, want := range map[float64]int{0: stepsHz[n], 4.5: stepsHz[n], 5.5: 0} {
			for i, at := range sides(pill, d)[2:] {
				press(at)
				if got := s.f.dials.update(s.App.In); got != want {
					t.Errorf("%g dips from side %d of the step of %d Hz: %d", d, i, stepsHz[n], got)
				}
			}
		}
	}
	k := &s.f.knob
	for share, want := range map[float64]bool{1.11: true, 1.13: false} {
		at := kit.Pt(k.centre.X-k.radius*share, k.centre.Y)
		press(at)
		s.App.In.Hover, s.App.In.HasMouse = at, true
		k.holding = false
		if k.update(s.App.In, &s.App.Set, 0); k.holding != want || k.hover != want {
			t.Errorf("at %g radii: held %v, hovered %v", share, k.holding, k.hover)
		}
	}
}

// A second finger takes nothing from the first: not the knob, the key, a dial or the sky.
func TestTheFirstFingerKeepsWhatItHolds(t *testing.T) {
	s := newPilot(t, func(f *desktest.Session) { f.Facts.AimTask = true })
	s.Draw()
	f := s.f
	for name, c := range map[string]struct {
		at    kit.Point
		by    func() int
		holds func() bool
	}{
		"knob":  {f.knob.centre, func() int { return f.knob.held }, func() bool { return f.knob.holding }},
		"key":   {f.places.key.Centre(), func() int { return f.keyTouch }, func() bool { return f.touching }},
		"digit": {f.dials.rows[uplinkDial].Centre(), func() int { return f.dials.by }, func() bool { return f.dials.held == uplinkDial }},
		"sky":   {f.sky.rect.Centre(), func() int { return f.sky.by }, func() bool { return f.sky.pointing }},
	} {
		s.Touch = []kit.Finger{{ID: 4, X: int(c.at.X), Y: int(c.at.Y)}}
		s.Update(2)
		s.Touch = append(s.Touch, kit.Finger{ID: 5, X: int(c.at.X) + 2, Y: int(c.at.Y)})
		s.Update(2)
		if !c.holds() || c.by() != 4 {
			t.Errorf("%s: held %v, by %d", name, c.holds(), c.by())
		}
		s.Touch = s.Touch[:1]
		s.Update(2)
		if !c.holds() {
			t.Errorf("%s: the second finger lets go of it", name)
		}
		s.Touch = nil
		if s.Update(2); c.holds() {
			t.Errorf("%s: it is still held", name)
		}
	}
}

// The mouse says which dial its wheel turns; the digits answer to nothing else.
func TestTheMouseIsOverADial(t *testing.T) {
	s := newPilot(t, func(f *desktest.Session) { f.State.Rule = sim.RuleBoth })
	s.Draw()
	d := &s.f.dials
	for n, r := range map[dialName]kit.Rect{uplinkDial: d.rows[uplinkDial], receiveDial: d.rows[receiveDial], noDial: {X: 600, Y: 20}} {
		s.App.In.Hover, s.App.In.HasMouse = r.Centre(), true
		if d.look(s.App.In); d.over != n {
			t.Errorf("over dial %d: %d", n, d.over)
		}
		s.App.In.HasMouse = false
		if d.look(s.App.In); d.over != noDial {
			t.Error("there is no mouse, and it is over a dial")
		}
	}
	s.Fake.Posts = nil // the wheel over the knob's own digits, and elsewhere
	for _, at := range []kit.Point{d.rows[uplinkDial].Centre(), {X: 300, Y: 200}} {
		s.MouseAt = at
		s.Update(1)
		s.Turned = 2
		s.Update(1)
	}
	s.WantPosted(t, sim.CommandKnob, 4, 0)
	s.WantPosted(t, sim.CommandReceive, 0, 0)
}

// At the radios the wheel over a setting takes the next value or the one before, a
// press the next, wherever on its row; beside it nothing.
func TestRadiosAreSetByTheWheel(t *testing.T) {
	s := newPilot(t, atRadios)
	s.Update(2)
	s.Draw()
	for k := range sim.BenchSettings {
		values, r := k.Values(), s.f.bench.rows[k]
		at := 0
		for i, v := range values {
			if v == s.Fake.State.Bench.Values[k] {
				at = i
			}
		}
		for _, by := range []int{1, -1} {
			s.Fake.Posts = nil
			s.MouseAt, s.Turned = r.Centre(), 0
			s.Update(1)
			s.Turned = 0.3 * float64(by)
			s.Update(1)
			want := values[(at+by+len(values))%len(values)]
			if len(s.Fake.Posts) != 1 || s.Fake.Posts[0].Kind != k.Command() || s.Fake.Posts[0].Value != want || s.f.bench.at != k {
				t.Errorf("%s by %d: posted %v, want %d; at %s", k, by, s.Fake.Posts, want, s.f.bench.at)
			}
			s.Fake.State.Bench.Values[k] = values[at]
		}
		s.Fake.Posts = nil
		s.MouseAt = kit.Pt(r.X+2, r.Y+2)
		s.Update(1)
		s.Left = true
		s.Update(1)
		s.Left = false
		if s.Update(1); s.Count(k.Command()) != 1 {
			t.Errorf("%s: a press posted %v", k, s.Fake.Posts)
		}
		s.Fake.State.Bench.Values[k] = values[at]
	}
	s.Fake.Posts = nil
	s.MouseAt, s.Turned, s.Left = kit.Pt(4, 4), 1, true
	if s.Update(2); len(s.Fake.Posts) > 0 {
		t.Errorf("beside the settings: %v", s.Fake.Posts)
	}
}

// Answers are given by the mouse as well, each by its own button.
func TestAnswersAreGivenByTheMouse(t *testing.T) {
	for name, change := range map[string]func(*desktest.Session){"hear": quizzing, "fault": faultFinding} {
		s := newPilot(t, change)
		s.Update(2)
		s.Draw()
		for i, b := range s.f.quiz.buttons {
			s.Fake.Posts = nil
			s.MouseAt = b.Rect.Centre()
			s.Update(1)
			s.Left = true
			s.Update(1)
			s.Left = false
			s.Update(1)
			if s.Count(sim.CommandAnswer) != 1 || s.Posted(sim.CommandAnswer) != s.f.quiz.answers[i].Value {
				t.Errorf("%s: %q posts %v", name, b.Text, s.Fake.Posts)
			}
		}
	}
}

// The digits are dragged by notches of 9 dips, and a finger that comes down moves nothing by it.
func TestDigitsMoveByNotches(t *testing.T) {
	d := &dials{rows: [3]kit.Rect{receiveDial: kit.Box(100, 100, 200, 40)}}
	in := kit.NewInput(nil)
	move := func(from, to float64, pressed, down bool) float64 {
		in.Contacts = []kit.Contact{{ID: 8, At: kit.Pt(150, 0)}, {ID: 2, At: kit.Pt(150, to), Last: kit.Pt(150, from), Pressed: pressed, Down: down}}
		d.look(in)
		return d.dragged(in, receiveDial)
	}
	for i, c := range []struct {
		from, to      float64
		pressed, down bool
		want          float64
	}{{0, 120, true, true, 0}, {120, 102, false, true, 2}, {102, 111, false, true, -1}, {111, 93, false, false, 2}, {93, 20, false, true, 0}} {
		if got := move(c.from, c.to, c.pressed, c.down); got != c.want {
			t.Errorf("movement %d: %g notches, want %g", i, got, c.want)
		}
	}
	d.held = uplinkDial
	if d.dragged(in, receiveDial) != 0 || d.held != uplinkDial {
		t.Error("another dial is dragged")
	}
}

// Notches count either way: who turns up and down has turned.
func TestTurnsAreCounted(t *testing.T) {
	s := newPilot(t, nil)
	for _, k := range []keys.Trigger{"key:ArrowUp", "key:ArrowDown", "key:ArrowDown"} {
		s.Press(t, k)
	}
	if a := s.f.knob.angle * s.App.Set.DragNotches / (2 * math.Pi); s.f.knob.turned != 3 || math.Abs(a+1) > 1e-9 {
		t.Errorf("%d notches turned, the knob stands at %.2f", s.f.knob.turned, a)
	}
}

// A newcomer is shown how to turn until he has turned 60 notches, in his first two
// runs in which he turned more than 20.
func TestHintsGoOnceTheyAreKnown(t *testing.T) {
	for _, c := range []struct {
		seen, turned int
		shown        bool
		after        int
	}{{0, 0, true, 0}, {0, 20, true, 0}, {0, 21, true, 1}, {1, 59, true, 2}, {1, 60, false, 2}, {2, 0, false, 2}, {2, 90, false, 2}} {
		s := newPilot(t, nil)
		s.App.Set.HintsSeen, s.f.knob.turned = c.seen, c.turned
		var saved port.Settings
		s.App.Cfg.SaveSettings = func(set port.Settings) error { saved = set; return nil }
		if got := s.f.hints(s.App); got != c.shown {
			t.Errorf("seen %d, turned %d: shown %v", c.seen, c.turned, got)
		}
		if s.f.finish(s.App); saved.HintsSeen != c.after || saved.StepHz != s.App.Set.StepHz {
			t.Errorf("seen %d, turned %d: %d are kept, want %d", c.seen, c.turned, saved.HintsSeen, c.after)
		}
		saved.HintsSeen = 9
		if s.f.finish(s.App); saved.HintsSeen != 9 {
			t.Error("a run ends twice")
		}
	}
}

// Whatever the window, and although their drill shows no ribbon, answers that are
// chosen from a list lie on the window, apart, and high enough to be hit.
func TestAnswersHaveTheirPlace(t *testing.T) {
	for _, size := range []kit.Point{{X: 960, Y: 600}, {X: 1280, Y: 720}, {X: 2560, Y: 720}, {X: 440, Y: 860}, {X: 440, Y: 956}} {
		for _, text := range []float64{1, 1.6, 2.5} {
			s := desktest.BareStage(t, 1280, 720, text, "night")
			f := fly(s, 4000, 0, func(f *desktest.Session) {
				faultFinding(f)
				f.Facts.Aids = port.Aids{Strip: true}
			})
			resize(s, int(size.X), int(size.Y), 1)
			for i, b := range f.quiz.buttons {
				r := b.Rect
				if r.H < 24 || r.W < 80 || r.X < 0 || r.Right() > s.App.Size.X || r.Y < f.places.hill.Bottom() || r.Bottom() > math.Min(f.places.card.Y, f.places.knob.Y-f.places.radius) {
					t.Errorf("%v at %.0f %%: answer %d lies at %v", size, 100*text, i+1, r)
				}
				for j, o := range f.quiz.buttons[:i] {
					if q := o.Rect; r.X < q.Right() && q.X < r.Right() && r.Y < q.Bottom() && q.Y < r.Bottom() {
						t.Errorf("%v at %.0f %%: answers %d and %d lie on each other: %v, %v", size, 100*text, j+1, i+1, q, r)
					}
				}
			}
		}
	}
}
