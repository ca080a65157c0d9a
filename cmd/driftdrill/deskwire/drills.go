//go:build !nodesk

package deskwire

import (
	"context"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
)

// triesShown is how many of the last tries of a drill are shown.
const triesShown = 12

// course gathers what an operator has reached. A logbook that cannot be opened
// is an empty one here; the logbook page says what is wrong.
func (w *wiring) course(ctx context.Context, operator string, just ...*trainer.Outcome) (*trainer.Course, error) {
	b, err := w.trainer.Book()
	if err != nil {
		b = nil
	}
	return trainer.CourseOf(ctx, b, operator, time.Now(), just...)
}

// drills gives the path of drills with what the operator has reached.
func (w *wiring) drills(ctx context.Context, operator string) ([]port.DrillEntry, error) {
	c, err := w.course(ctx, operator)
	if err != nil {
		return nil, err
	}
	var out []port.DrillEntry
	for i := range c.Steps {
		e := drillEntry(&c.Steps[i])
		e.Advised = c.Next != nil && c.Next.Drill == e.Name
		out = append(out, e)
	}
	if w.Dropped != "" {
		for _, d := range trainer.OwnDrills(w.ownDrills()) {
			out = append(out, ownDrillEntry(&d))
		}
	}
	return out, nil
}

// ownDrillEntry shows a drill of one's own, after those of the course.
func ownDrillEntry(d *trainer.OwnDrill) port.DrillEntry {
	e := drillEntry(&trainer.Step{Drill: d.Drill})
	e.Name, e.Number = d.File, 0
	if d.From != "" {
		e.Title += " · " + d.From
	}
	if e.Trains == "" {
		e.Trains = "a drill of your own"
	}
	return e
}

// briefOf is a drill's text with the words that its bird and its rule ask for.
func briefOf(d *sim.Drill) string {
	bird, err := trainer.Flock{}.Find(d.Bird)
	if err != nil || d.Transponder < 1 || d.Transponder > len(bird.Transponders) {
		return d.Brief
	}
	tr := &bird.Transponders[d.Transponder-1]
	return sim.TurningWords(d.Brief, tr, d.RuleFor(tr))
}

// drillEntry shows a step of the course.
func drillEntry(s *trainer.Step) port.DrillEntry {
	d := &s.Drill
	e := port.DrillEntry{Name: d.Name, Title: d.Title, Number: d.Number, Brief: briefOf(d), Trains: d.Trains, Goal: d.Goal.Text, Flight: s.FlightWords(),
		OnPasses: d.Kind == "fly" || d.Kind == "", Done: s.Done, Best: s.Best(), Flown: len(s.Tries), Why: s.Why, Note: s.Note}
	for i := max(0, len(s.Tries)-triesShown); i < len(s.Tries); i++ {
		e.Last = s.TryText(i)
		e.Tries = append(e.Tries, port.Try{Passed: s.Tries[i].Passed, Text: e.Last, Share: s.Share(i)})
	}
	return e
}

// next is what to fly after a run; nil = the same again.
func (w *wiring) next(ctx context.Context, o *trainer.Outcome) (*port.RunRequest, string) {
	flown := &o.Sheet.Setup
	c, err := w.course(ctx, flown.Operator, o)
	if err != nil || c.Next == nil || c.Next.Drill == flown.Drill.Name {
		return nil, ""
	}
	return &port.RunRequest{Drill: c.Next.Drill}, c.Step(c.Next.Drill).Title()
}
