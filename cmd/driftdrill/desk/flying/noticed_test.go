//go:build !nodesk

package flying

import (
	"slices"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// What an operator would notice at once: which way an arrow points, which word
// stands for which side, which slider is for which sound.

// The frame on the strip is where the receiver hears: from the dial upwards on
// the upper sideband, from it downwards on the lower one.
func TestFilterIsDrawnWhereItHears(t *testing.T) {
	for _, c := range []struct {
		side            sim.Sideband
		low, high       float64
		wantLow, wantHi float64
	}{
		{sim.USB, 300, 2700, 145_864_300, 145_866_700},
		{sim.LSB, 300, 2700, 145_861_300, 145_863_700},
		{sim.USB, 450, 950, 145_864_450, 145_864_950},
		{sim.LSB, 450, 950, 145_863_050, 145_863_550},
	} {
		ab := &port.About{FilterLowHz: c.low, FilterHighHz: c.high}
		low, high := filterEdges(ab, &sim.State{ReceiveHz: 145_864_000, ReceiveSideband: c.side})
		if low != c.wantLow || high != c.wantHi {
			t.Errorf("sideband %v, %g to %g Hz: drawn from %.0f to %.0f, want %.0f to %.0f", c.side, c.low, c.high, low, high, c.wantLow, c.wantHi)
		}
	}
}

// The arrow that is lit says how to turn. Through an inverting transponder a
// voice that is too high comes down as the uplink goes up; through one that
// does not invert it comes down with the uplink; and it comes down as the
// receive dial goes up on the upper sideband (from the definition of sim.State.OffsetHz).
func TestTurnArrowPointsWhereToTurn(t *testing.T) {
	kittest.NeedWindow(t)
	s := desktest.NewStage(t, 1280, 720, 1, "night")
	f := fly(s, desktest.TCA-9200, 2, nil)
	s.App.Set.HintsSeen = 2
	for _, c := range []struct {
		name     string
		rule     sim.Rule
		offset   float64
		needs    int64 // how far the uplink is from where it had to be, + = too low
		lit, ask string
	}{
		{"inverting, too high", sim.RuleUplink, 150, 150, "turn up", "too high?"},
		{"inverting, too low", sim.RuleUplink, -150, -150, "turn down", "too low?"},
		{"not inverting, too high", sim.RuleUplink, 150, -150, "turn down", "too high?"},
		{"not inverting, too low", sim.RuleUplink, -150, 150, "turn up", "too low?"},
		{"receive dial, too high", sim.RuleDownlink, 150, 0, "turn up", "too high?"},
		{"receive dial, too low", sim.RuleDownlink, -150, 0, "turn down", "too low?"},
	} {
		st := &f.state
		st.Keyed, st.AidsOn, st.Rule, st.OffsetHz = true, true, c.rule, c.offset
		st.UplinkHz = int64(st.TrueHz) - c.needs
		v := desktest.Look(s, func(c *kit.Canvas) { f.drawWays(s.App, c) })
		k := &f.knob
		side := kit.Box(k.centre.X-2*k.radius, k.centre.Y-1.5*k.radius, 2*k.radius, 2*k.radius) // left of the knob's middle
		lit := v.Where(t, c.lit)
		if lit.X > k.centre.X {
			side.X = k.centre.X
		}
		other := side
		other.X = 2*k.centre.X - side.Right()
		if on, off := v.Yours(side), v.Yours(other); on < 200 || off > 20 {
			t.Errorf("%s: %d pixels are lit beside %q, %d on the other side", c.name, on, c.lit, off)
		}
		if ask := v.Where(t, c.ask); (ask.X > k.centre.X) != (lit.X > k.centre.X) {
			t.Errorf("%s: %q does not stand beside %q", c.name, c.ask, c.lit)
		}
	}
}

// The arrow beside the receive dial points to its card: broad below where it
// points up.
func TestCardArrowPointsToTheCard(t *testing.T) {
	kittest.NeedWindow(t)
	s := desktest.NewStage(t, 1280, 720, 1, "night")
	for _, c := range []struct {
		card, dial float64
		way        int
	}{{145_865_000, 145_864_000, 1}, {145_863_000, 145_864_000, -1}, {145_864_010, 145_864_000, 0}} {
		st := sim.State{Rule: sim.RuleBoth, StepHz: 20, CardReceiveHz: c.card, ReceiveHz: int64(c.dial)}
		rows := dialRows(&st, "R F")
		if got := rows[1].way; got != c.way {
			t.Errorf("card %+.0f Hz from the dial: way %d, want %d", c.card-c.dial, got, c.way)
		}
		r := kit.Box(100, 200, 400, 40)
		v := desktest.Look(s, func(cv *kit.Canvas) { new(dials).drawLabel(cv, r, kit.Small, rows[1]) })
		size := s.App.Type.Size(kit.Small)
		mid := r.Y - size*0.36
		above, below := v.Yours(kit.Box(r.Right()-size-2, mid-size, size+4, size)), v.Yours(kit.Box(r.Right()-size-2, mid, size+4, size))
		if c.way > 0 && below <= above || c.way < 0 && above <= below || c.way == 0 && above+below > 0 {
			t.Errorf("way %d: %d pixels above the arrow's middle, %d below", c.way, above, below)
		}
	}
}

// wordSession takes down the bundled words.
type wordSession struct {
	*desktest.Session
	words []string
}

func (w *wordSession) Say(words ...string) int {
	w.words = append(w.words, words...)
	return len(words)
}

// A positive offset is a voice that comes back too high (sim.State.OffsetHz):
// it is called high by every voice, and low is called low.
func TestSpokenSideIsTheSide(t *testing.T) {
	for _, c := range []struct {
		offset float64
		word   string
	}{{120, "high"}, {-120, "low"}} {
		ses := &wordSession{Session: desktest.NewSession()}
		a := &screen.App{Cfg: &screen.Config{}}
		f := newFlying(ses, port.RunRequest{})
		f.state = sim.State{Tick: 100 * sim.TicksPerSecond, Keyed: true, AidsOn: true, OffsetHz: c.offset}
		f.guide.offset(a, f)
		if !slices.Equal(ses.words, []string{c.word}) {
			t.Errorf("%+.0f Hz: the guide says %q, want %q", c.offset, ses.words, c.word)
		}
		if got, want := spokenOffset(c.offset), "120 hertz too "+c.word+"."; got != want {
			t.Errorf("%+.0f Hz: %q, want %q", c.offset, got, want)
		}
		e := &sim.ExerciseState{Kind: sim.ExerciseHear, Last: sim.TrialResult{Trial: 1, ShiftHz: c.offset}}
		if got := verdictLine(e, f.about); !strings.Contains(got, "120 Hz too "+c.word) {
			t.Errorf("%+.0f Hz: the verdict says %q", c.offset, got)
		}
	}
}

// The drift rate at this moment is an aid: without aids, and where they have
// faded, only the rate at the top stands.
func TestLiveDriftIsAnAid(t *testing.T) {
	for _, c := range []struct {
		aids port.Aids
		on   bool
		want string
	}{
		{port.Aids{Ribbon: true}, true, "drift 35 Hz/s, 61 at the top"},
		{port.Aids{Ribbon: true, Arrow: true, Rate: true}, false, "61 Hz/s at the top"},
		{port.Aids{Strip: true}, true, "61 Hz/s at the top"},
	} {
		f := newFlying(desktest.NewSession(), port.RunRequest{})
		f.about.Aids, f.about.TopRateHzS = c.aids, 61
		f.state = sim.State{RateHzS: -35, AidsOn: c.on}
		if got := f.driftLine(); got != c.want {
			t.Errorf("%+v, on %t: %q, want %q", c.aids, c.on, got, c.want)
		}
	}
}

// The up arrow answers "too high", the down arrow "too low", as is spoken and written.
func TestAnswerKeysAreTheSides(t *testing.T) {
	s := newPilot(t, quizzing)
	for _, c := range []struct {
		key  keys.Trigger
		want int64
	}{{"key:ArrowUp", sim.AnswerHigh}, {"key:ArrowDown", sim.AnswerLow}, {"key:ArrowRight", sim.AnswerTrue}} {
		before := len(s.Fake.Posts)
		s.Press(t, c.key)
		var got []int64
		for _, p := range s.Fake.Posts[before:] {
			if p.Kind == sim.CommandAnswer {
				got = append(got, p.Value)
			}
		}
		if !slices.Equal(got, []int64{c.want}) {
			t.Errorf("%s answers %v, want %d", c.key.Name(), got, c.want)
		}
	}
}

// What is too high stands above on the ribbon.
func TestRibbonTellsTheSide(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	v := desktest.Look(s, func(c *kit.Canvas) {
		screen.DrawOffsetNames(c, kit.Box(0, 0, 90, 200), kit.Box(90, 0, 500, 200), ribbonY(kit.Box(90, 0, 500, 200)))
	})
	y := ribbonY(kit.Box(90, 0, 500, 200))
	if v.Where(t, "too high").Y > v.Where(t, "too low").Y || y(100) > y(-100) {
		t.Error("the ribbon's names are not on their sides")
	}
}
