package sim

import (
	"strings"
	"testing"
)

// Without a rule of its own a drill turns the higher band (the trade's rule,
// common practice), and its texts say so: what climbs and what sinks follows
// from the signs of Doppler, which TestFactsOfTheTrade flies.
func TestRuleByTheBands(t *testing.T) {
	for _, c := range []struct {
		bird        string
		transponder int
		rule        string
		words       string
	}{
		{"fulmar-3", 1, "uplink", "uplink Uplink too high up up climbs up down"},
		{"fulmar-3", 2, "uplink", "uplink Uplink too low up down sinks down up"},
		{"dipper-2", 1, "uplink", "uplink Uplink too high up up climbs up down"},
		{"dipper-2", 2, "downlink", "receive dial Receive dial too low down down sinks up down"},
		{"stilt-4", 1, "downlink", "receive dial Receive dial too low down down sinks up down"},
	} {
		d := demoDrill(t, "come-back")
		d.Transponder = c.transponder
		d.Pass.HeightKm = 0
		d.Brief = "{dial} {Dial} {side} {fix} {pull} {climbs} {high} {low}"
		s, err := Prepare(d, demoBird(t, c.bird), demoElements(t, c.bird), quernHill, demoFrom, 1)
		if err != nil {
			t.Fatal(err)
		}
		if s.Drill.Rule != c.rule || s.Drill.Brief != c.words {
			t.Errorf("%s, transponder %d: rule %q, words %q; want %q and %q", c.bird, c.transponder, s.Drill.Rule, s.Drill.Brief, c.rule, c.words)
		}
	}
}

// A hand that does what the words say comes nearer to true, on every bundled
// bird: the direction in which {fix} turns {dial} lowers the size of an offset
// on the side where the pass pulls it.
func TestTurningWordsAreRight(t *testing.T) {
	for _, b := range bundledBirds(t) {
		for n := range b.Transponders {
			for _, rule := range []string{"uplink", "downlink"} {
				d := demoDrill(t, "come-back")
				d.Transponder, d.Rule, d.Pass.HeightKm = n+1, rule, 0
				d.Start.OffsetHz, d.Start.Side = [2]float64{400, 400}, "away"
				s, err := Prepare(d, b, demoElements(t, strings.ToLower(b.Name)), quernHill, demoFrom, 1)
				if err != nil {
					t.Fatal(err)
				}
				r, err := NewRun(s)
				if err != nil {
					t.Fatal(err)
				}
				var st State
				for range 5 * TicksPerSecond {
					r.Step(&st)
				}
				tr := &b.Transponders[n]
				say := func(mark string) string { return TurningWords(mark, tr, rule) }
				if high := st.OffsetHz > 0; high != (say(SideMark) == "too high") || (st.RateHzS > 0) != (say(ClimbsMark) == "climbs") {
					t.Errorf("%s %d: the offset is %.0f Hz, moving at %.1f Hz/s, but the words are %q, %q", b.Name, n+1, st.OffsetHz, st.RateHzS, say(SideMark), say(ClimbsMark))
				}
				notch := int64(1)
				if say(FixMark) == "down" {
					notch = -1
				}
				before := st.OffsetHz
				r.Post(CommandKnob, notch*5)
				r.Step(&st)
				if abs(st.OffsetHz) >= abs(before) {
					t.Errorf("%s %d, %s: turned %s, the offset goes from %.0f to %.0f Hz", b.Name, n+1, rule, say(FixMark), before, st.OffsetHz)
				}
			}
		}
	}
}
