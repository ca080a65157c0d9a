package scoring

import (
	"strings"
	"testing"

	"driftdrill/sim"
)

// advises checks what one fault is told as: words, and the figures in them.
func advises(t *testing.T, l *look, kind string, value float64, headline string, detail ...string) {
	t.Helper()
	a := l.words(Signature{Kind: kind, Value: value})
	if !strings.Contains(a.Headline, headline) {
		t.Errorf("%s: headline %q, want %q", kind, a.Headline, headline)
	}
	for _, d := range detail {
		if !strings.Contains(a.Detail, d) {
			t.Errorf("%s: detail %q, want %q", kind, a.Detail, d)
		}
	}
}

func lookAt(tr *Trace) *look {
	m := Measure(tr)
	return newLook(&m, tr)
}

// Every line about holding tells its figures, worked by hand: past a peak of
// 60 Hz/s a knob of 20 Hz wants a notch each 20/60 = 0.3 s.
func TestAdviceOnHoldingTellsItsFigures(t *testing.T) {
	l := lookAt(fastPass(func(int, float64) float64 { return 0 }))
	l.m.ReversalsPerMin = 12
	advises(t, l, FaultLag, 2, "Turn before it sounds wrong", "follows 2.0 s late", "one 20 Hz notch every 0.3 s")
	advises(t, l, FaultFreeze, 3.5, "At the top, a 20 Hz notch every 0.3 s", "off by 3.5 times", "drifts 60 Hz/s")
	advises(t, l, FaultHunting, 2.5, "wait half a second", "travelled 2.5 times", "direction 12 times a minute")
	advises(t, l, FaultBias, 40, "40 Hz lower", "40 Hz too high")
	advises(t, l, FaultBias, -40, "40 Hz higher", "40 Hz too low")
	advises(t, l, FaultAhead, 45, "turn a little less", "45 Hz too high")
	advises(t, l, FaultLost, 20, "Lost?", "called for 20 s more than 400 Hz off", "up to 60 Hz/s")
	advises(t, l, NoteElements, 2, "2.0 s off", "was early, up to 120 Hz wrong")
	advises(t, l, NoteElements, -3, "3.0 s off", "was late, up to 180 Hz wrong")
	advises(t, l, FaultLoose, 75, "Listen closer", "Off by 75 Hz RMS")
	advises(t, l, FaultWrongWay, 3, "Too high: uplink up. Too low: uplink down.", "zero beat 3 times")
	l.tr.Plan.NonInverting = true
	advises(t, l, FaultWrongWay, 3, "Too high: uplink down. Too low: uplink up.")
	l.tr.Plan.Rule = "downlink"
	advises(t, l, FaultWrongWay, 3, "Too high: receive dial up. Too low: receive dial down.")

	coarse := fastPass(func(int, float64) float64 { return 0 })
	stretch(coarse, 0, 300, func(s *Sample) { s.StepHz = 50 })
	advises(t, lookAt(coarse), NoteKnob, 15, "The 50 Hz step is the limit", "off by 15 Hz", "a 50 Hz step cannot do better than 14 Hz") // 50/sqrt(12) = 14.4

	flat := level(samplesIn(200), constant(60), nil)
	stretch(flat, 0, 200, func(s *Sample) { s.RateHzS = 10 })
	advises(t, lookAt(flat), FaultLag, 6, "Turn earlier", "60 Hz too high", "pulls at 10 Hz/s", "one 20 Hz notch every 2.0 s")
}

// A hand that stopped is told to keep turning, and how often.
func TestAdviceToWhoStopsAtTheTop(t *testing.T) {
	tr := fastPass(func(int, float64) float64 { return 0 })
	stretch(tr, 140, 160, func(s *Sample) { s.UplinkHz = 1 })
	advises(t, lookAt(tr), FaultFreeze, 3, "Keep turning at the top: a 20 Hz notch every 0.3 s.", "your hand stopped, where the pass drifts 60 Hz/s")
}

// The lines about overs tell medians: 100, 200 and 300 Hz high at 10, 20 and
// 30 Hz/s are 200 Hz high, where a notch of 20 Hz is wanted each second.
func TestAdviceOnOversTellsMedians(t *testing.T) {
	l := lookAt(fastPass(func(int, float64) float64 { return 0 }))
	l.m.ComeBacks = []ComeBack{{StartHz: 300, RateHzS: 10}, {StartHz: 100, RateHzS: -20}, {StartHz: 200, RateHzS: 30}}
	l.m.HeldS = 200
	advises(t, l, FaultLetGo, 0.9, "While the other talks, one 20 Hz notch every 1.0 s.", "200 Hz high after listening", "up to 60 Hz/s")
	advises(t, l, FaultOverLead, 0.75, "turn less", "After 75 % of", "One 20 Hz notch every 1.0 s")
	advises(t, l, FaultSlowReturn, 5.2, "fix the pitch first", "took 5.2 s", "200 Hz high")
	advises(t, l, FaultSilent, 0.25, "Key for the whole", "25 % of your own time (50 s)")
	advises(t, l, FaultTalksOver, 9, "Let go of the key", "keyed for 9 s")
	l.m.ComeBacks = []ComeBack{{StartHz: -90, RateHzS: 0.01}}
	advises(t, l, FaultLetGo, 0.9, "one 20 Hz notch every now and then", "90 Hz low")
	l.m.ComeBacks = []ComeBack{{RateHzS: 2}}
	advises(t, l, FaultOverLead, 0.75, "turn less", "every 10 s")
}

// What others notice and what a search lacks, with its figures.
func TestAdviceOnTheAirTellsItsFigures(t *testing.T) {
	l := lookAt(fastPass(func(int, float64) float64 { return 0 }))
	l.m.StartErrorHz = -1300
	advises(t, l, FaultOnOthers, 7, "between the others' overs", "for 7 s")
	advises(t, l, FaultLongCall, 12, "Call short", "for 12 s")
	advises(t, l, NoteWeak, 0.9, "below the noise", "higher top")
	advises(t, l, FaultPower, 8, "Less power", "for 8 s")
	advises(t, l, FaultOutside, 6, "edges", "For 6 s")
	advises(t, l, FaultSlowFind, 80, "0, +1, -1, +2, -2 kHz", "took 80 s", "1300 Hz too low at first")
	advises(t, l, FaultChasing, 900, "never your own", "moved 900 Hz")
	advises(t, l, FaultNoCall, 8, "your call, short", "8 s of carrier")
	advises(t, l, FaultBlind, 33, "Let go of the key and listen", "keyed for 33 s")
	advises(t, l, FaultSwept, 3.94, "before you turn across", "swept 3.9 kHz")
	advises(t, l, FaultNotHome, 1700, "Bring both dials home", "left it 1.7 kHz")
	l.tr.Plan.Rule = "downlink"
	advises(t, l, FaultChasing, 900, "Leave the uplink dial alone", "moved 900 Hz in all")
	l.tr.Plan.Rule = "both"
	advises(t, l, FaultChasing, 900, "Leave the receive dial alone")
	for _, c := range []struct {
		rule         string
		nonInverting bool
		hz           float64
		said         string
	}{
		{"uplink", false, 70, "Turn the uplink up."}, {"uplink", false, -70, "Turn the uplink down."},
		{"uplink", true, 70, "Turn the uplink down."}, {"uplink", true, -70, "Turn the uplink up."},
		{"downlink", false, 70, "Turn the receive dial up."}, {"downlink", true, 70, "Turn the receive dial up."}, {"downlink", true, -70, "Turn the receive dial down."},
	} {
		l.tr.Plan.Rule, l.tr.Plan.NonInverting = c.rule, c.nonInverting
		side := "70 Hz too high"
		if c.hz < 0 {
			side = "70 Hz too low"
		}
		advises(t, l, FaultStill, c.hz, c.said, side)
	}
}

// Why somebody never found himself, told by what he did.
func TestAdviceToWhoNeverFoundHimself(t *testing.T) {
	for _, c := range []struct {
		why    string
		spoil  func(*Trace)
		said   string
		figure string
	}{
		{"never keyed", func(tr *Trace) { stretch(tr, 0, 100, func(s *Sample) { s.Keyed = false }) }, "Key, and listen", "never transmitted"},
		{"outside", func(tr *Trace) { stretch(tr, 0, 51, func(s *Sample) { s.InPassband = false }) }, "passband's edges", "Most of your calls"},
		{"half outside", func(tr *Trace) { stretch(tr, 0, 50, func(s *Sample) { s.InPassband = false }) }, "Search wider", "2500 Hz too high at first"},
		{"heard", func(tr *Trace) { stretch(tr, 0, 51, func(s *Sample) { s.OffsetHz = 400 }) }, "Turn the uplink up", "Hz too high on average"},
		{"half heard", func(tr *Trace) { stretch(tr, 50, 100, func(s *Sample) { s.OffsetHz = 400 }) }, "Search wider", "no nearer than 400 Hz"},
		{"came near", func(tr *Trace) { stretch(tr, 40, 41, func(s *Sample) { s.OffsetHz = -80 }) }, "Stay on the tone", "as near as 80 Hz"},
		{"near enough is 100 Hz", func(tr *Trace) { stretch(tr, 40, 41, func(s *Sample) { s.OffsetHz = 100 }) }, "Search wider", "no nearer than 100 Hz"},
	} {
		tr := level(samplesIn(100), constant(2500), nil)
		tr.HasFound, tr.Plan.BeginsFound = false, false
		c.spoil(tr)
		a := lookAt(tr).notFoundWords()
		if !strings.Contains(a.Headline, c.said) || !strings.Contains(a.Detail, c.figure) {
			t.Errorf("%s: %q, %q", c.why, a.Headline, a.Detail)
		}
	}
}

// A clean run is told the one figure that is left to improve.
func TestCleanRunIsToldWhatIsLeft(t *testing.T) {
	l := lookAt(fastPass(func(int, float64) float64 { return 0 }))
	l.m.RMSHz = 12
	if a := l.clean(); a.Headline != "Clean. Take a harder pass." || !strings.Contains(a.Detail, "off by 12 Hz RMS where the pass drifts up to 60 Hz/s") {
		t.Errorf("%+v", a)
	}
	for back, want := range map[float64]string{1: "Take a harder pass", 1.5: "Now come back faster"} {
		l.m.ComeBackMedianS = &back
		if a := l.clean(); !strings.Contains(a.Headline, want) {
			t.Errorf("back in %g s: %+v", back, a)
		}
	}
}

// The rhythm of the knob by hand: step over drift rate, with a digit behind
// the point below ten seconds, whichever way the pass drifts.
func TestRhythmByHand(t *testing.T) {
	for _, c := range []struct {
		step int
		rate float64
		want string
	}{{20, 60, "one 20 Hz notch every 0.3 s"}, {20, -8, "one 20 Hz notch every 2.5 s"}, {100, 10, "one 100 Hz notch every 10 s"}, {50, 0.2, "one 50 Hz notch every 250 s"},
		{20, 0.1, "one 20 Hz notch every 200 s"}, {20, 0.05, "one 20 Hz notch every now and then"}} {
		if got := Rhythm(c.step, c.rate); got != c.want {
			t.Errorf("%d Hz at %g Hz/s: %q, want %q", c.step, c.rate, got, c.want)
		}
	}
}

// The step that is spoken of is the last one that was set in an over.
func TestStepOfARunIsTheLastOne(t *testing.T) {
	tr := level(samplesIn(60), constant(0), nil)
	stretch(tr, 30, 50, func(s *Sample) { s.StepHz = 50 })
	stretch(tr, 50, 60, func(s *Sample) { s.StepHz, s.Assigned = 100, false })
	if got := lookAt(tr).step(); got != 50 {
		t.Errorf("%d Hz, want the 50 of the last over", got)
	}
	stretch(tr, 0, 60, func(s *Sample) { s.StepHz = 0 })
	if got := lookAt(tr).step(); got != 20 {
		t.Errorf("%d Hz where none is known, want the usual 20", got)
	}
}

// The one line of an exercise: it is told what was heard, with the count.
func TestAdviceOfAnExercise(t *testing.T) {
	wrong := func(n int, shift float64) (out []sim.TrialResult) {
		for range n {
			out = append(out, sim.TrialResult{ShiftHz: shift, Answer: 3, Took: sim.TicksPerSecond})
		}
		return out
	}
	right := func(n int, shift float64) []sim.TrialResult {
		out := wrong(n, shift)
		for i := range out {
			out[i].Correct = true
		}
		return out
	}
	join := func(parts ...[]sim.TrialResult) (all []sim.TrialResult) {
		for _, p := range parts {
			all = append(all, p...)
		}
		return all
	}
	unanswered := func(n int) []sim.TrialResult { return make([]sim.TrialResult, n) }
	for _, c := range []struct {
		kind   string
		trials []sim.TrialResult
		said   string
		detail string
		cost   float64
	}{
		{"hear", join(right(6, 50), unanswered(3)), "Down to 50 Hz", "6 of 9 right", 1000 * 3.0 / 9}, // a third unanswered is not yet too many; shift 0 of the unanswered counts nowhere
		{"hear", join(right(5, 50), unanswered(4)), "first impression", "4 of 9 were left", 1000 * 4.0 / 9},
		{"hear", right(9, 50), "All right", "9 of 9 right, 1.0 s", 0},
		{"fault", join(right(6, 0), wrong(2, 0)), "Work down the list", "6 of 8 right", 250},
		{"first-move", join(right(5, 100), wrong(2, 100), unanswered(1)), "too high, uplink up", "2 first turns went the wrong way", 375},
		{"hear", join(right(8, 50), wrong(2, 50)), "too high pass you by", "2 that were high", 200},
		{"hear", join(right(8, -50), wrong(2, -50)), "too low pass you by", "2 that were low", 200},
		{"hear", join(right(8, 50), wrong(1, 50)), "Down to 50 Hz", "8 of 9", 1000.0 / 9}, // one is no habit
		{"hear", join(right(5, 200), right(4, 100), wrong(1, 100), right(3, 50), wrong(1, -50), wrong(1, 50)), "Down to 100 Hz", "12 of 15", 200},
		{"hear", join(right(1, 200), wrong(1, 200), wrong(1, -200)), "then listen", "1 of 3", 1000 * 2.0 / 3},
	} {
		tr := &Trace{Kind: c.kind, Trials: c.trials, LimitS: 10}
		a := exerciseAdvice(tr.exercise(), tr)
		if !strings.Contains(a.Headline, c.said) || !strings.Contains(a.Detail, c.detail) {
			t.Errorf("%s: %q, %q; want %q, %q", c.kind, a.Headline, a.Detail, c.said, c.detail)
		}
		near(t, "cost of "+c.said, a.Cost, c.cost, 0.5)
	}
}
