package scoring

import (
	"context"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"math"
	"runtime"
	"sort"
	"sync"
	"sync/atomic"

	"driftdrill/sim"

	"golang.org/x/sync/errgroup"
)

// Size of the ladder. The two are choices of this project: with sixteen seeds
// the mean of a rung is known to a quarter of one run's spread.
const (
	LadderLevels = 9
	LadderSeeds  = 16
)

// Ladder is the curve of marks against skill on one setup: reference hands of
// nine levels, each flown with sixteen seeds on the same pass, plan, knob and
// start.
type Ladder struct {
	Rungs []Rung `json:"rungs"`
	Seeds int    `json:"seeds"`
}

// Rung is what the hands of one level earned.
type Rung struct {
	Level    float64 `json:"level"` // 0..1
	Index    stat    `json:"index"`
	Hold     stat    `json:"hold"`
	ComeBack stat    `json:"come_back"`
	LogRMS   stat    `json:"log_rms"`   // natural logarithm of the RMS of steady holding away from the top, Hz
	LogFound stat    `json:"log_found"` // natural logarithm of 1 s + the time to find oneself
	Found    float64 `json:"found"`     // share that found themselves
}

// stat is the middle of what the seeds earned and the spread of one run, by
// quantiles: a hand that once lost itself does not bend the curve.
type stat struct {
	Mid float64 `json:"mid"` // median
	SD  float64 `json:"sd"`  // half the distance between the quantiles at 16 and 84 %
}

func statOf(x []float64) stat {
	if len(x) == 0 {
		return stat{}
	}
	sort.Float64s(x)
	return stat{quantile(x, 0.5), (quantile(x, 0.84) - quantile(x, 0.16)) / 2}
}

// quantile interpolates in sorted values.
func quantile(sorted []float64, p float64) float64 {
	at := p * float64(len(sorted)-1)
	k := min(int(at), len(sorted)-2)
	if k < 0 {
		return sorted[0]
	}
	return sorted[k] + (at-float64(k))*(sorted[k+1]-sorted[k])
}

// FlyLadder flies the reference hands on a setup, on all cores. The result
// does not depend on how many there are.
func FlyLadder(setup *sim.Setup) (*Ladder, error) {
	return flyLadder(context.Background(), setup, 0, nil)
}

// flyLadder flies the reference hands with a number of workers, 0 = one for
// each core. Where ctx ends it returns ctx's error after the flights under way.
func flyLadder(ctx context.Context, setup *sim.Setup, workers int, progress func(done, total int)) (*Ladder, error) {
	fly, err := newFlier(setup)
	if err != nil {
		return nil, err
	}
	hands := make([]sim.Hand, LadderLevels*LadderSeeds)
	for i := range hands {
		name := fmt.Sprintf("level:%g", float64(i/LadderSeeds)/(LadderLevels-1))
		h, err := sim.NewHand(name, ladderSeed(setup.Seed, i%LadderSeeds), setup)
		if err != nil {
			return nil, fmt.Errorf("ladder: %w", err)
		}
		hands[i] = h
	}
	flown, err := flyAll(ctx, fly, hands, workers, progress)
	if err != nil {
		return nil, fmt.Errorf("ladder: %w", err)
	}
	l := &Ladder{Seeds: LadderSeeds}
	for i := range LadderLevels {
		l.Rungs = append(l.Rungs, rungOf(float64(i)/(LadderLevels-1), flown[i*LadderSeeds:(i+1)*LadderSeeds]))
	}
	return l, nil
}

// ladderSeed gives each flight its own seed; the levels share them, which
// makes the curve smoother.
func ladderSeed(seed uint64, i int) uint64 {
	return seed*0x9e3779b97f4a7c15 + uint64(i)*0x100000001b3 + 1
}

// result is what a rung needs of one flight.
type result struct {
	index, hold, back, logRMS, logFound float64
	hasBack, hasRMS, found              bool
}

// flier flies a hand on a setup. The trace that it gave last may be given back
// to be filled again.
type flier func(hand sim.Hand, again *Trace) (*Trace, error)

// newFlier flies hands on the bare course where dials, key and pass are all that
// a hand has to do with, and else in whole runs, which takes some ten times as long.
func newFlier(setup *sim.Setup) (flier, error) {
	course, err := NewCourse(setup)
	if err != nil {
		return nil, err
	}
	if course.goesOff || needsRun(setup) {
		return func(hand sim.Hand, _ *Trace) (*Trace, error) {
			_, tr, err := MarkHand(*setup, hand)
			return tr, err
		}, nil
	}
	return func(hand sim.Hand, again *Trace) (*Trace, error) { return Fly(course, hand, again), nil }, nil
}

// needsRun tells whether a hand has to do with more than a course knows: other
// stations that it calls and answers, the card of the receive dial, the antenna.
func needsRun(setup *sim.Setup) bool {
	d := &setup.Drill
	return d.Plan.Free || d.Rule == "both" || d.SecondRule != "" || setup.Station.HandAntenna
}

// flyAll flies hands with a number of workers, 0 = one for each core, and tells
// progress after each flight. It stops where ctx ends, and at an error.
func flyAll(ctx context.Context, fly flier, hands []sim.Hand, workers int, progress func(done, total int)) ([]result, error) {
	out := make([]result, len(hands))
	next := make(chan int, len(hands))
	for i := range hands {
		next <- i
	}
	close(next)
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var done atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
	for range min(workers, len(hands)) {
		group.Go(func() error {
			var tr *Trace
			for i := range next {
				if ctx.Err() != nil {
					return ctx.Err()
				}
				var err error
				if tr, err = fly(hands[i], tr); err != nil {
					return err
				}
				out[i] = resultOf(tr)
				if progress != nil {
					progress(int(done.Add(1)), len(hands))
				}
			}
			return nil
		})
	}
	return out, group.Wait()
}

// resultOf takes from a flight what a rung needs.
func resultOf(tr *Trace) result {
	var m Marks
	r := result{logFound: math.Log(1 + seconds(len(tr.Samples)))}
	if !tr.HasFound {
		return r
	}
	tr.measureHold(&m)
	tr.measureComeBacks(&m)
	tr.measureIndex(&m)
	r.found, r.index, r.hold = true, m.HoldIndex, m.HoldQuality
	r.logFound = math.Log(1 + max(0, (tr.FoundAt-tr.Samples[max(0, tr.firstAssigned())].Tick).Seconds()))
	if m.ComeBackQuality != nil && len(m.ComeBacks) > 0 {
		r.back, r.hasBack = *m.ComeBackQuality, true
	}
	if rms := steadyRMSOf(tr, m.ComeBacks); rms > 0 {
		r.logRMS, r.hasRMS = math.Log(rms), true
	}
	return r
}

// steadyRMSOf is the RMS offset of steady holding away from the top (all of
// it where a run has nothing but the top); 0 where there was none.
func steadyRMSOf(tr *Trace, backs []ComeBack) float64 {
	var sq [2]float64
	var n [2]int
	tr.steady(backs, func(_ int, s *Sample) {
		k := count(tr.HasTCA && math.Abs((s.Tick-tr.TCA).Seconds()) <= topWindowS)
		sq[k] += float64(s.OffsetHz * s.OffsetHz)
		n[k]++
	})
	if seconds(n[0]) >= topMinS {
		return math.Sqrt(sq[0] / float64(n[0]))
	}
	if n[0]+n[1] == 0 {
		return 0
	}
	return math.Sqrt((sq[0] + sq[1]) / float64(n[0]+n[1]))
}

func rungOf(level float64, flown []result) Rung {
	take := func(value func(result) (float64, bool)) stat {
		var x []float64
		for _, f := range flown {
			if v, ok := value(f); ok {
				x = append(x, v)
			}
		}
		return statOf(x)
	}
	found := 0
	for _, f := range flown {
		found += count(f.found)
	}
	return Rung{
		Level:    level,
		Index:    take(func(f result) (float64, bool) { return f.index, true }),
		Hold:     take(func(f result) (float64, bool) { return f.hold, f.found }),
		ComeBack: take(func(f result) (float64, bool) { return f.back, f.hasBack }),
		LogRMS:   take(func(f result) (float64, bool) { return f.logRMS, f.hasRMS }),
		LogFound: take(func(f result) (float64, bool) { return f.logFound, true }),
		Found:    share(found, len(flown)),
	}
}

// Ladders keeps the curves of setups that have been flown: the same drill on
// the same pass is flown once. Safe for concurrent use; the zero value is ready.
type Ladders struct {
	mu   sync.Mutex
	flew map[uint64]*Ladder
}

// laddersKept bounds the memory of Ladders: a curve is about 1 kB.
const laddersKept = 1024

// Of returns the ladder of a setup, flying it on all cores where it is not known.
func (c *Ladders) Of(setup *sim.Setup) (*Ladder, error) {
	return c.Fly(context.Background(), setup, 0, nil)
}

// Fly is Of with a number of workers (0 = one for each core), so that a window
// keeps a core, and with progress, which is told from any goroutine after each
// flight (nil = not). Where ctx ends, its error comes back and nothing is kept.
func (c *Ladders) Fly(ctx context.Context, setup *sim.Setup, workers int, progress func(done, total int)) (*Ladder, error) {
	key, err := SetupKey(setup)
	if err != nil {
		return nil, err
	}
	c.mu.Lock()
	l := c.flew[key]
	c.mu.Unlock()
	if l != nil {
		return l, nil
	}
	if l, err = flyLadder(ctx, setup, workers, progress); err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.flew == nil || len(c.flew) >= laddersKept {
		c.flew = map[uint64]*Ladder{}
	}
	c.flew[key] = l
	return l, nil
}

// SetupKey is a hash of everything in a setup that decides its ladder: two
// attempts by different people at the same pass share it.
func SetupKey(setup *sim.Setup) (uint64, error) {
	s := *setup
	s.Program, s.Operator, s.Call, s.Hand = "", "", "", ""
	s.Drill.Title, s.Drill.Brief, s.Drill.Coach, s.Drill.Aids, s.Drill.Goal = "", "", "", sim.Aids{}, sim.Goal{}
	text, err := json.Marshal(&s)
	if err != nil {
		return 0, fmt.Errorf("ladder: %w", err)
	}
	h := fnv.New64a()
	h.Write(text)
	return h.Sum64(), nil
}
