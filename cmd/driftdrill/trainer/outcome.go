package trainer

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// Outcome is a run after it was flown: its sheet, replayed, and what it earned.
type Outcome struct {
	Name  string // of its sheet
	Sheet *sim.Sheet
	scoring.Debrief
	Trace    *scoring.Trace
	Contacts []scoring.Contact // with what the contact log held of them
}

// MarkSheet replays a sheet and marks it.
func MarkSheet(sh *sim.Sheet) (Outcome, error) {
	d, trace, err := scoring.DebriefSheet(sh)
	o := Outcome{Name: sh.Name, Sheet: sh, Debrief: d, Trace: trace}
	if err == nil && d.Contacts > 0 {
		o.Contacts, err = scoring.Contacts(sh)
	}
	return o, err
}

// ReadSheet reads the sheet in a file.
func ReadSheet(path string) (*sim.Sheet, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, PlainFileError(err)
	}
	defer f.Close()
	return sim.ReadSheet(f, path)
}

// finishSheet marks a run that has ended and writes the last line of its sheet.
func finishSheet(rec *sim.Recorder, file SheetWriter) (Outcome, error) {
	o := Outcome{Name: file.Name()}
	if err := rec.Flush(); err != nil {
		return o, err
	}
	sh, err := sim.ReadSheet(bytes.NewReader(file.Contents()), file.Name())
	if err != nil {
		return o, err
	}
	rec.Close(sh)
	if o, err = MarkSheet(sh); err != nil {
		return o, err
	}
	return o, rec.Finish(o.Marks)
}

// markStored replays and marks a sheet of a store.
func markStored(s Store, name string) (Outcome, []byte, error) {
	text, err := s.Sheet(name)
	if err != nil {
		return Outcome{Name: name}, nil, err
	}
	sh, err := sim.ReadSheet(bytes.NewReader(text), name)
	if err != nil {
		return Outcome{Name: name}, nil, err
	}
	o, err := MarkSheet(sh)
	return o, text, err
}

// completeSheet gives a sheet that was cut short its marks and its last line,
// so that it counts as what it is: a run that ended where it was cut.
func completeSheet(s Store, name string) (Outcome, error) {
	o, _, err := markStored(s, name)
	if err != nil {
		return o, err
	}
	end, err := sim.CutLine(o.Sheet, o.Marks)
	if err != nil {
		return o, err
	}
	return o, s.CompleteSheet(name, end)
}

// Rated tells whether a setup has reference hands to be rated among.
func Rated(s *sim.Setup) bool {
	return (s.Drill.Kind == "" || s.Drill.Kind == "fly") && s.Drill.Rule != "computer" && !s.Drill.ForContacts() && s.Drill.Ready == nil
}

// Doubts say in one line each what is not as it should be about the sheet.
func (o *Outcome) Doubts() []string {
	var lines []string
	if o.Sheet.Cut || !o.Sheet.Ended {
		lines = append(lines, fmt.Sprintf("the sheet was cut short; marked up to %.1f s", o.Sheet.End.Seconds()))
	}
	if !o.Agrees {
		lines = append(lines, "the sheet does not agree with its commands: "+o.Differs)
	}
	return lines
}

// WriteText tells a person what the run earned.
func (o *Outcome) WriteText(w io.Writer) error {
	var b bytes.Buffer
	setup := &o.Sheet.Setup
	row := func(name, format string, args ...any) {
		fmt.Fprintf(&b, "%-20s"+format+"\n", append([]any{name}, args...)...)
	}
	fmt.Fprintf(&b, "%s on %s, pass of %s\n", setup.Drill.Title, setup.Bird.Name, setup.Pass.AOS.UTC().Format("2006-01-02 15:04 UTC"))
	for _, f := range setup.FlownWith() {
		row(f[0], "%s", f[1])
	}
	if x := o.Exercise; x != nil {
		row("right", "%d of %d", x.Correct, x.Trials)
	} else {
		o.holding(row)
	}
	if o.GoalMet != nil {
		row("goal", "%s: %s", setup.Drill.Goal.Text, scoring.GoalWord(*o.GoalMet, &setup.Drill))
		if o.GoalMissed != "" {
			row("not reached", "%s", o.GoalMissed)
		}
	}
	row("next time", "%s", o.Advice.Headline)
	if o.Advice.Detail != "" {
		row("", "%s", o.Advice.Detail)
	}
	if o.Trace != nil && setup.Hand == "" {
		if counts, why := scoring.Counts(setup, o.Marks, o.Trace, scoring.Beside{}); !counts {
			row("does not count", "%s", why)
		}
	}
	_, err := b.WriteTo(w)
	return err
}

// holding tells how a run was held.
func (o *Outcome) holding(row func(name, format string, args ...any)) {
	m := &o.Marks
	row("hold index", "%.0f of 1000", m.HoldIndex)
	switch {
	case m.FoundS == nil:
		row("found yourself", "never")
	case *m.FoundS > 0:
		row("found yourself", "after %.1f s", *m.FoundS)
	}
	row("within 25 50 100 Hz", "%.0f %.0f %.0f %% of the time", 100*m.ShareWithin25Hz, 100*m.ShareWithin50Hz, 100*m.ShareWithin100Hz)
	if m.KeyedS > 0 || m.RMSHz > 0 { // who was never on the air was off by nothing, and not by 0 Hz
		row("off by", "%.0f Hz RMS, %+.0f Hz on average", m.RMSHz, m.BiasHz)
	}
	if m.ComeBackMedianS != nil {
		row("came back in", "%.1f s (median)", *m.ComeBackMedianS)
	}
	if notes := scoring.NotesInWords(o.Contacts); notes != "" {
		row("contact log", "%s", notes)
	}
	switch m.AskedToMove {
	case 0:
	case 1:
		row("asked to move", "once, by those on whose channel you were")
	default:
		row("asked to move", "%d times, by those on whose channel you were", m.AskedToMove)
	}
	if r := o.Rating; r.Rated() {
		words, note := r.Beside(o.GoalMet)
		row("hand rating", "%s of 100", words)
		if note != "" {
			row("", "%s", note)
		}
	}
}

// PlainFileError says in plain words why a file cannot be opened.
func PlainFileError(err error) error {
	var path *os.PathError
	if errors.As(err, &path) {
		switch {
		case errors.Is(err, os.ErrNotExist):
			return fmt.Errorf("there is no file %s", path.Path)
		case errors.Is(err, os.ErrPermission):
			return fmt.Errorf("%s may not be read (permission)", path.Path)
		}
	}
	return err
}
