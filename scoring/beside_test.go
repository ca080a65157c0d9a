package scoring

import (
	"strings"
	"testing"

	"driftdrill/sim"
)

// What a rating says beside a goal that was reached, that was missed, and alone.
func TestRatingBesideTheGoal(t *testing.T) {
	yes, no := true, false
	foot := Axis{Hand: 0, SD: 10, Low: 0, High: 13, Bound: AtMost, Saturated: true}
	for _, c := range []struct {
		a                  Axis
		goal               *bool
		words, note, short string
	}{
		{foot, &yes, "up to 13", "within reach", "up to 13"},
		{foot, &no, "13 or less", "lesser hands", "13 or less"},
		{foot, nil, "13 or less", "lesser hands", "13 or less"},
		{Axis{Hand: 1, SD: 11, Low: 0, High: 19}, &yes, "up to 19", "within reach", "up to 19"},
		{Axis{Hand: 1, SD: 11, Low: 0, High: 19}, &no, "1 ± 11", "", "1"},
		{Axis{Hand: 0, SD: 42, Low: 0, High: 69, Bound: AtMost, Saturated: true}, &yes, "up to 69", "says little", "up to 69"},
		{Axis{Hand: 0, SD: 50, Bound: AtMost, Saturated: true}, &no, "0", "never found", "0"},
		{Axis{Hand: 100, SD: 12, Low: 80, High: 100, Bound: AtLeast, Saturated: true}, &no, "80 or more", "asks for more", "80 or more"},
		{Axis{Hand: 100, SD: 12, Low: 80, High: 100, Bound: AtLeast, Saturated: true}, &yes, "80 or more", "Take a harder one", "80 or more"},
		{Axis{Hand: 42, SD: 6, Low: 32, High: 52}, &yes, "42 ± 6", "", "42"},
		{Axis{Hand: 48, SD: 21, Low: 20, High: 75, Saturated: true}, &yes, "20 to 75", "says little", "48"},
		{Axis{}, &yes, "", "", ""},
	} {
		words, note := c.a.Beside(c.goal)
		if words != c.words || !strings.Contains(note, c.note) || (note == "") != (c.note == "") {
			t.Errorf("%+v beside %v: %q, %q", c.a, c.goal, words, note)
		}
		if c.a.SD > 0 && c.a.Short(c.goal) != c.short {
			t.Errorf("%+v in short: %q", c.a, c.a.Short(c.goal))
		}
	}
	var d sim.Drill
	if GoalWord(true, &d) != "reached" || GoalWord(false, &d) != "not yet reached" {
		t.Error("a goal in a word")
	}
	if d.Goal.OwnRatingSD = 2; !strings.Contains(GoalWord(false, &d), "logbook") {
		t.Error("a goal that the rating reaches too")
	}
}
