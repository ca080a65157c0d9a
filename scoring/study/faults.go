package main

import (
	"fmt"
	"io"
	"math"
	"sort"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// fault is a mistake given to an able person, whatever his make.
type fault struct {
	name string
	line []string // kinds of advice that name it
	give func(p *person, peakHzS float64, topS float64)
	far  bool // it shows only where the search is long
}

// faults that an operator of any make can have. What is heard or done is
// spoilt, not the mind.
func faults() []fault {
	return []fault{
		{"freezes at the top", []string{scoring.FaultFreeze}, func(p *person, _, topS float64) {
			p.spoilTurn = func(s *sim.State, hz float64) float64 {
				if math.Abs(s.Tick.Seconds()-topS) < 45 {
					return 0
				}
				return hz
			}
		}, false},
		{"half freezes at the top", []string{scoring.FaultFreeze}, func(p *person, peak, topS float64) {
			p.spoilHeard = func(s *sim.State, hz float64) float64 {
				if away := math.Abs(s.Tick.Seconds() - topS); away < 60 {
					return hz - max(160, 3.2*peak)*(1-away/60) // he lets the pass pull him along
				}
				return hz
			}
		}, false},
		{"loose", []string{scoring.FaultLoose}, func(p *person, _, _ float64) {
			wander := newNoise(p.random, 110, 5)
			p.spoilHeard = func(_ *sim.State, hz float64) float64 { return hz + wander.next() }
		}, false},
		{"hunting", []string{scoring.FaultHunting}, func(p *person, _, _ float64) {
			phase := 6.28 * p.random.Float64()
			p.spoilHeard = func(s *sim.State, hz float64) float64 {
				return hz + 120*math.Sin(phase+s.Tick.Seconds()*2*math.Pi/3.2) // turns on after he has heard enough, to and fro
			}
		}, false},
		{"lost for a while", []string{scoring.FaultLost}, func(p *person, _, topS float64) {
			from := topS + 75 + 60*p.random.Float64()
			if p.random.Float64() < 0.5 {
				from = topS - 160 - 60*p.random.Float64()
			}
			p.spoilTurn = func(s *sim.State, hz float64) float64 {
				if t := s.Tick.Seconds(); t > from && t < from+70 {
					return 0
				}
				return hz
			}
		}, false},
		{"one long call", []string{scoring.FaultLongCall}, func(p *person, _, _ float64) { p.callS = 40 }, true},
		{"late", []string{scoring.FaultLag}, func(p *person, _, _ float64) {
			p.spoilHeard = func(s *sim.State, hz float64) float64 { return hz - 1.9*s.RateHzS }
		}, false},
		{"a pitch of his own", []string{scoring.FaultBias}, func(p *person, _, _ float64) {
			by := math.Copysign(60+30*p.random.Float64(), p.random.Float64()-0.5)
			p.spoilHeard = func(_ *sim.State, hz float64) float64 { return hz - by }
		}, false},
		{"lets go", []string{scoring.FaultLetGo}, func(p *person, _, _ float64) {
			p.spoilTurn = func(s *sim.State, hz float64) float64 {
				if s.Phase == sim.PhaseListen {
					return 0
				}
				return hz
			}
		}, false},
		{"leads too far", []string{scoring.FaultOverLead}, func(p *person, _, _ float64) {
			p.spoilTurn = func(s *sim.State, hz float64) float64 {
				if s.Phase == sim.PhaseListen {
					return 1.9 * s.RateHzS * stepS
				}
				return hz
			}
		}, false},
		{"starts the wrong way", []string{scoring.FaultWrongWay}, func(p *person, _, _ float64) {
			over, until := -1, 0.0
			p.spoilTurn = func(s *sim.State, hz float64) float64 {
				if s.Phase == sim.PhaseTalk && s.Over != over {
					over = s.Over
					if p.random.Float64() < 0.6 {
						until = s.Tick.Seconds() + 2.6
					}
				}
				if now := s.Tick.Seconds(); s.Keyed && now < until && math.Abs(s.OffsetHz) < 500 {
					return -math.Copysign(130*stepS, s.OffsetHz)
				}
				return hz
			}
		}, false},
		{"keys late", []string{scoring.FaultSilent}, func(p *person, _, _ float64) { p.react = 3.2 }, false},
	}
}

// told counts what was said first.
type told struct {
	name  string
	runs  int
	right int
	said  map[string]int
}

// adviceOn flies able people with each fault, and without, and counts what
// the first line says.
func adviceOn(makes []kind, runs int) ([]told, error) {
	all := append([]fault{{name: "none", line: []string{scoring.NoteClean, scoring.NoteKnob}}}, faults()...)
	out := make([]told, len(all))
	for k, f := range all {
		out[k] = told{name: f.name, said: map[string]int{}}
	}
	for i := range passes[1:5] {
		for _, step := range []int{20, 50} {
			usual, err := newGround(i+1, step, usualStart)
			if err != nil {
				return nil, err
			}
			far, err := newGround(i+1, step, farStart)
			if err != nil {
				return nil, err
			}
			for k, f := range all {
				g := usual
				if f.far {
					g = far
				}
				for n, make := range makes {
					for run := range runs {
						out[k].count(f.line, g.fly(make, f, uint64(10000*step+1000*run+100*i+10*k+n)))
					}
				}
			}
		}
	}
	return out, nil
}

// ground is a pass on which faults are flown.
type ground struct {
	setup     sim.Setup
	course    *scoring.Course
	inverting bool
	peak, top float64
	trace     *scoring.Trace
}

func newGround(pass, step int, start [2]float64) (*ground, error) {
	setup, err := passes[pass].setup(uint64(pass+2), start)
	if err != nil {
		return nil, err
	}
	setup.Drill.StepHz = step
	g := &ground{setup: setup, inverting: setup.Bird.Transponders[setup.Drill.Transponder-1].Inverting}
	if g.course, err = scoring.NewCourse(&setup); err != nil {
		return nil, err
	}
	g.peak, g.top = peakOf(g.course)
	return g, nil
}

// fly sends an able person of a make with a fault and returns what is said first.
func (g *ground) fly(make kind, f fault, seed uint64) string {
	who := sitDown(make, 0.95, seed, g.inverting)
	if f.give != nil {
		f.give(who, g.peak, g.top)
	}
	g.trace = scoring.Fly(g.course, who, g.trace)
	return scoring.Advise(scoring.Measure(g.trace), g.trace, &g.setup).Kind
}

func (t *told) count(right []string, kind string) {
	t.runs++
	t.said[kind]++
	for _, r := range right {
		if r == kind {
			t.right++
		}
	}
}

// peakOf is the greatest drift rate of a course and when it comes.
func peakOf(c *scoring.Course) (hzS, atS float64) {
	tr := scoring.Fly(c, idle{}, nil)
	for i := range tr.Samples {
		if r := math.Abs(tr.Samples[i].RateHzS); r > hzS {
			hzS, atS = r, tr.Samples[i].Tick.Seconds()
		}
	}
	return hzS, atS
}

// idle does nothing.
type idle struct{}

func (idle) Act(*sim.State, func(sim.CommandKind, int64)) {}

// rates are the share of runs in which the fault came first, and of those
// without one in which something was named.
func rates(all []told) (first, falsely float64) {
	right, runs := 0, 0
	for _, t := range all[1:] {
		right, runs = right+t.right, runs+t.runs
	}
	return float64(right) / float64(runs), 1 - float64(all[0].right)/float64(all[0].runs)
}

// Targets of the advice.
const leastFirst, mostFalse = 0.85, 0.05

func adviceMissed(name string, all []told) (out []string) {
	first, falsely := rates(all)
	if first < leastFirst {
		out = append(out, fmt.Sprintf("%s: the fault comes first in %.0f %%, want %.0f or more", name, 100*first, 100*leastFirst))
	}
	if falsely > mostFalse {
		out = append(out, fmt.Sprintf("%s: a fault is named in %.0f %% of the runs without one, want %.0f or less", name, 100*falsely, 100*mostFalse))
	}
	return out
}

// printAdvice writes what was said first.
func printAdvice(w io.Writer, name string, all []told) {
	fmt.Fprintf(w, "\n%s: the first line of advice to able people (skill 0.95) with one fault, passes B to E, steps of 20 and 50 Hz\n", name)
	for _, t := range all {
		fmt.Fprintf(w, "%-26s right %3.0f %% of %d:", t.name, 100*float64(t.right)/float64(t.runs), t.runs)
		printSaid(w, t.said)
	}
	first, falsely := rates(all)
	fmt.Fprintf(w, "the fault first: %.0f %%; a fault named where there is none: %.0f %%\n", 100*first, 100*falsely)
}

// printSaid ends a line with what was said first, the most frequent first.
func printSaid(w io.Writer, said map[string]int) {
	kinds := make([]string, 0, len(said))
	for k := range said {
		kinds = append(kinds, k)
	}
	sort.Slice(kinds, func(a, b int) bool {
		return said[kinds[a]] > said[kinds[b]] || said[kinds[a]] == said[kinds[b]] && kinds[a] < kinds[b]
	})
	for _, k := range kinds {
		fmt.Fprintf(w, " %s %d", k, said[k])
	}
	fmt.Fprintln(w)
}
