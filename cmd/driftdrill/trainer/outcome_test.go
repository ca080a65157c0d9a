package trainer

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// Who was never on the air is told no offset, least of all one of 0 Hz.
func TestNoOffsetWithoutKeying(t *testing.T) {
	for _, c := range []struct{ keyed, rms float64 }{{0, 0}, {12, 40}, {0.5, 0.4}, {0, 0.4}, {0.5, 0}} {
		var o Outcome
		o.Marks.KeyedS, o.Marks.RMSHz = c.keyed, c.rms
		told := false
		o.holding(func(name, _ string, _ ...any) { told = told || name == "off by" })
		if told != (c.keyed > 0 || c.rms > 0) {
			t.Errorf("%.0f s on the air: the offset is told: %v", c.keyed, told)
		}
	}
}

// The time to find oneself is told where oneself was to be found: not where a
// drill begins at zero beat.
func TestFoundIsToldWhereItWasAsked(t *testing.T) {
	at := func(s float64) *float64 { return &s }
	for _, c := range []struct {
		found *float64
		want  string
	}{{nil, "never"}, {at(0), ""}, {at(3.21), "after 3.2 s"}} {
		var o Outcome
		o.Marks.FoundS = c.found
		told := ""
		o.holding(func(name, format string, args ...any) {
			if name == "found yourself" {
				told = fmt.Sprintf(format, args...)
			}
		})
		if told != c.want {
			t.Errorf("told %q, want %q", told, c.want)
		}
	}
}

// toldOf is what a run's text says under each name.
func toldOf(o *Outcome) map[string]string {
	told := map[string]string{}
	o.holding(func(name, format string, args ...any) { told[name] = fmt.Sprintf(format, args...) })
	return told
}

// The text of a run tells its marks as they are: shares in per cent, the sign of
// the offset, how often others asked.
func TestTextTellsTheMarks(t *testing.T) {
	back := 2.345
	var o Outcome
	o.Marks = scoring.Marks{HoldIndex: 742.4, ShareWithin25Hz: 0.31, ShareWithin50Hz: 0.62, ShareWithin100Hz: 0.93, RMSHz: 41.4, BiasHz: -12.4, ComeBackMedianS: &back, AskedToMove: 1}
	for name, want := range map[string]string{
		"hold index": "742 of 1000", "within 25 50 100 Hz": "31 62 93 % of the time", "off by": "41 Hz RMS, -12 Hz on average",
		"came back in": "2.3 s (median)", "asked to move": "once, by those on whose channel you were", "contact log": "", "hand rating": "",
	} {
		if got := toldOf(&o)[name]; got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
	o.Marks.AskedToMove = 3
	if got := toldOf(&o)["asked to move"]; got != "3 times, by those on whose channel you were" {
		t.Errorf("three times: %q", got)
	}
	if _, told := toldOf(&Outcome{})["asked to move"]; told {
		t.Error("nobody asked, and it is told")
	}
}

// The text of an exercise tells its answers, and of any run whether the goal was
// reached and why not.
func TestTextTellsAnswersAndGoal(t *testing.T) {
	missed := false
	o := Outcome{Sheet: &sim.Sheet{}}
	o.Sheet.Setup.Drill = sim.Drill{Title: "Hear the shift", Goal: sim.Goal{Text: "14 of 20 right"}}
	o.Marks.Exercise = &scoring.ExerciseMarks{Trials: 20, Correct: 13}
	o.GoalMet, o.GoalMissed = &missed, "one more would have done"
	o.Advice = scoring.Advice{Headline: "Listen longer.", Detail: "You answered after 0.4 s."}
	var b strings.Builder
	if err := o.WriteText(&b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Hear the shift on ", "right               13 of 20\n", "goal                14 of 20 right: ", "not reached         one more would have done\n", "next time           Listen longer.\n", "                    You answered after 0.4 s.\n"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("%q is not in\n%s", want, b.String())
		}
	}
	if strings.Contains(b.String(), "hold index") {
		t.Errorf("an exercise has a hold index:\n%s", b.String())
	}
	o.Advice.Detail, o.GoalMissed = "", ""
	b.Reset()
	if err := o.WriteText(&b); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "not reached") || !strings.HasSuffix(b.String(), "Listen longer.\n") {
		t.Errorf("more is told than there is:\n%s", b.String())
	}
}

// Nothing is doubted of a whole sheet that agrees; a cut one and one that differs
// are each told.
func TestDoubtsOfASheet(t *testing.T) {
	for _, c := range []struct {
		cut, ended, agrees bool
		want               []string
	}{
		{false, true, true, nil},
		{true, true, true, []string{"marked up to 20.0 s"}},
		{false, false, true, []string{"marked up to 20.0 s"}},
		{false, true, false, []string{"does not agree with its commands: tick 7"}},
		{true, false, false, []string{"marked up to 20.0 s", "does not agree with its commands: tick 7"}},
	} {
		o := Outcome{Sheet: &sim.Sheet{Cut: c.cut, Ended: c.ended, End: 20 * sim.TicksPerSecond}}
		o.Agrees, o.Differs = c.agrees, "tick 7"
		got := o.Doubts()
		same := len(got) == len(c.want)
		for i := 0; same && i < len(got); i++ {
			same = strings.Contains(got[i], c.want[i])
		}
		if !same {
			t.Errorf("%+v: %q", c, got)
		}
	}
}

// Who flies a drill by hand for its hold is rated among the reference hands; an
// exercise, a run for contacts, the computer's rule and setting the radios are not.
func TestWhatIsRated(t *testing.T) {
	for name, want := range map[string]bool{"first-hold": true, "come-back": true, "hear-the-shift": false, "ready-in-a-hurry": false, "make-room": false} {
		d, err := FindDrill(name)
		if err != nil {
			t.Fatal(err)
		}
		if got := Rated(&sim.Setup{Drill: d}); got != want {
			t.Errorf("%s (kind %q, rule %q): rated %v", name, d.Kind, d.Rule, got)
		}
	}
	if Rated(&sim.Setup{Drill: sim.Drill{Kind: "fly", Rule: "computer"}}) || !Rated(&sim.Setup{Drill: sim.Drill{Kind: "fly", Rule: "uplink"}}) || !Rated(&sim.Setup{}) {
		t.Error("the computer's rule is rated, or a hand's is not")
	}
}

// A file that is not there, or may not be read, is told by its name without the
// words of the system.
func TestFilesThatCannotBeOpened(t *testing.T) {
	for want, err := range map[string]error{
		"there is no file a.jsonl":             &os.PathError{Op: "open", Path: "a.jsonl", Err: os.ErrNotExist},
		"b.jsonl may not be read (permission)": fmt.Errorf("read: %w", &os.PathError{Op: "open", Path: "b.jsonl", Err: os.ErrPermission}),
		"something else":                       errors.New("something else"),
	} {
		if got := PlainFileError(err); got.Error() != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
