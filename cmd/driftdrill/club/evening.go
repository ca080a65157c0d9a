package club

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"sync"
	"time"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// round is a heat as it goes.
type round struct {
	Heat
	Number         int // from 1
	setup          sim.Setup
	hill           hill
	opened, closed time.Time // zero = not yet
}

func (r *round) open() bool { return !r.opened.IsZero() && r.closed.IsZero() }

// label is what people call the heat.
func (r *round) label() string {
	if r.Name != "" {
		return r.Name
	}
	return fmt.Sprintf("Heat %d", r.Number)
}

// flyer is a member who has joined.
type flyer struct {
	call, class string
	joined      time.Time
	began       time.Time // of the run under way, or of the one whose sheet is waited for; zero = none
	told        bool      // somebody said so: his machine has no network, its sheet comes on a stick
}

// refused is a sheet that was not taken, for the trainer.
type refused struct {
	Call, Reason string
	At           time.Time
}

// refusedKept is how many of them are remembered: for reading, not for the record.
const refusedKept = 50

// evening is the night as it goes: what the book has, in memory, and who is
// flying. Safe for concurrent use.
type evening struct {
	night    Night
	stepFree bool
	book     *book
	now      func() time.Time

	mu       sync.Mutex // guards what follows
	rounds   []*round
	flyers   map[string]*flyer
	sessions map[string]string // key of the cookie -> call; "" = the trainer
	runs     []*Run            // accepted, in order of receipt; with ID 0 on its way
	pending  map[[32]byte]chan struct{}
	refused  []refused
	own      map[string]scoring.AxisSkill // from earlier nights; only who has one
	version  int64                        // of everything that a page shows
	changed  chan struct{}                // closed at the next change
}

// load takes up what the book has of this night.
func (e *evening) load(ctx context.Context) error {
	e.flyers, e.sessions, e.pending = map[string]*flyer{}, map[string]string{}, map[[32]byte]chan struct{}{}
	e.own, e.changed = map[string]scoring.AxisSkill{}, make(chan struct{})
	var err error
	if e.runs, err = e.book.runs(ctx); err != nil {
		return err
	}
	err = e.book.each("SELECT call, class, joined, 0 FROM flyers WHERE night = ?", func(call, class string, joined, _ int64) {
		e.flyers[call] = &flyer{call: call, class: class, joined: time.UnixMilli(joined).UTC()}
	})
	if err != nil {
		return err
	}
	for call := range e.flyers {
		if err := e.learnOwn(ctx, call); err != nil {
			return err
		}
	}
	err = e.book.each("SELECT key, call, begun, 0 FROM sessions WHERE night = ?", func(key, call string, _, _ int64) { e.sessions[key] = call })
	if err != nil {
		return err
	}
	err = e.book.each("SELECT number, '', opened, closed FROM heats WHERE night = ?", func(number, _ string, opened, closed int64) {
		i, err := strconv.Atoi(number)
		if err != nil || i < 1 || i > len(e.rounds) {
			return
		}
		r := e.rounds[i-1]
		r.opened = time.UnixMilli(opened).UTC()
		if closed != 0 {
			r.closed = time.UnixMilli(closed).UTC()
		}
	})
	if err != nil {
		return err
	}
	return e.takeUpActs(ctx)
}

// takeUpActs reads again what was done in the runs of this night, so that
// copies of them are known after a restart.
func (e *evening) takeUpActs(ctx context.Context) error {
	for _, r := range e.runs {
		body, err := e.book.sheet(ctx, r.ID)
		if err != nil {
			return err
		}
		sh, err := readSheet(body)
		if err != nil {
			return err
		}
		r.acts, r.length = actsOf(sh.Commands), sh.End
	}
	return nil
}

// learnOwn works out a member's rating from earlier nights.
func (e *evening) learnOwn(ctx context.Context, call string) error {
	runs, err := e.book.before(ctx, call)
	if err != nil {
		return err
	}
	skill := skillOf(runs, e.now())
	if all := skill.Axes[scoring.AxisAll]; all.Runs > 0 {
		e.own[call] = all
	}
	return nil
}

// skillOf follows the rated runs of one member.
func skillOf(runs []*Run, now time.Time) scoring.Skill {
	var seen []scoring.Observation
	for _, r := range runs {
		if r.Rating != nil {
			seen = append(seen, scoring.Observe(r.Received, r.Rating))
		}
	}
	return scoring.SkillOf(seen, now)
}

// touch tells every page that something has changed. The caller holds mu.
func (e *evening) touch() {
	e.version++
	close(e.changed)
	e.changed = make(chan struct{})
}

// watch returns the version that pages have to show and what closes when there is a newer one.
func (e *evening) watch() (int64, <-chan struct{}) {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.version, e.changed
}

// current returns the heat that is open, or nil. The caller holds mu.
func (e *evening) current() *round {
	for _, r := range e.rounds {
		if r.open() {
			return r
		}
	}
	return nil
}

// join enters a member. The class can be changed until the first sheet of the
// heat that is open.
func (e *evening) join(ctx context.Context, call, class string) error {
	if classNamed(class) == nil || !slices.Contains(e.night.Classes, class) {
		return refuse("There is no class %q tonight.", class)
	}
	e.mu.Lock()
	defer e.mu.Unlock()
	f := e.flyers[call]
	if f == nil && len(e.flyers) >= maxFlyers {
		return refuse("%d members have joined; more do not fit into an evening.", maxFlyers)
	}
	if f != nil && f.class == class {
		return nil
	}
	if h := e.current(); f != nil && h != nil && e.triesOf(h.Number, call) > 0 {
		return refuse("You have flown this heat in the class %q; change it when the heat is over.", f.class)
	}
	now := e.now()
	if err := e.book.setFlyer(call, class, now); err != nil {
		return err
	}
	if f == nil {
		f = &flyer{call: call, joined: now}
		e.flyers[call] = f
		if err := e.learnOwn(ctx, call); err != nil {
			return err
		}
	}
	f.class = class
	e.touch()
	return nil
}

// has tells whether a call has joined.
func (e *evening) has(call string) bool {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.flyers[call] != nil
}

// maxFlyers bounds what a night keeps in memory.
const maxFlyers = 500

// begin notes that a member begins a run now, and returns what he flies. told
// is true where a person says so and not the program that flies.
func (e *evening) begin(call string, told bool) (*round, string, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	h, f := e.current(), e.flyers[call]
	switch {
	case h == nil:
		return nil, "", refuse("No heat is open: wait for the trainer.")
	case f == nil:
		return nil, "", refuse("%s has not joined.", call)
	case e.triesOf(h.Number, call) >= e.night.Tries:
		return nil, "", refuse("You have flown %s of this heat.", counted(e.night.Tries, "try", "tries"))
	}
	f.began, f.told = e.now(), told
	e.touch()
	return h, f.class, nil
}

// rest notes that a member does not fly after all, and that no sheet is waited for.
func (e *evening) rest(call string) error {
	e.mu.Lock()
	defer e.mu.Unlock()
	f := e.flyers[call]
	if f == nil {
		return refuse("%s has not joined.", call)
	}
	f.began = time.Time{}
	e.touch()
	return nil
}

// triesOf counts a member's sheets in a heat that have not been taken out. The caller holds mu.
func (e *evening) triesOf(heat int, call string) int {
	n := 0
	for _, r := range e.runs {
		if r.Heat == heat && r.Call == call && r.Dropped == "" {
			n++
		}
	}
	return n
}

// openHeat opens a heat, and closes the one that is open. Opened again, it
// keeps the time at which it was opened first.
func (e *evening) openHeat(number int) error {
	e.mu.Lock()
	defer e.mu.Unlock()
	if number < 1 || number > len(e.rounds) {
		return refuse("There is no heat %d.", number)
	}
	now := e.now()
	if h := e.current(); h != nil && h.Number != number {
		if err := e.closeLocked(h, now); err != nil {
			return err
		}
	}
	r := e.rounds[number-1]
	opened := r.opened
	if opened.IsZero() {
		opened = now
	}
	if err := e.book.setHeat(number, opened, time.Time{}); err != nil {
		return err
	}
	r.opened, r.closed = opened, time.Time{}
	e.touch()
	return nil
}

// closeHeat closes a heat: its results come on the wall.
func (e *evening) closeHeat(number int) error {
	e.mu.Lock()
	defer e.mu.Unlock()
	if number < 1 || number > len(e.rounds) || !e.rounds[number-1].open() {
		return refuse("Heat %d is not open.", number)
	}
	return e.closeLocked(e.rounds[number-1], e.now())
}

func (e *evening) closeLocked(r *round, now time.Time) error {
	if err := e.book.setHeat(r.Number, r.opened, now); err != nil {
		return err
	}
	r.closed = now
	for _, f := range e.flyers {
		f.began = time.Time{}
	}
	e.touch()
	return nil
}

// drop takes a sheet out of the results, or with "" in again.
func (e *evening) drop(id int64, why string) error {
	e.mu.Lock()
	defer e.mu.Unlock()
	for _, r := range e.runs {
		if r.ID == id && id != 0 {
			if err := e.book.drop(id, why); err != nil {
				return err
			}
			r.Dropped = why
			e.touch()
			return nil
		}
	}
	return refuse("There is no sheet %d tonight.", id)
}

// refuseSheet remembers why a sheet was not taken; its member flies no more.
func (e *evening) refuseSheet(call string, r *Refusal) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.refused = append(e.refused, refused{call, r.Reason, e.now()})
	if f := e.flyers[call]; f != nil {
		f.began = time.Time{}
	}
	if n := len(e.refused) - refusedKept; n > 0 {
		e.refused = slices.Delete(e.refused, 0, n)
	}
	e.touch()
}

// clockSlack is how much faster than the server's clock a machine's may run:
// sound cards and clocks differ by less than a hundredth of a per cent, a
// heat's opening is noted to the millisecond. Our choice.
const clockSlack = 2 * time.Second

// take puts a sheet that holds by itself into the book, if it is the member's
// own and its time has really passed. A sheet that came before is answered again.
func (e *evening) take(ctx context.Context, heat *round, call, class string, j *judged, body []byte) (*Run, *Refusal, error) {
	for {
		e.mu.Lock()
		if waiting := e.pending[j.print]; waiting != nil { // the same sheet is on its way: see what becomes of it
			e.mu.Unlock()
			select {
			case <-waiting:
				continue
			case <-ctx.Done():
				return nil, nil, ctx.Err()
			}
		}
		known, no := e.mayTake(heat, call, j)
		if known != nil || no != nil {
			e.mu.Unlock()
			return known, no, nil
		}
		s := &j.sheet.Setup
		r := &Run{Heat: heat.Number, Call: call, Class: class, Received: e.now(), Drill: s.Drill.Name, Bird: s.Bird.Name, TopDeg: s.Pass.MaxElevationDeg,
			GoalMet: j.goalMet, TopRMS: j.topRMS, Marks: j.marks, Advice: j.advice, length: j.sheet.End, acts: j.acts, print: j.print}
		done := make(chan struct{})
		e.pending[j.print] = done
		e.runs = append(e.runs, r)
		e.mu.Unlock()

		id, err := e.book.accept(ctx, r, body)

		e.mu.Lock()
		delete(e.pending, j.print)
		close(done)
		if err != nil {
			e.runs = slices.DeleteFunc(e.runs, func(o *Run) bool { return o == r })
		} else {
			r.ID = id
			if f := e.flyers[call]; f != nil {
				f.began = time.Time{}
			}
		}
		e.touch()
		e.mu.Unlock()
		return r, nil, err
	}
}

// mayTake returns the run if it is there already, or why it is not taken; both
// nil where it is. The caller holds mu.
func (e *evening) mayTake(heat *round, call string, j *judged) (*Run, *Refusal) {
	flown := j.sheet.End
	for _, r := range e.runs {
		if r.print == j.print {
			switch {
			case r.Call != call:
				return nil, refuse("%s has sent this run already.", r.Call)
			case r.Dropped != "":
				return nil, refuse("The trainer has taken this run out: %s", r.Dropped)
			case r.Heat != heat.Number:
				return nil, refuse("This run was flown in heat %d and counts there.", r.Heat)
			}
			return r, nil
		}
		if r.Call == call && r.Heat == heat.Number {
			flown += r.length
		}
	}
	for _, r := range e.runs {
		if e.rounds[r.Heat-1].Seed == heat.Seed && copied(r.acts, j.acts) {
			if r.Call == call {
				return nil, refuse("This run is one of your earlier ones with few changes.")
			}
			return nil, refuse("This run is the one that %s has sent, with few changes.", r.Call)
		}
	}
	passed := e.now().Sub(heat.opened)
	if time.Duration(flown)*sim.TickLength > passed+clockSlack {
		return nil, refuse("Your runs in this heat took %s together, but it was opened %s ago: that is faster than the clock.",
			clockOf(flown), clockOf(sim.Tick(passed/sim.TickLength)))
	}
	if n := e.triesOf(heat.Number, call); n >= e.night.Tries {
		return nil, refuse("You have flown %s of this heat.", counted(e.night.Tries, "try", "tries"))
	}
	return nil, nil
}

// rated writes a run's rating.
func (e *evening) rated(r *Run, rating *scoring.Rating) error {
	if err := e.book.rate(r.ID, rating); err != nil {
		return err
	}
	e.mu.Lock()
	defer e.mu.Unlock()
	r.Rating = rating
	e.touch()
	return nil
}

// unrated returns the runs whose rating is not known yet.
func (e *evening) unrated() []*Run {
	e.mu.Lock()
	defer e.mu.Unlock()
	var out []*Run
	for _, r := range e.runs {
		if r.Rating == nil && r.ID != 0 {
			out = append(out, r)
		}
	}
	return out
}

// counted writes a number with its word: "1 try", "2 tries".
func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// shown returns the runs of closed heats that count, oldest first. The caller holds mu.
func (e *evening) shown() []*Run {
	var out []*Run
	for _, r := range e.runs {
		if r.ID != 0 && r.Dropped == "" && !e.rounds[r.Heat-1].closed.IsZero() {
			out = append(out, r)
		}
	}
	return out
}
