package trainer

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
	"driftdrill/sim"
)

// anOutcome is the first drill flown as if by hand.
func anOutcome(t *testing.T, hand string) (Outcome, []byte) {
	t.Helper()
	text := bytes.Replace(aSheet(t, hand), []byte(`"hand":"`+hand+`"`), []byte(`"hand":""`), 1)
	sh, err := sim.ReadSheet(bytes.NewReader(text), "sheet")
	if err != nil {
		t.Fatal(err)
	}
	o, err := MarkSheet(sh)
	if err != nil {
		t.Fatal(err)
	}
	return o, text
}

// A newcomer begins with the first drill; one who failed there stays, one who
// passed goes on to the course. The run flown just now counts as one that is in
// the logbook does.
func TestCourse(t *testing.T) {
	now := time.Now()
	c, err := CourseOf(t.Context(), nil, "", now)
	if err != nil || c.Next == nil || c.Next.Drill != FirstDrill {
		t.Fatalf("a newcomer: %+v, %v", c.Next, err)
	}
	for _, s := range c.Steps {
		if s.Done || len(s.Tries) > 0 || s.Drill.Trains == "" || (s.Why != "") != (s.Drill.Name == FirstDrill) || s.Best() != "" {
			t.Errorf("a newcomer: %+v", s)
		}
		if after := c.Step(s.Drill.After); s.Drill.After != "" && (after == nil || after.Drill.Number >= s.Drill.Number || !strings.Contains(s.Note, after.Drill.Title)) {
			t.Errorf("%s is better flown after %q: %q", s.Drill.Name, s.Drill.After, s.Note)
		}
	}
	for hand, passed := range map[string]bool{"none": false, "expert": true} {
		o, text := anOutcome(t, hand)
		just, err := CourseOf(t.Context(), nil, "", now, &o)
		if err != nil {
			t.Fatal(err)
		}
		var said []error
		tr := ownTrainer(t.TempDir(), &said)
		b, err := tr.Book()
		if err != nil {
			t.Fatal(err)
		}
		if _, _, err := b.Add(t.Context(), logbook.Run{Flown: now, Sheet: text}); err != nil {
			t.Fatal(err)
		}
		kept, err := CourseOf(t.Context(), b, "", now)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []*Course{just, kept} {
			first := c.Step(FirstDrill)
			if first.Done != passed || len(first.Tries) != 1 || first.TryText(0) == "" || first.Best() != first.TryText(0) || (first.Share(0) >= 1) != passed {
				t.Errorf("%s: %+v", hand, first)
			}
			if passed == (c.Next.Drill == FirstDrill) {
				t.Errorf("%s goes on with %s", hand, c.Next.Drill)
			}
		}
		if just.Next.Drill != kept.Next.Drill || just.Step(just.Next.Drill).Why != kept.Step(kept.Next.Drill).Why {
			t.Errorf("%s: %+v at once, %+v from the logbook", hand, just.Next, kept.Next)
		}
		if err := tr.Close(); err != nil {
			t.Error(err)
		}
	}
}

// A try is told as its drill measures it: in the goal's unit, by its answers, or
// as not found; one that was ended early says so and is never the best.
func TestTriesInWords(t *testing.T) {
	step := func(name string) *Step {
		d, err := FindDrill(name)
		if err != nil {
			t.Fatal(err)
		}
		return &Step{Drill: d}
	}
	hold := step("first-hold")
	hold.Tries = []Try{{Value: 400, Known: true}, {Value: 742, Known: true}, {Value: 900, Known: true, Stopped: true}, {}, {Value: 500, Known: true}}
	for i, want := range []string{"400", "742", "900, ended early", "not found", "500"} {
		if got := hold.TryText(i); got != want {
			t.Errorf("try %d: %q, want %q", i, got, want)
		}
	}
	if got := hold.Best(); got != "742" {
		t.Errorf("the best is %q", got)
	}
	if hold.Share(3) != 0 || hold.Share(0) >= 1 || hold.Share(1) <= 1 {
		t.Errorf("shares of the mark: %g, %g, %g", hold.Share(3), hold.Share(0), hold.Share(1))
	}
	quick := step("come-back") // the less the better
	quick.Tries = []Try{{Value: 3.4, Known: true}, {Value: 2.1, Known: true}, {Value: 5, Known: true}}
	if got := quick.Best(); got != "2.1 s" {
		t.Errorf("the quickest is %q", got)
	}
	of25, of50 := 0.4, 0.6
	m := &scoring.Marks{Exercise: &scoring.ExerciseMarks{Trials: 20, Correct: 16, Correct25Hz: &of25, Correct50Hz: &of50}}
	for measure, want := range map[string]string{"correct_share": "16 of 20", "first_move_share": "16 of 20", "correct_share_25hz": "40 % at 25 Hz", "correct_share_50hz": "60 % at 50 Hz", "hold_index": ""} {
		d := &sim.Drill{Goal: sim.Goal{Measure: measure}}
		if got := answersText(d, m); got != want {
			t.Errorf("%s: %q, want %q", measure, got, want)
		}
		if got := answersText(d, &scoring.Marks{}); got != "" {
			t.Errorf("%s without an exercise: %q", measure, got)
		}
	}
	if got := answersText(&sim.Drill{Goal: sim.Goal{Measure: "correct_share_25hz"}}, &scoring.Marks{Exercise: &scoring.ExerciseMarks{}}); got != "" {
		t.Errorf("nothing was 25 Hz off: %q", got)
	}
}

// The next step says why it is: the first five minutes, what it trains, or what
// was missed last time.
func TestWhyAStepIsNext(t *testing.T) {
	d := sim.Drill{Name: "x", Trains: "the ear", Goal: sim.Goal{Measure: "hold_index", Text: "Hold index 600", Pass: 600}}
	tried := func(passed ...bool) (tries []Try) {
		for _, p := range passed {
			tries = append(tries, Try{Value: 500, Known: true, Passed: p})
		}
		return tries
	}
	plain := d
	plain.Trains = ""
	first := d
	first.Name = FirstDrill
	for want, s := range map[string]Step{
		"Your first five minutes. The card on the desk says what to do.":     {Drill: first},
		"It is time. It trains the ear.":                                     {Drill: d},
		"It is time.":                                                        {Drill: plain},
		"It is time. Last time: 500. The mark to reach: hold index 600.":     {Drill: d, Tries: tried(true, false)},
		"It is time. Last time: 500. The mark to reach: hold index 600.\x00": {Drill: first, Tries: tried(false)},
		"It is time.\x00":                                                    {Drill: d, Tries: tried(false, true)},
	} {
		if got := s.why("it is time."); got != strings.TrimSuffix(want, "\x00") {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if upperFirst("") != "" || lowerFirst("") != "" || upperFirst("a") != "A" || lowerFirst("A") != "a" {
		t.Error("the first letter")
	}
}

// A drill is told by its bird, height, length and place in the course.
func TestADrillInWords(t *testing.T) {
	for want, d := range map[string]sim.Drill{
		"FULMAR-3 · 1480 km up · 5 min": {Bird: "fulmar-3", Pass: sim.DrillPass{HeightKm: 1480, LengthS: 300}},
		"LARK-1 · 1 min":                {Bird: "lark-1", Pass: sim.DrillPass{LengthS: 60}},
		"LARK-1 · 2 min":                {Bird: "lark-1", Pass: sim.DrillPass{LengthS: 107}}, // 3.57 half minutes are 4
		"LARK-1":                        {Bird: "lark-1", Pass: sim.DrillPass{LengthS: 59}},
		"LARK-1 · not rated":            {Bird: "lark-1", Ready: &sim.DrillReady{}},
	} {
		if got := (&Step{Drill: d}).FlightWords(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if got := (&Step{Drill: sim.Drill{Number: 7, Title: "Slow climb"}}).Title(); got != "drill 7" {
		t.Error(got)
	}
	if got := (&Step{Drill: sim.Drill{Title: "Slow climb"}}).Title(); got != "Slow climb" {
		t.Error(got)
	}
}

// Only an operator's own runs by hand count on his course, oldest first, and a run
// that was stopped does not pass its drill.
func TestWhoseRunsCount(t *testing.T) {
	met := true
	c := &Course{Steps: []Step{{Drill: sim.Drill{Name: "first-hold", Goal: sim.Goal{Measure: "hold_index"}}}, {Drill: sim.Drill{Name: "come-back"}}}}
	c.take("first-hold", scoring.Marks{HoldIndex: 700, HeldS: 10}, &met, scoring.Tried{})
	c.take("first-hold", scoring.Marks{HoldIndex: 710, HeldS: 10, Stopped: true}, &met, scoring.Tried{})
	c.take("first-hold", scoring.Marks{}, nil, scoring.Tried{})
	c.take("my-own", scoring.Marks{}, &met, scoring.Tried{})
	tries := c.Steps[0].Tries
	if len(tries) != 3 || len(c.Steps[1].Tries) != 0 {
		t.Fatalf("%+v", c.Steps)
	}
	if !tries[0].Passed || tries[1].Passed || tries[2].Passed || tries[0].Stopped || !tries[1].Stopped || !tries[0].flown.GoalMet || tries[1].flown.GoalMet || tries[0].Value != 700 {
		t.Errorf("%+v", tries)
	}
	_, text := anOutcome(t, "none")
	var said []error
	tr := ownTrainer(t.TempDir(), &said)
	defer tr.Close()
	b, err := tr.Book()
	if err != nil {
		t.Fatal(err)
	}
	other := bytes.Replace(text, []byte(`"hand":""`), []byte(`"hand":"","operator":"Q3FEN"`), 1)
	for i, sheet := range [][]byte{text, other, aSheet(t, "regular")} {
		if _, _, err := b.Add(t.Context(), logbook.Run{Flown: time.Unix(int64(i), 0), Sheet: sheet}); err != nil {
			t.Fatal(err)
		}
	}
	got, err := CourseOf(t.Context(), b, "", time.Now())
	if err != nil || len(got.Step(FirstDrill).Tries) != 1 {
		t.Errorf("%d tries of his, %v", len(got.Step(FirstDrill).Tries), err)
	}
}
