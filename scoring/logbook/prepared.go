package logbook

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"io"
	"slices"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// maxSheetBytes bounds a sheet that is unpacked: far above an hour of turning.
const maxSheetBytes = 256 << 20

// Prepared is a run that was marked, ready to be written into a logbook of
// whatever kind.
type Prepared struct {
	Run   Run
	Sheet *sim.Sheet
	Marks scoring.Marks
	Trace *scoring.Trace
	Goal  bool     // reached
	Hash  [32]byte // the same for the same run: over its setup, commands and end
	Body  []byte   // the whole sheet, packed
}

// Prepare replays, marks and packs a run. name is what its sheet is called in
// errors.
func Prepare(run Run, name string) (*Prepared, error) {
	sh, err := sim.ReadSheet(bytes.NewReader(run.Sheet), name)
	if err != nil {
		return nil, err
	}
	m, tr, err := scoring.Mark(sh)
	if err != nil {
		return nil, err
	}
	p := &Prepared{Run: run, Sheet: sh, Marks: m, Trace: tr}
	if p.Run.Operator == "" {
		p.Run.Operator = sh.Setup.Operator
	}
	p.Goal = scoring.GoalMet(m, &sh.Setup.Drill)
	if p.Hash, err = hashOf(sh); err != nil {
		return nil, err
	}
	p.Body, err = pack(run.Sheet)
	return p, err
}

// hashOf tells runs apart: setup, commands and end. Marks are left out, so
// that a sheet stays the same run when its marks are written anew.
func hashOf(sh *sim.Sheet) (sum [32]byte, err error) {
	h := sha256.New()
	text, err := json.Marshal(struct {
		Setup    sim.Setup
		Commands []sim.Command
		End      sim.Tick
	}{sh.Setup, sh.Commands, sh.End})
	if err != nil {
		return sum, err
	}
	h.Write(text)
	h.Sum(sum[:0])
	return sum, nil
}

func pack(sheet []byte) ([]byte, error) {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestSpeed)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(sheet); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// Unpack returns a sheet that was packed.
func Unpack(body []byte) ([]byte, error) {
	r, err := gzip.NewReader(bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	text, err := io.ReadAll(io.LimitReader(r, maxSheetBytes+1))
	if err == nil && len(text) > maxSheetBytes {
		err = errors.New("is longer than any sheet")
	}
	return text, err
}

// ByRating lets a run reach its goal by being as good as its operator, where
// the drill has it so. runs are those of the operator that count.
func (p *Prepared) ByRating(runs []scoring.Observation) {
	s := &p.Sheet.Setup
	if p.Goal || s.Drill.Goal.OwnRatingSD == 0 || s.Hand != "" {
		return
	}
	earlier := slices.DeleteFunc(runs, func(o scoring.Observation) bool { return !o.Flown.Before(p.Run.Flown) })
	own := scoring.SkillOf(earlier, p.Run.Flown).Axes[scoring.AxisAll]
	p.Goal = scoring.GoalMetByRating(p.Marks, &s.Drill, p.Run.Rating, own)
}

// Entry is what stands in a logbook of the run, without a number. before says
// whether its operator has flown this pass already; triedToday is asked where
// one try a day counts.
func (p *Prepared) Entry(before bool, triedToday func() (bool, error)) (Entry, error) {
	s := &p.Sheet.Setup
	e := Entry{Operator: p.Run.Operator, Flown: p.Run.Flown, Start: s.Start, Drill: s.Drill.Name, Title: s.Drill.Title, Bird: s.Bird.Name,
		TopDeg: s.Pass.MaxElevationDeg, Hand: s.Hand, Formula: p.Marks.Formula, HoldIndex: p.Marks.HoldIndex, FoundS: p.Marks.FoundS,
		Stopped: p.Marks.Stopped, Rating: p.Run.Rating, Marks: p.Marks}
	beside := scoring.Beside{Before: before, Unrated: p.Run.Rating == nil}
	e.Counts, e.WhyNot = scoring.Counts(s, p.Marks, p.Trace, beside)
	if e.Counts && s.Drill.Daily {
		var err error
		if beside.Tried, err = triedToday(); err != nil {
			return e, err
		}
		e.Counts, e.WhyNot = scoring.Counts(s, p.Marks, p.Trace, beside)
	}
	if s.Drill.Goal.Measure != "" {
		e.GoalMet = &p.Goal
	}
	return e, nil
}

// Axes is what the trend reads of the run, packed; nil where there is nothing.
func (p *Prepared) Axes() []byte {
	return packAxes(scoring.CountedRating(&p.Sheet.Setup, p.Marks, p.Trace, p.Run.Rating))
}
