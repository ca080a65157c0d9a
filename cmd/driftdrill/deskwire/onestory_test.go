//go:build !nodesk

package deskwire

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/scoring/report"
	"driftdrill/sim"
	"driftdrill/testdata/race"
)

// contradicts are words that a reached goal cannot stand beside, and those that
// a missed one cannot.
var contradicts = map[bool][]string{
	true:  {"0 or less", "1 or less", "2 or less", "3 or less", "4 or less", "5 or less", "6 or less", "7 or less", "8 or less", "9 or less", "not yet", "not reached", "lesser hands", "never found yourself", "You never"},
	false: {"passed", "Clean", "Take a harder", ": reached", "All right. Take", "within reach"},
}

// Whoever flew it: the command line, the page, the debrief with its rating and
// the row of the logbook tell one story of a run. Every drill is flown by hands
// from nobody's to the perfect one.
func TestOneStory(t *testing.T) {
	drills, err := trainer.Drills()
	if err != nil {
		t.Fatal(err)
	}
	ladders := &scoring.Ladders{}
	feet := 0
	for _, d := range drills {
		if (testing.Short() || race.On) && !slices.Contains([]string{"first-hold", "call-cq", "weak-and-fading"}, d.Name) {
			continue
		}
		for _, hand := range []string{"none", "level:0", "first-evening", "regular", "perfect"} {
			f := trainer.Flight{Drill: d.Name, Seed: 3}
			setup, err := f.Prepare()
			if err != nil {
				t.Fatal(err)
			}
			h, err := sim.NewHand(hand, 3, &setup)
			if err != nil {
				t.Fatal(err)
			}
			o, _, err := trainer.Rehearse(setup, h, (*trainer.HandedRun).Silently)
			if err != nil {
				t.Fatal(err)
			}
			var l *scoring.Ladder
			if trainer.Rated(&setup) {
				o.Rating, l = ladders.Rate(&setup, o.Marks, o.Trace, 0, nil)
			}
			if o.GoalMet == nil {
				continue
			}
			for where, text := range tellings(t, o, l) {
				for _, word := range contradicts[*o.GoalMet] {
					if strings.Contains(text, word) {
						t.Errorf("%s by %s, goal reached %v: %s says %q:\n%s", d.Name, hand, *o.GoalMet, where, word, text)
					}
				}
			}
			if r := o.Rating; r.Rated() && *o.GoalMet && r.Bound == scoring.AtMost {
				feet++
			}
		}
	}
	if feet == 0 {
		t.Error("no run at the foot of the scale reached its goal: nothing was tried")
	}
}

// tellings are all texts of a run, by where they stand.
func tellings(t *testing.T, o trainer.Outcome, l *scoring.Ladder) map[string]string {
	t.Helper()
	said := map[string]string{}
	var b bytes.Buffer
	if err := o.WriteText(&b); err != nil {
		t.Fatal(err)
	}
	said["the command line"] = b.String()
	b.Reset()
	if err := report.Write(&b, report.Run{Debrief: o.Debrief, Trace: o.Trace, Setup: &o.Sheet.Setup, Ladder: l}); err != nil {
		t.Fatal(err)
	}
	page := b.String()
	said["the page"] = page[strings.Index(page, "</style>"):]
	r := resultOf(o)
	text := r.Verdict + "\n" + r.Headline + "\n" + r.Detail
	if *o.GoalMet { // the words of a passed goal are the drill's own
		text = strings.TrimPrefix(text, "passed: ")
	}
	row := ""
	if o.Rating.Rated() {
		rated := ratedAs(o.Rating, o.GoalMet, l, "")
		text += "\nhand rating " + rated.Words + "\n" + rated.Note
		row = "hand " + o.Rating.Short(o.GoalMet)
	}
	said["the debrief"], said["the logbook"] = text, row
	return said
}

// What an exercise came to is told in one measure by debrief, logbook and
// drills page, or each says what its figure is of.
func TestAnswersAreToldInOneMeasure(t *testing.T) {
	drills, err := trainer.Drills()
	if err != nil {
		t.Fatal(err)
	}
	w, asked := aWiring(t, port.Settings{}), 0
	for i, d := range drills {
		if d.Kind == "fly" || d.Kind == "" {
			continue
		}
		asked++
		setup, err := (&trainer.Flight{Drill: d.Name, Seed: 3}).Prepare()
		if err != nil {
			t.Fatal(err)
		}
		h, err := sim.NewHand("first-evening", 3, &setup)
		if err != nil {
			t.Fatal(err)
		}
		o, text, err := trainer.Rehearse(setup, h, (*trainer.HandedRun).Silently)
		if err != nil {
			t.Fatal(err)
		}
		x := o.Marks.Exercise
		count := fmt.Sprintf("%d of %d", x.Correct, x.Trials) // the debrief's title
		c, err := trainer.CourseOf(t.Context(), nil, "", time.Now(), &o)
		if err != nil {
			t.Fatal(err)
		}
		e := drillEntry(c.Step(d.Name))
		part := strings.HasSuffix(d.Goal.Measure, "hz")
		if e.Best != e.Last || part && !strings.Contains(e.Best, "% at ") || !part && e.Best != count {
			t.Errorf("%s: %s in the debrief, best %q, last %q", d.Name, count, e.Best, e.Last)
		}
		w.trainer.Keep(o, text, time.Now().Add(time.Duration(i)*time.Minute))
		w.trainer.Wait()
		list, _, err := deskBook{w}.Runs(t.Context(), "", 1)
		if err != nil || len(list) != 1 || list[0].Score != count {
			t.Errorf("%s: %s in the debrief, in the logbook %+v, %v", d.Name, count, list, err)
		}
	}
	if asked < 3 {
		t.Errorf("%d exercises were tried", asked)
	}
	if err := w.trainer.Close(); err != nil {
		t.Error(err)
	}
}

// What the debrief is told of a rating is what its goal came to, at once and
// when the run is opened again.
func TestRatingIsToldBesideTheGoal(t *testing.T) {
	w := aWiring(t, port.Settings{})
	f := trainer.Flight{Drill: trainer.FirstDrill, Seed: 3}
	setup, err := f.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	hand, err := sim.NewHand("level:0", 3, &setup)
	if err != nil {
		t.Fatal(err)
	}
	o, text, err := trainer.Rehearse(setup, hand, (*trainer.HandedRun).Silently)
	if err != nil || o.GoalMet == nil || !*o.GoalMet {
		t.Fatal(o.GoalMet, err)
	}
	k := w.trainer.Keep(o, text, time.Now())
	told := func(rated *port.Rated, err error) {
		t.Helper()
		if err != nil || !strings.HasPrefix(rated.Words, "up to ") || !strings.Contains(rated.Note, "within reach") {
			t.Errorf("%+v, %v", rated, err)
		}
	}
	told(rateOf(k)(t.Context(), nil))
	w.trainer.Wait()
	list, _, err := deskBook{w}.Runs(t.Context(), "", 10)
	if err != nil || len(list) != 1 || !strings.HasPrefix(list[0].RatingWords, "up to ") || list[0].Goal != "reached" {
		t.Fatalf("%+v, %v", list, err)
	}
	_, r, err := deskBook{w}.Open(t.Context(), list[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	told(r.Rate(t.Context(), func(int, int) {}))
	if err := w.trainer.Close(); err != nil {
		t.Error(err)
	}
}
