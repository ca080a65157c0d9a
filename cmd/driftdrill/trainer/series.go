package trainer

import (
	"bytes"
	"context"
	"fmt"
	"hash/fnv"
	"math"
	"slices"

	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
	"driftdrill/sim"
)

// Series is a few runs of one drill in a row with the same station, whose error
// the operator learns; see sim.DrillStart.SameFor.
type Series struct {
	Of    int       // runs of the series
	Found []float64 // what he found in the runs before this one, Hz as in Correction.ErrorHz
}

// Begin gives a run its place in the operator's series: the error of the series,
// and dials that begin with what he found before. nil where the drill has none.
func (t *Trainer) Begin(ctx context.Context, setup *sim.Setup) (*Series, error) {
	of := setup.Drill.Start.SameFor
	if of == 0 {
		return nil, nil
	}
	t.Wait() // the run before may be on its way into the logbook
	b, err := t.Book()
	if err != nil {
		return nil, err
	}
	var flown []int64
	err = b.Each(ctx, logbook.Filter{Operator: setup.Operator}, func(e logbook.Entry) {
		if e.Drill == setup.Drill.Name && e.Operator == setup.Operator && e.Hand == "" && !e.Stopped {
			flown = append(flown, e.ID)
		}
	})
	if err != nil {
		return nil, err
	}
	s := &Series{Of: of}
	before := flown[:len(flown)%of] // the latest stand first
	for _, id := range slices.Backward(before) {
		hz, ok, err := foundIn(ctx, b, id)
		if err != nil {
			return nil, err
		}
		if ok {
			s.Found = append(s.Found, hz)
		} else { // a run in which he never was true tells nothing; it counts as flown
			s.Found = append(s.Found, math.NaN())
		}
	}
	setup.KeepError(seriesSeed(setup, len(flown)/of), s.noted())
	if setup.NotedHz != 0 {
		setup.BirdFrom += fmt.Sprintf(", begins with %+.0f Hz learnt in the %s before", setup.NotedHz, passWord(len(before)))
	}
	return s, nil
}

func passWord(n int) string {
	if n == 1 {
		return "pass"
	}
	return fmt.Sprintf("%d passes", n)
}

// seriesSeed is that of an operator's nth series of a drill.
func seriesSeed(setup *sim.Setup, n int) uint64 {
	h := fnv.New64a()
	fmt.Fprintf(h, "%s\n%s\n%d", setup.Drill.Name, setup.Operator, n)
	return h.Sum64()
}

// noted is the mean of what was found; 0 where nothing was.
func (s *Series) noted() float64 {
	sum, n := 0.0, 0
	for _, hz := range s.Found {
		if !math.IsNaN(hz) {
			sum, n = sum+hz, n+1
		}
	}
	return sum / float64(max(1, n))
}

// foundIn works out what an operator found of the station's error in a run.
func foundIn(ctx context.Context, b Book, id int64) (hz float64, ok bool, err error) {
	text, err := b.Sheet(ctx, id)
	if err != nil {
		return 0, false, err
	}
	sh, err := sim.ReadSheet(bytes.NewReader(text), fmt.Sprintf("run %d", id))
	if err != nil {
		return 0, false, err
	}
	o, err := MarkSheet(sh)
	if err != nil {
		return 0, false, err
	}
	hz, ok = FoundErrorHz(o.Trace, &sh.Setup)
	return hz, ok, nil
}

// trueEnoughHz is how far off a moment may be and still tell what the dials
// must be: our choice.
const trueEnoughHz = 60

// FoundErrorHz is what the operator found of the station's error: by how much
// his dials stood off the card while he kept himself true, over the second half
// of what he keyed, hertz as in Correction.ErrorHz. ok = he was true for 3 s of it.
func FoundErrorHz(tr *scoring.Trace, setup *sim.Setup) (hz float64, ok bool) {
	side := 1.0
	if setup.Bird.Transponders[setup.Drill.Transponder-1].DownlinkSideband == "LSB" {
		side = -1
	}
	var off []float64
	for i := range tr.Samples {
		s := &tr.Samples[i]
		if s.Keyed && s.InPassband && math.Abs(s.OffsetHz) <= trueEnoughHz {
			off = append(off, s.OffsetHz)
		}
	}
	off = off[len(off)/2:]
	if len(off) < 2 {
		return 0, false
	}
	spacing := tr.Samples[1].Tick - tr.Samples[0].Tick
	if sim.Tick(len(off))*spacing < 3*sim.TicksPerSecond {
		return 0, false
	}
	sum := 0.0
	for _, x := range off {
		sum += x
	}
	return setup.UnknownHz - side*sum/float64(len(off)), true
}

// Words tell after a run what was found: at the dial that the rule turns.
func (s *Series) Words(tr *scoring.Trace, setup *sim.Setup) string {
	now, ok := FoundErrorHz(tr, setup)
	if !ok {
		return "You were not true for long enough to tell what your station is off."
	}
	t := &setup.Bird.Transponders[setup.Drill.Transponder-1]
	dial := func(hz float64) float64 { return InForce{ErrorHz: hz}.DialHz(t, setup.Drill.Rule) }
	pass := len(s.Found) + 1
	line := fmt.Sprintf("Pass %d of %d: your dial stood %+.0f Hz off the card where you were true.", pass, s.Of, dial(now))
	if pass < s.Of {
		return line + " The next pass begins with it."
	}
	low, high := now, now
	for _, hz := range s.Found {
		if !math.IsNaN(hz) {
			low, high = math.Min(low, hz), math.Max(high, hz)
		}
	}
	return line + fmt.Sprintf(" Over all passes you found it within %.0f Hz. On the air, note such a figure on the page My correction.", high-low)
}
