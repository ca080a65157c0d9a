package sim

import (
	"errors"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"
)

// The seed deals the forms of a drill out in turn, and the setup holds the one
// that was dealt: transponder, rule and words belong together.
func TestVariantsAreDealt(t *testing.T) {
	file := demoDrill(t, "two-rules")
	for seed := uint64(1); seed <= 4; seed++ {
		s := prepared(t, "two-rules", seed)
		d, tr := &s.Drill, s.transponder()
		odd := seed%2 == 1
		higherUp := tr.UplinkLowHz > tr.DownlinkLowHz
		if higherUp == odd || (d.Rule == "downlink") != odd || d.SecondRule != "both" {
			t.Errorf("seed %d: transponder %q, rule %q then %q", seed, tr.Name, d.Rule, d.SecondRule)
		}
		// "Turn the higher band" is the rule of the trade for one dial.
		if (d.Rule == "uplink") != higherUp {
			t.Errorf("seed %d: the one dial is that of the lower band", seed)
		}
		want := map[bool]string{false: "Up on 70 cm and down on 2 m", true: "up on 2 m and down on 70 cm"}[odd]
		if !strings.Contains(d.Brief, want) || d.Variants != nil {
			t.Errorf("seed %d: brief %q, %d variants left", seed, d.Brief, len(d.Variants))
		}
		again, err := Prepare(s.Drill, s.Bird, s.Elements, s.Site, demoFrom, seed)
		if err != nil || !reflect.DeepEqual(again, s) {
			t.Errorf("seed %d: the dealt drill prepared again is another: %v", seed, err)
		}
	}
	if got := file.dealt(7).Goal; !reflect.DeepEqual(got, file.Goal) {
		t.Errorf("a variant changed the goal: %+v", got)
	}
}

// A rule that a first or second part begins with starts at its own dials.
func TestVariantStartsAtZeroBeat(t *testing.T) {
	for seed := uint64(1); seed <= 6; seed++ {
		r, err := NewRun(prepared(t, "two-rules", seed))
		if err != nil {
			t.Fatal(err)
		}
		var s State
		for r.next <= r.setup.Lead {
			r.Step(&s)
		}
		if !s.InPassband || !s.Found || s.OffsetHz > 100 || s.OffsetHz < -100 {
			t.Errorf("seed %d: begins %.0f Hz off, inside the passband: %v", seed, s.OffsetHz, s.InPassband)
		}
	}
}

func TestBadVariantsAndGoals(t *testing.T) {
	data, err := os.ReadFile("../assets/drills/two-rules.toml")
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	mark := func(n int) string {
		return fmt.Sprintf("\n[[goal.also]]\nmeasure = %q\npass = 1\n", measures[n])
	}
	for name, c := range map[string]struct{ text, want string }{
		"rule":        {strings.Replace(text, "transponder = 2", "transponder = 2\nrule = \"neither\"", 1), "variant 1: rule"},
		"second rule": {strings.Replace(text, "[[variant]]\n", "[[variant]]\nsecond_rule = \"\"\nsecond_rule = \"x\"\n", 1), "already"},
		"transponder": {strings.Replace(text, "[[variant]]\ntransponder = 2", "[[variant]]\ntransponder = 200", 1), "variant 1: transponder"},
		"empty":       {text + "\n[[variant]]\n", "variant 2: says nothing"},
		"too many":    {text + strings.Repeat("\n[[variant]]\ncoach = \"x\"\n", 8), "9 variants"},
		"coach":       {strings.Replace(text, `coach = "Both hands:`, `coach = "{Both} hands:`, 1), "coach: has a { or }"},
		"other coach": {text + "\n[[variant]]\ncoach = \"{rhythm} and {more}\"\n", "variant 2: coach: has a { or }"},
		"key":         {text + "\n[[variant]]\nvoice = \"tone\"\n", "unknown key"},
		"twice":       {text + "\n[[goal.also]]\nmeasure = \"bird_drift_hz\"\npass = 1\n", "asked for twice"},
		"marks":       {text + mark(0) + mark(1) + mark(2) + mark(3) + mark(4), "6 marks"},
		"pass":        {text + "\n[[goal.also]]\nmeasure = \"hold_index\"\npass = -1\n", "goal.also 1: pass"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := ParseDrill([]byte(c.text), "my-drill.toml")
			var fault *FileError
			if !errors.As(err, &fault) || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
				t.Errorf("error %v, want %q in it", err, c.want)
			}
		})
	}
}

// Rehearse is the run that Step and the same hand give, bit by bit.
func TestRehearseIsTheSameRun(t *testing.T) {
	for _, c := range []struct{ drill, hand string }{{"come-back", "regular"}, {"busy-passband", "good"}, {"wrong-in-one-thing", "beginner"},
		{"both-hands", "perfect"}, {"two-rules", "expert"}, {"cold-find", "none"}} {
		setup := prepared(t, c.drill, 3)
		want, _, _ := fly(t, setup, c.hand)
		h, err := NewHand(c.hand, setup.Seed, &setup)
		if err != nil {
			t.Fatal(err)
		}
		var last State
		seen := Tick(0)
		if err := Rehearse(setup, h, func(s *State) { last = *s; seen++ }); err != nil {
			t.Fatal(err)
		}
		if last != *want.published {
			t.Errorf("%s by %s ends otherwise:\n got %+v\nwant %+v", c.drill, c.hand, last, *want.published)
		}
		if n := want.rendered() / slowTicks; seen < n || seen > n+1 {
			t.Errorf("%s: %d states seen of %d ticks", c.drill, seen, want.rendered())
		}
	}
}

// The perfect hand allocates nothing while it works, answers and aims.
func TestPerfectHandIsLean(t *testing.T) {
	for _, drill := range []string{"busy-passband", "both-hands", "hear-the-shift", "wrong-in-one-thing", "two-rules"} {
		setup := prepared(t, drill, 2)
		h, err := NewHand("perfect", 2, &setup)
		if err != nil {
			t.Fatal(err)
		}
		r, err := NewRun(setup)
		if err != nil {
			t.Fatal(err)
		}
		var s State
		post := r.Post
		if n := testing.AllocsPerRun(30*TicksPerSecond, func() { r.Step(&s); h.Act(&s, post) }); n != 0 {
			t.Errorf("%s: %v allocations per tick", drill, n)
		}
	}
}
