//go:build !nodesk

package flying

import (
	"math"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// follow turns a dial by the arrow alone for two minutes: a hand that sees it late,
// turns a notch, and looks again. It returns the mean of the offset and of its size.
func follow(f *flying, rateHzS float64, stepHz int, lateS float64) (bias, off float64) {
	const length = 120 * sim.TicksPerSecond
	late := int(lateS * sim.TicksPerSecond)
	st := &f.state
	st.Keyed, st.AidsOn, st.StepHz, st.RateHzS, st.OffsetHz, st.Rule = true, true, stepHz, rateHzS, 0, sim.RuleUplink
	st.UplinkSideband, st.ReceiveSideband = sim.LSB, sim.USB
	var seen []int
	wait, n := 0, 0.0
	for t := range int(length) {
		st.UplinkHz = 435_150_000
		st.TrueHz = float64(st.UplinkHz) + st.OffsetHz
		seen = append(seen, f.lit())
		if wait--; t >= late && wait <= 0 && seen[t-late] != 0 {
			st.OffsetHz -= float64(seen[t-late] * stepHz)
			wait = late + 1
		}
		st.OffsetHz += rateHzS * sim.TickLength.Seconds()
		if t > 10*sim.TicksPerSecond {
			bias, off, n = bias+st.OffsetHz, off+math.Abs(st.OffsetHz), n+1
		}
	}
	return bias / n, off / n
}

// Who follows the arrow and nothing else is true on the average to within 10 Hz,
// whichever way the pass pulls, as long as his notches can keep up with it at all; and
// nearer than a notch. Hands see it 0.1 to 0.4 s late, as a quick script and slow
// people do (from memory, no published source).
func TestArrowLeadsAsATeacher(t *testing.T) {
	f := newFlying(desktest.NewSession(), port.RunRequest{})
	f.about.Aids = port.Aids{Arrow: true}
	for _, step := range []int{10, 20, 50} {
		for _, rate := range []float64{2, 6, 17, 32, 50} {
			for _, late := range []float64{0.1, 0.2, 0.3, 0.4} {
				if rate*late > 0.6*float64(step) {
					continue
				}
				for _, way := range []float64{-1, 1} {
					if bias, off := follow(f, way*rate, step, late); math.Abs(bias) > 10 || off > float64(step)*0.6 {
						t.Errorf("step %d Hz, %+.0f Hz/s, %.1f s late: %+.1f Hz on the average, %.1f off", step, way*rate, late, bias, off)
					}
				}
			}
		}
	}
}

// A brief that says how the voice comes back stands until it was true, or for a
// while, and no longer: the card does not say "too high" all the over.
func TestBriefGoesOnceItIsTrue(t *testing.T) {
	ab, b := &port.About{Brief: "It is too high: turn up."}, port.DefaultBindings()
	s := &sim.State{Phase: sim.PhaseTalk, Found: true, Keyed: true, Assigned: true, OffsetHz: 300, Tick: 1000}
	p := &prompter{}
	says := func(part string) {
		t.Helper()
		if got := p.at(s, ab, b); !strings.Contains(got.Body, part) {
			t.Errorf("the card says %q, want %q", got.Body, part)
		}
	}
	says("too high")
	s.Tick += 10 * sim.TicksPerSecond
	says("too high")
	s.OffsetHz = 12
	says("Keep your voice true")
	s.OffsetHz = -200
	says("Keep your voice true")
	p, s.OffsetHz = &prompter{}, 300
	says("too high")
	s.Tick += briefFor + 1
	says("Keep your voice true")
}

// Where there is more to work than the knob the card says by which keys, also
// under one hand.
func TestCardSaysHowElseToTurn(t *testing.T) {
	for _, c := range []struct {
		ab   port.About
		hand string
		want string
	}{
		{port.About{AimTask: true, Brief: "brief."}, "Both hands", "Aim: click in the sky, or A D W S; twist: Q E."},
		{port.About{AimTask: true, Brief: "brief."}, "Left hand alone", "or A D R F; twist: Z V."},
		{port.About{Free: true, Brief: "brief."}, "Both hands", "Receive dial: R and F, or the wheel over its digits."},
		{port.About{Free: true, Brief: "brief."}, "Left hand alone", "Receive dial: T and G, or the wheel over its digits."},
	} {
		for _, set := range port.BindingSets() {
			if set.Name != c.hand {
				continue
			}
			p, s := &prompter{}, &sim.State{Phase: sim.PhaseWait}
			if got := p.at(s, &c.ab, set.Make()); !strings.Contains(got.Body, "brief. ") || !strings.Contains(got.Body, c.want) {
				t.Errorf("%s: %q, want %q", c.hand, got.Body, c.want)
			}
			s = &sim.State{Phase: sim.PhaseListen, Found: true, ContactWith: -1}
			if got := p.at(s, &c.ab, set.Make()); c.ab.Free && !strings.Contains(got.Body, c.want) {
				t.Errorf("%s, listening: %q, want %q", c.hand, got.Body, c.want)
			}
		}
	}
}

// The time counts down to what this run comes to: a run that ends before the top
// counts to its end.
func TestCountdownIsToWhatComes(t *testing.T) {
	const aos, tca, los = 1000, 50_000, 100_000
	for _, c := range []struct {
		now, start, end sim.Tick
		to              sim.Tick
		what            string
	}{
		{0, 0, los, aos, "until it rises"},
		{2000, 0, los, tca - 2000, "to the top"},
		{60_000, 0, los, los - 60_000, "until it sets"},
		{21_000, 20_000, 40_000, 19_000, "to the end"},
		{30_000, 20_000, 60_000, 20_000, "to the top"},
		{55_000, 20_000, 60_000, 5000, "to the end"},
	} {
		f := newFlying(desktest.NewSession(), port.RunRequest{})
		f.about.AOS, f.about.TCA, f.about.LOS, f.about.Start, f.about.End = aos, tca, los, c.start, c.end
		f.state.Tick = c.now
		if to, what := f.nextEvent(); to != c.to || what != c.what {
			t.Errorf("at %d of a run to %d: %d %s, want %d %s", c.now, c.end, to, what, c.to, c.what)
		}
	}
}

// Before a run begins the bird is not called "not up yet" where it is up.
func TestBirdThatIsUpIsCalledUp(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	for at, want := range map[sim.Tick]string{desktest.AOS - 600: "not up yet", desktest.AOS + 6000: "get ready"} {
		f := newFlying(desktest.NewSession(), port.RunRequest{})
		for i := range sim.Tick(150) {
			f.ribbon.update(&sim.State{Tick: at - 3000 + i*20, Phase: sim.PhaseWait})
		}
		var all []string
		c := kit.NewCanvas(s.App.Type)
		c.Dry = true
		c.Seen = func(_ kit.Rect, str string) { all = append(all, str) }
		c.Begin(s.Image, 1, s.App.Pal)
		f.ribbon.drawPlot(c, kit.Box(100, 100, 900, 200), f.about, &sim.State{Tick: at, Phase: sim.PhaseWait}, 1)
		c.End()
		if !strings.Contains(strings.Join(all, "|"), want) {
			t.Errorf("at %d: %q, want %q", at, all, want)
		}
	}
}
