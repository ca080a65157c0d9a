package trainer

import (
	"bytes"
	"strings"
	"testing"
	"time"

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
