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

// Size of the ladder: choices of this project. With sixteen seeds the middle of
// a rung is known to a quarter of one run's spread. Where hands must fly whole
// runs there are fewer of them.
const (
	LadderLevels = 9
	LadderSeeds  = 16
	wholeSeeds   = 5
)

// Ladder is the curve of marks against skill on one setup: reference hands of
// nine levels fly the part that the operator flew, from where he had found
// himself to his end, with the same plan and the steps that he had set. Finding
// oneself is flown apart, from the beginning.
type Ladder struct {
	Rungs []Rung `json:"rungs"`
	Seeds int    `json:"seeds"`
	Kind  string `json:"kind"` // of the drill: "fly", or an exercise's
}

// Rung is what the hands of one level earned.
type Rung struct {
	Level    float64 `json:"level"` // 0..1
	Index    stat    `json:"index"`
	Settled  stat    `json:"settled"`   // quality of holding away from the start of an over
	Kept     stat    `json:"kept"`      // come-back over settled quality
	LogRMS   stat    `json:"log_rms"`   // natural logarithm of the RMS of steady holding away from the top, Hz
	LogFound stat    `json:"log_found"` // natural logarithm of 1 s + the time to find oneself
	Found    float64 `json:"found"`     // share that found themselves
	Answers  stat    `json:"answers"`   // of an exercise that asks: share of right answers
}

// stat is the middle of what the seeds earned and the spread of one run, by
// quantiles: a hand that once lost itself does not bend the curve.
type stat struct {
	Mid float64 `json:"mid"` // median
	SD  float64 `json:"sd"`  // half the distance between the quantiles at 16 and 84 %
	N   int     `json:"n"`   // flights that have such a value
}

func statOf(x []float64) stat {
	if len(x) == 0 {
		return stat{}
	}
	sort.Float64s(x)
	return stat{quantile(x, 0.5), (quantile(x, 0.84) - quantile(x, 0.16)) / 2, len(x)}
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

// FlyLadder flies the reference hands on the part of a setup that tr flew, on
// all cores. Without a trace (nil) they fly all of it. The result does not
// depend on how many cores there are.
func FlyLadder(setup *sim.Setup, tr *Trace) (*Ladder, error) {
	return flyLadder(context.Background(), setup, ownOf(setup, tr), 0, nil)
}

// flyLadder flies the reference hands with a number of workers, 0 = one for
// each core. Where ctx ends it returns ctx's error after the flights under way.
func flyLadder(ctx context.Context, setup *sim.Setup, own own, workers int, progress func(done, total int)) (*Ladder, error) {
	fly, seeds, err := newFlier(setup, own)
	if err != nil {
		return nil, err
	}
	flown, err := flyAll(ctx, LadderLevels*seeds, workers, progress, func(i int, again *Trace) (result, *Trace, error) {
		return fly(func() (sim.Hand, error) {
			return sim.NewHand(fmt.Sprintf("level:%g", levelOf(i/seeds)), ladderSeed(setup.Seed, i%seeds), setup)
		}, again)
	})
	if err != nil {
		return nil, fmt.Errorf("ladder: %w", err)
	}
	l := &Ladder{Seeds: seeds, Kind: setup.Drill.Kind}
	for i := range LadderLevels {
		l.Rungs = append(l.Rungs, rungOf(levelOf(i), flown[i*seeds:(i+1)*seeds]))
	}
	return l, nil
}

// levelOf is the level of a rung.
func levelOf(rung int) float64 { return float64(rung) / (LadderLevels - 1) }

// ladderSeed gives each flight its own seed; the levels share them, which
// makes the curve smoother.
func ladderSeed(seed uint64, i int) uint64 {
	return seed*0x9e3779b97f4a7c15 + uint64(i)*0x100000001b3 + 1
}

// result is what a rung needs of one flight.
type result struct {
	index, settled, kept, logRMS, logFound, answers float64
	hasIndex, hasSettled, hasKept, hasRMS           bool
	found, timed, asked                             bool
}

// flyAll flies n hands with a number of workers, 0 = one for each core, and tells
// progress after each. It stops where ctx ends, and at an error.
func flyAll(ctx context.Context, n, workers int, progress func(done, total int), fly func(i int, again *Trace) (result, *Trace, error)) ([]result, error) {
	out := make([]result, n)
	next := make(chan int, n)
	for i := range n {
		next <- i
	}
	close(next)
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var done atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
	for range min(workers, n) {
		group.Go(func() (err error) {
			var tr *Trace
			for i := range next {
				if ctx.Err() != nil {
					return ctx.Err()
				}
				if out[i], tr, err = fly(i, tr); err != nil {
					return err
				}
				if progress != nil {
					progress(int(done.Add(1)), n)
				}
			}
			return nil
		})
	}
	return out, group.Wait()
}

// time takes how long a flight took to find itself.
func (r *result) time(tr *Trace) {
	r.timed = true
	if r.logFound = math.Log(1 + seconds(len(tr.Samples))); !tr.HasFound {
		return
	}
	r.found = true
	r.logFound = math.Log(1 + max(0, (tr.FoundAt-tr.Samples[max(0, tr.firstAssigned())].Tick).Seconds()))
}

// hold takes what a flight earned by holding.
func (r *result) hold(tr *Trace) {
	m := Marks{Formula: Formula}
	r.hasIndex = true
	if !tr.HasFound {
		return
	}
	tr.measureHold(&m)
	tr.measureComeBacks(&m)
	tr.measureIndex(&m)
	r.index = m.HoldIndex
	if m.SettledQuality != nil {
		r.settled, r.hasSettled = *m.SettledQuality, true
	}
	if m.ComeBackKept != nil {
		r.kept, r.hasKept = *m.ComeBackKept, true
	}
	if rms := earRMSOf(tr, m.ComeBacks); rms > 0 {
		r.logRMS, r.hasRMS = math.Log(rms), true
	}
}

// The ear is told from the offset while holding, once the come-back before it
// should be over: from six seconds after the start of an over, or from its
// middle where it is shorter. Choices of this project.
const earAfterS = 6.0

// earRMSOf is the RMS offset of steady holding away from the top (all of it
// where a run has nothing but the top), each moment taken as lostHz off at most;
// 0 where there was none.
func earRMSOf(tr *Trace, backs []ComeBack) float64 {
	var sq [2]float64
	var n [2]int
	from, to := tr.held()
	ready := from + samplesIn(settleAfterS)
	for i := from; i < to; i++ {
		s := &tr.Samples[i]
		if len(backs) > 0 && s.Tick >= backs[0].Tick {
			ready = i + min(samplesIn(earAfterS), tr.overLength(i)/2)
			backs = backs[1:]
		}
		if i < ready || !s.Assigned || !s.Keyed || !s.InPassband {
			continue
		}
		e := min(math.Abs(s.OffsetHz), lostHz)
		k := count(tr.HasTCA && math.Abs((s.Tick-tr.TCA).Seconds()) <= topWindowS)
		sq[k] += float64(e * e)
		n[k]++
	}
	if seconds(n[0]) >= topMinS {
		return math.Sqrt(sq[0] / float64(n[0]))
	}
	if n[0]+n[1] < samplesIn(settledMinS) {
		return 0
	}
	return math.Sqrt((sq[0] + sq[1]) / float64(n[0]+n[1]))
}

// overLength is how many samples the over that begins at sample i has.
func (tr *Trace) overLength(i int) int {
	n := 0
	for i+n < len(tr.Samples) && tr.Samples[i+n].Phase == sim.PhaseTalk {
		n++
	}
	return n
}

func rungOf(level float64, flown []result) Rung {
	take := func(value func(*result) (float64, bool)) stat {
		var x []float64
		for i := range flown {
			if v, ok := value(&flown[i]); ok {
				x = append(x, v)
			}
		}
		return statOf(x)
	}
	found := 0
	for i := range flown {
		found += count(flown[i].found)
	}
	return Rung{
		Level:    level,
		Index:    take(func(f *result) (float64, bool) { return f.index, f.hasIndex }),
		Settled:  take(func(f *result) (float64, bool) { return f.settled, f.hasSettled }),
		Kept:     take(func(f *result) (float64, bool) { return f.kept, f.hasKept }),
		LogRMS:   take(func(f *result) (float64, bool) { return f.logRMS, f.hasRMS }),
		LogFound: take(func(f *result) (float64, bool) { return f.logFound, f.timed }),
		Answers:  take(func(f *result) (float64, bool) { return f.answers, f.asked }),
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

// Of returns the ladder of the part of a setup that tr flew (nil = all of it),
// flying it on all cores where it is not known.
func (c *Ladders) Of(setup *sim.Setup, tr *Trace) (*Ladder, error) {
	return c.Fly(context.Background(), setup, tr, 0, nil)
}

// Fly is Of with a number of workers (0 = one for each core), so that a window
// keeps a core, and with progress, which is told from any goroutine after each
// flight (nil = not). Where ctx ends, its error comes back and nothing is kept.
func (c *Ladders) Fly(ctx context.Context, setup *sim.Setup, tr *Trace, workers int, progress func(done, total int)) (*Ladder, error) {
	own := ownOf(setup, tr)
	key, err := SetupKey(setup)
	if err != nil {
		return nil, err
	}
	h := fnv.New64a()
	fmt.Fprint(h, key, own)
	key = h.Sum64()
	c.mu.Lock()
	l := c.flew[key]
	c.mu.Unlock()
	if l != nil {
		return l, nil
	}
	if l, err = flyLadder(ctx, setup, own, workers, progress); err != nil {
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

// Rate rates a run on the ladder of the part that it flew, and returns the
// ladder with it. Where there is none, because the drill leaves nothing to a hand
// that could be compared, the rating is what RateAlone says. workers and progress
// are those of Fly.
func (c *Ladders) Rate(setup *sim.Setup, m Marks, tr *Trace, workers int, progress func(done, total int)) (*Rating, *Ladder) {
	l, err := c.Fly(context.Background(), setup, tr, workers, progress)
	if err != nil {
		return RateAlone(setup, m, tr), nil
	}
	r := l.Rate(m, tr)
	return &r, l
}

// SetupKey is a hash of everything in a setup that decides its ladder: two
// attempts by different people at the same pass share it.
func SetupKey(setup *sim.Setup) (uint64, error) {
	s := *setup
	s.Program, s.Operator, s.Call, s.Hand, s.OwnVoice, s.BirdFrom, s.ElementsFrom = "", "", "", "", "", "", ""
	s.Drill.Title, s.Drill.Brief, s.Drill.Coach, s.Drill.Aids, s.Drill.Goal = "", "", "", sim.Aids{}, sim.Goal{}
	text, err := json.Marshal(&s)
	if err != nil {
		return 0, fmt.Errorf("ladder: %w", err)
	}
	h := fnv.New64a()
	h.Write(text)
	return h.Sum64(), nil
}
