package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// outcome is a run after it was flown: its sheet, replayed, and what it earned.
type outcome struct {
	path  string
	sheet *sim.Sheet
	scoring.Debrief
	trace *scoring.Trace
}

// markSheet replays a sheet and marks it.
func markSheet(sh *sim.Sheet) (outcome, error) {
	d, trace, err := scoring.DebriefSheet(sh)
	return outcome{sh.Name, sh, d, trace}, err
}

// finishSheet marks a run that has ended and writes the last line of its sheet.
func finishSheet(run *sim.Run, rec *sim.Recorder, file *sheetFile) (outcome, error) {
	o := outcome{path: file.path}
	if err := rec.Flush(); err != nil {
		return o, err
	}
	sh, err := sim.ReadSheet(bytes.NewReader(file.contents()), file.path)
	if err != nil {
		return o, err
	}
	rec.Close(sh)
	if o, err = markSheet(sh); err != nil {
		return o, err
	}
	return o, rec.Finish(o.Marks)
}

// readSheet reads a sheet from a file.
func readSheet(path string) (*sim.Sheet, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, plainFileError(err)
	}
	defer f.Close()
	return sim.ReadSheet(f, path)
}

// markFile replays and marks the sheet in a file.
func markFile(path string) (outcome, error) {
	sh, err := readSheet(path)
	if err != nil {
		return outcome{path: path}, err
	}
	return markSheet(sh)
}

// sheetFolder is where the sheets of flown runs lie.
func sheetFolder() string { return filepath.Join(dataFolder(), "sheets") }

// reserveSheet makes an empty file named after the time at which a run was
// begun and its drill; one that begins in the same second, here or in another
// copy of the program, gets a number.
func reserveSheet(folder string, setup *sim.Setup, now time.Time) (path string, err error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return "", err
	}
	stem := filepath.Join(folder, now.UTC().Format("20060102-150405")+"-"+setup.Drill.Name)
	path = stem + ".jsonl"
	for n := 2; ; n++ {
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if err == nil {
			return path, f.Close()
		}
		if !errors.Is(err, fs.ErrExist) {
			return "", err
		}
		path = fmt.Sprintf("%s-%d.jsonl", stem, n)
	}
}

func fileExists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// leftAlone is how long a sheet must not have been touched to count as left by
// a crash: a run that goes on touches its own each second.
const leftAlone = 15 * time.Second

// unfinishedSheets finds the sheets that a crash or a power cut left, oldest
// first. A sheet that another copy of the program is writing is none of them.
func unfinishedSheets(folder string, now time.Time) []string {
	files, _ := filepath.Glob(filepath.Join(folder, "*.jsonl")) // sorted; the pattern is well formed
	var left []string
	for _, f := range files {
		info, err := os.Stat(f)
		if err != nil || now.Sub(info.ModTime()) < leftAlone || endsWhole(f, info.Size()) {
			continue
		}
		left = append(left, f)
	}
	return left
}

// endsWhole tells from the end of a sheet whether its last line is there.
func endsWhole(path string, size int64) bool {
	f, err := os.Open(path)
	if err != nil {
		return true // nothing to be done about it
	}
	defer f.Close()
	tail := make([]byte, min(size, 1<<16))
	if _, err := f.ReadAt(tail, size-int64(len(tail))); err != nil {
		return true
	}
	text, whole := strings.CutSuffix(string(tail), "\n")
	return whole && strings.HasPrefix(text[strings.LastIndex(text, "\n")+1:], `{"end":`)
}

// completeSheet gives a sheet that was cut short its marks and its last line,
// so that it counts as what it is: a run that ended where it was cut.
func completeSheet(path string) (outcome, error) {
	o, err := markFile(path)
	if err != nil {
		return o, err
	}
	end, err := sim.CutLine(o.sheet, o.Marks)
	if err != nil {
		return o, err
	}
	return o, appendWhole(path, end)
}

// appendWhole appends a line after the last whole one, through a copy that
// takes the file's place when all of it is on the disk.
func appendWhole(path string, line []byte) error {
	text, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	text = text[:bytes.LastIndexByte(text, '\n')+1]
	spare := path + ".new"
	f, err := os.Create(spare)
	if err != nil {
		return err
	}
	_, err = f.Write(append(text, line...))
	if e := f.Sync(); err == nil {
		err = e
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(spare, path)
	}
	if err != nil {
		os.Remove(spare)
	}
	return err
}

// printOutcome tells a person what a run earned.
func printOutcome(w io.Writer, o outcome) {
	setup := &o.sheet.Setup
	row := func(name, format string, args ...any) {
		fmt.Fprintf(w, "%-20s"+format+"\n", append([]any{name}, args...)...)
	}
	fmt.Fprintf(w, "%s on %s, pass of %s\n", setup.Drill.Title, setup.Bird.Name, setup.Pass.AOS.UTC().Format("2006-01-02 15:04 UTC"))
	if x := o.Exercise; x != nil {
		row("right", "%d of %d", x.Correct, x.Trials)
	} else {
		printHolding(row, &o)
	}
	if o.GoalMet != nil {
		verdict := "not yet reached"
		if *o.GoalMet {
			verdict = "reached"
		}
		row("goal", "%s: %s", setup.Drill.Goal.Text, verdict)
		if o.GoalMissed != "" {
			row("not reached", "%s", o.GoalMissed)
		}
	}
	row("next time", "%s", o.Advice.Headline)
	if o.Advice.Detail != "" {
		row("", "%s", o.Advice.Detail)
	}
}

// printHolding tells how a run was held.
func printHolding(row func(name, format string, args ...any), o *outcome) {
	m := &o.Marks
	row("hold index", "%.0f of 1000", m.HoldIndex)
	switch {
	case m.FoundS == nil:
		row("found yourself", "never")
	case *m.FoundS > 0:
		row("found yourself", "after %.1f s", *m.FoundS)
	}
	row("within 25 50 100 Hz", "%.0f %.0f %.0f %% of the time", 100*m.ShareWithin25Hz, 100*m.ShareWithin50Hz, 100*m.ShareWithin100Hz)
	row("off by", "%.0f Hz RMS, %+.0f Hz on average", m.RMSHz, m.BiasHz)
	if m.ComeBackMedianS != nil {
		row("came back in", "%.1f s (median)", *m.ComeBackMedianS)
	}
	if r := o.Rating; r != nil {
		most := ""
		if r.Saturated {
			most = ", where the curve ends"
		}
		row("hand rating", "%.0f ± %.0f of 100%s", r.Hand, r.SD, most)
	}
}
