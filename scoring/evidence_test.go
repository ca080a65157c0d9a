package scoring

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"driftdrill/sim"
)

// The marks on a sheet agree with its commands within their tolerances, and
// the first that does not is named, with both figures.
func TestMarksOnASheetAreCompared(t *testing.T) {
	found := 12.0
	m := Marks{Formula: Formula, HoldIndex: 500, RMSHz: 40, BiasHz: 5, ShareWithin25Hz: 0.2, ShareWithin50Hz: 0.5, ShareWithin100Hz: 0.8, FoundS: &found,
		OnOthersS: 3, AboveBeaconS: 4, HeldS: 100, KeyedS: 90}
	differs := func(change func(*Marks)) string {
		was := m
		change(&was)
		raw, err := json.Marshal(was)
		if err != nil {
			t.Fatal(err)
		}
		return marksDiffer(raw, &Trace{}, m)
	}
	for name, c := range map[string]struct {
		of     func(*Marks) *float64
		agrees float64 // the largest difference that still agrees, and a little less
		figure string
	}{
		"hold_index":         {func(m *Marks) *float64 { return &m.HoldIndex }, 0.009, "500"},
		"rms_hz":             {func(m *Marks) *float64 { return &m.RMSHz }, 0.009, "40"},
		"bias_hz":            {func(m *Marks) *float64 { return &m.BiasHz }, 0.009, "5"},
		"share_within_25hz":  {func(m *Marks) *float64 { return &m.ShareWithin25Hz }, 0.0014, "0.2"},
		"share_within_50hz":  {func(m *Marks) *float64 { return &m.ShareWithin50Hz }, 0.0014, "0.5"},
		"share_within_100hz": {func(m *Marks) *float64 { return &m.ShareWithin100Hz }, 0.0014, "0.8"},
		"found_s":            {func(m *Marks) *float64 { x := *m.FoundS; m.FoundS = &x; return m.FoundS }, 0.05, "12"},
		"on_others_s":        {func(m *Marks) *float64 { return &m.OnOthersS }, 0.05, "3"},
		"above_beacon_s":     {func(m *Marks) *float64 { return &m.AboveBeaconS }, 0.05, "4"},
		"held_s":             {func(m *Marks) *float64 { return &m.HeldS }, 0.05, "100"},
		"keyed_s":            {func(m *Marks) *float64 { return &m.KeyedS }, 0.05, "90"},
	} {
		for _, sign := range []float64{1, -1} {
			if what := differs(func(m *Marks) { *c.of(m) += sign * c.agrees }); what != "" {
				t.Errorf("%s by %g: %s", name, c.agrees, what)
			}
			what := differs(func(m *Marks) { *c.of(m) += sign * 2 * c.agrees })
			if !strings.HasPrefix(what, "marks: "+name+" is ") || !strings.HasSuffix(what, " and "+c.figure+" by its commands") {
				t.Errorf("%s by twice as much: %q", name, what)
			}
		}
	}
	if what := differs(func(m *Marks) { m.FoundS = nil }); what != "marks: found_s is -1 on the sheet and 12 by its commands" {
		t.Errorf("never found on the sheet: %q", what)
	}
	for _, raw := range []string{"", "null", `{"formula":0,"hold_index":9}`, `{"formula":99,"hold_index":9}`} {
		if what := marksDiffer(json.RawMessage(raw), &Trace{}, m); what != "" {
			t.Errorf("%s: %s", raw, what)
		}
	}
	if what := marksDiffer(json.RawMessage(`{"formula":"x"}`), &Trace{}, m); !strings.Contains(what, "cannot be read") {
		t.Errorf("marks that are none: %q", what)
	}
}

// How fast a run went by the clock beside its hashes: the seconds round a pause
// those of which nothing is known and the first three are left out; under 20 s
// nothing is told.
func TestSpeedByHand(t *testing.T) {
	clock := func(n int, ms func(i int) int64) (wall []int64) {
		for i := range n {
			wall = append(wall, ms(i))
		}
		return wall
	}
	steady := func(i int) int64 { return 1250 * int64(i) }
	near(t, "a quarter slow", speedOf(clock(41, steady), nil), 0.8, 0)
	near(t, "20 s are enough", speedOf(clock(24, steady), nil), 0.8, 0)
	near(t, "19 s are not", speedOf(clock(23, steady), nil), 0, 0)
	near(t, "a pause of ten minutes", speedOf(clock(61, func(i int) int64 {
		if i >= 30 {
			return steady(i) + 600_000
		}
		return steady(i)
	}), map[int]bool{30: true}), 0.8, 0)
	near(t, "nothing known of every other second", speedOf(clock(61, func(i int) int64 {
		if i%2 == 1 {
			return -1
		}
		return steady(i)
	}), nil), 0.8, 0)
	near(t, "a pause in a second of which nothing is known", speedOf(clock(62, func(i int) int64 {
		switch {
		case i == 30:
			return -1
		case i > 30:
			return steady(i) + 90_000
		}
		return steady(i)
	}), map[int]bool{30: true}), 0.8, 0)
	near(t, "a clock that was put back", speedOf(clock(62, func(i int) int64 {
		if i > 30 {
			return steady(i) - 30_000
		}
		return steady(i)
	}), nil), 0.8, 0)
	near(t, "a clock that stands", speedOf(clock(61, func(int) int64 { return 5 }), nil), 0, 0)
	near(t, "two halves", speedOf(clock(44, func(i int) int64 { return 1000*int64(min(i, 23)) + 2000*int64(max(0, i-23)) }), nil), 0.667, 0)
	opened := func(late int) func(i int) int64 { // the clock runs on for 5 s before second late
		return func(i int) int64 { return 1000 * int64(i+5*min(1, i/late)) }
	}
	near(t, "a device that opens slowly", speedOf(clock(44, opened(3)), nil), 1, 0)
	near(t, "one that stands still later", speedOf(clock(44, opened(4)), nil), 40./45, 5e-4)
}

// Conditions by hand from the commands of a sheet: pauses once keying was
// permitted, seconds in which sound ran dry, and all aids that were ever on.
func TestConditionsByHand(t *testing.T) {
	at := func(s float64) sim.Tick { return sim.Tick(s * sim.TicksPerSecond) }
	sh := &sim.Sheet{End: at(200), Commands: []sim.Command{
		{Tick: at(3), Kind: sim.CommandPause}, {Tick: at(10), Kind: sim.CommandPause}, {Tick: at(80), Kind: sim.CommandPause},
		{Tick: at(20), Kind: sim.CommandAid, Value: 1}, {Tick: at(30), Kind: sim.CommandAid, Value: 4}, {Tick: at(40), Kind: sim.CommandAid, Value: 0},
		{Tick: at(50), Kind: sim.CommandSound, Value: 2}, {Tick: at(50.5), Kind: sim.CommandSound, Value: 3}, {Tick: at(60), Kind: sim.CommandSound, Value: 3},
		{Tick: at(61), Kind: sim.CommandSound, Value: 4}, {Tick: at(62.9), Kind: sim.CommandSound, Value: 7},
	}}
	c := conditionsOf(sh, at(10))
	if c.Pauses != 2 || c.Aids != 5 || c.GapShare != 0.015 || c.Speed != 0 {
		t.Errorf("%+v; want 2 pauses, aids 5, and 3 dry seconds of 200", c)
	}
	sh.End = at(0.9)
	if c := conditionsOf(sh, 0); c.GapShare != 0 {
		t.Errorf("of less than a second: %g", c.GapShare)
	}
}

// Why a run counts or does not, on each side of its limits.
func TestLimitsOfWhatCounts(t *testing.T) {
	for what, c := range map[string]struct {
		spoil  func(*sim.Setup, *Marks, *Trace)
		counts bool
		said   string
	}{
		"3 % slower":            {func(_ *sim.Setup, _ *Marks, tr *Trace) { tr.Conditions.Speed = 0.97 }, true, ""},
		"a little more":         {func(_ *sim.Setup, _ *Marks, tr *Trace) { tr.Conditions.Speed = 0.969 }, false, "took 3 % longer"},
		"half speed":            {func(_ *sim.Setup, _ *Marks, tr *Trace) { tr.Conditions.Speed = 0.5 }, false, "took 100 % longer"},
		"one dry second in 100": {func(_ *sim.Setup, _ *Marks, tr *Trace) { tr.Conditions.GapShare = 0.01 }, true, ""},
		"more":                  {func(_ *sim.Setup, _ *Marks, tr *Trace) { tr.Conditions.GapShare = 0.011 }, false, "in 2 % of its seconds"},
		"ended after a minute":  {func(_ *sim.Setup, m *Marks, _ *Trace) { m.Stopped, m.KeyedS = true, 60 }, true, "ended early: it counts as nothing held"},
		"not ended":             {func(_ *sim.Setup, m *Marks, _ *Trace) { m.KeyedS = 10 }, true, ""},
		"contacts": {func(_ *sim.Setup, _ *Marks, tr *Trace) {
			tr.Plan.Free = true
			stretch(tr, 50, 200, func(s *Sample) { s.ReceiveHz += 9000 })
		}, true, ""},
		"the other dial by 300 Hz": {func(_ *sim.Setup, _ *Marks, tr *Trace) { stretch(tr, 50, 200, func(s *Sample) { s.ReceiveHz += 300 }) }, true, ""},
		"aids on the way":          {func(_ *sim.Setup, _ *Marks, tr *Trace) { tr.Conditions.Aids = 1 }, true, "flown with " + sim.AidWords(1)[0] + ": it counts as at most"},
	} {
		tr := level(samplesIn(200), constant(10), nil)
		tr.Chained = true
		s, m := sim.Setup{Drill: sim.Drill{Name: "made-up"}}, Measure(tr)
		c.spoil(&s, &m, tr)
		if counts, said := Counts(&s, m, tr, Beside{}); counts != c.counts || !strings.Contains(said, c.said) || c.said == "" && said != "" {
			t.Errorf("%s: counts %v, %q", what, counts, said)
		}
	}
}

// A run that its operator gave up counts as nothing held: hand 0, up to 1.645 times 20.
func TestGivenUpCountsAsNothingHeld(t *testing.T) {
	r := CountedRating(&sim.Setup{}, Marks{Stopped: true}, &Trace{}, &Rating{Axis: Axis{Hand: 70, SD: 5}})
	if r.Hand != 0 || r.SD != 20 || math.Abs(r.High-32.9) > 1e-9 || r.Low != 0 || !r.Saturated || r.Bound != AtMost {
		t.Errorf("%+v", r)
	}
	contacts := &sim.Setup{Drill: sim.Drill{Plan: sim.DrillPlan{Free: true}, Situations: sim.Situations{Objects: true}}}
	if !contacts.Drill.ForContacts() {
		t.Fatal("a drill of contacts is none")
	}
	own := &Rating{Axis: Axis{Hand: 70, SD: 5}}
	if got := CountedRating(contacts, Marks{Stopped: true}, &Trace{}, own); got != own {
		t.Errorf("of contacts nothing is held that could be given up: %+v", got)
	}
}

// The sheet's word on itself: what it is not verified for.
func TestWhyASheetIsNotVerified(t *testing.T) {
	sh := &sim.Sheet{Ended: true}
	if a := Verify(sh, &Trace{Difference: sim.Difference{What: "state differs", Tick: 700}}, Marks{}); a.Agrees || a.Verified || a.Tick == nil || *a.Tick != 700 || a.Why != "tick 700: state differs" {
		t.Errorf("%+v", a)
	}
	sh.Marks = json.RawMessage(`{"formula":3,"hold_index":9}`)
	if a := Verify(sh, &Trace{}, Marks{Formula: 3}); a.Agrees || a.Verified || a.Tick != nil || !strings.HasPrefix(a.Why, "marks: hold_index is 9") {
		t.Errorf("%+v", a)
	}
	sh.Marks = nil
	if a := Verify(sh, &Trace{}, Marks{}); !a.Agrees || a.Verified || !strings.HasPrefix(a.Why, "an old sheet") {
		t.Errorf("%+v", a)
	}
}
