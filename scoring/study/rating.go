package main

import (
	"fmt"
	"io"
	"math"
	"runtime"

	"driftdrill/scoring"

	"golang.org/x/sync/errgroup"
)

// levels at which each make is flown.
var levels = []float64{0.1, 0.5, 0.9}

// operator is a make at a level.
type operator struct {
	kind
	level float64
}

func (o operator) String() string { return fmt.Sprintf("%s %.1f", o.name, o.level) }

func operatorsOf(makes []kind) []operator {
	var all []operator
	for _, k := range makes {
		for _, l := range levels {
			all = append(all, operator{k, l})
		}
	}
	return all
}

// flown is one rated run.
type flown struct {
	index  float64
	rating scoring.Rating
}

// table is what a group of makes earned: [operator][pass][run].
type table struct {
	name      string
	operators []operator
	runs      [][][]flown
}

// fly flies every operator of a group over every pass, runs times.
func flyGroup(name string, makes []kind, runs, starts int) (*table, error) {
	t := &table{name: name, operators: operatorsOf(makes)}
	t.runs = make([][][]flown, len(t.operators))
	for k := range t.runs {
		t.runs[k] = make([][]flown, len(passes))
		for i := range passes {
			t.runs[k][i] = make([]flown, runs)
		}
	}
	var group errgroup.Group
	group.SetLimit(runtime.GOMAXPROCS(0))
	var ladders scoring.Ladders
	for i, p := range passes {
		for start := range min(starts, runs) {
			group.Go(func() error { return t.flyPass(&ladders, i, p, start, min(starts, runs)) })
		}
	}
	return t, group.Wait()
}

// flyPass flies everybody over one pass with one start error.
func (t *table) flyPass(ladders *scoring.Ladders, i int, p pass, start, starts int) error {
	setup, err := p.setup(uint64(start+1), usualStart)
	if err != nil {
		return err
	}
	course, err := scoring.NewCourse(&setup)
	if err != nil {
		return err
	}
	inverting := setup.Bird.Transponders[setup.Drill.Transponder-1].Inverting
	var tr *scoring.Trace
	for k, o := range t.operators {
		runs := t.runs[k][i]
		for run := start; run < len(runs); run += starts {
			tr = scoring.Fly(course, sitDown(o.kind, o.level, uint64(1000*run+100*i+k), inverting), tr)
			m := scoring.Measure(tr)
			l, err := ladders.Of(&setup, tr)
			if err != nil {
				return err
			}
			runs[run] = flown{m.HoldIndex, l.Rate(m, tr)}
		}
	}
	return nil
}

// values picks a value of each run.
func (t *table) values(of func(*flown) float64) [][][]float64 {
	out := make([][][]float64, len(t.runs))
	for k := range t.runs {
		for i := range t.runs[k] {
			var row []float64
			for r := range t.runs[k][i] {
				row = append(row, of(&t.runs[k][i][r]))
			}
			out[k] = append(out[k], row)
		}
	}
	return out
}

func ratingOf(f *flown) float64 { return f.rating.Hand }

// truths is each operator's mean rating over all passes.
func (t *table) truths(of func(*flown) float64) []float64 {
	var out []float64
	for _, passes := range t.values(of) {
		var all []float64
		for _, row := range passes {
			all = append(all, row...)
		}
		out = append(out, mean(all))
	}
	return out
}

// covered is the share of ratings whose own interval holds their operator's truth.
func (t *table) covered() float64 {
	truth := t.truths(ratingOf)
	in, n := 0, 0
	for k := range t.runs {
		for i := range t.runs[k] {
			for r := range t.runs[k][i] {
				a := &t.runs[k][i][r].rating
				n++
				if truth[k] >= a.Low && truth[k] <= a.High {
					in++
				}
			}
		}
	}
	return float64(in) / float64(n)
}

// worstRank is the least rank correlation of the operators' mean ratings
// between two passes, and the mean of all pairs.
func (t *table) worstRank() (worst, average float64) {
	v := t.values(ratingOf)
	worst = 1
	n := 0.0
	for a := range passes {
		for b := range a {
			var x, y []float64
			for k := range v {
				x, y = append(x, mean(v[k][a])), append(y, mean(v[k][b]))
			}
			c := rankCorrelation(x, y)
			worst, average, n = math.Min(worst, c), average+c, n+1
		}
	}
	return worst, average / n
}

// The targets of a group.
const (
	leastSkill, mostPass, mostNoise = 0.85, 0.05, 0.10
	leastRank                       = 0.75
	leastCovered, mostCovered       = 0.85, 0.95
)

// missed says which targets were not met.
func (t *table) missed() []string {
	var out []string
	miss := func(form string, args ...any) { out = append(out, t.name+": "+fmt.Sprintf(form, args...)) }
	s := split(t.values(ratingOf))
	worst, _ := t.worstRank()
	covered := t.covered()
	if s.skill < leastSkill {
		miss("skill is %.3f of the rating's variance, want %.2f or more", s.skill, leastSkill)
	}
	if s.pass > mostPass {
		miss("pass is %.3f of the rating's variance, want %.2f or less", s.pass, mostPass)
	}
	if s.noise > mostNoise {
		miss("one run's noise is %.3f of the rating's variance, want %.2f or less", s.noise, mostNoise)
	}
	if worst < leastRank {
		miss("two passes rank the operators with a correlation of %.2f, want %.2f or more", worst, leastRank)
	}
	if covered < leastCovered || covered > mostCovered {
		miss("%.0f %% of the ratings hold the truth, want %.0f to %.0f", 100*covered, 100*leastCovered, 100*mostCovered)
	}
	return out
}

// print writes the table of a group.
func (t *table) print(w io.Writer) {
	v := t.values(ratingOf)
	fmt.Fprintf(w, "\n%s: hand rating, mean (standard deviation of one run); mean of the runs' own\n%-18s", t.name, "")
	for i := range passes {
		fmt.Fprintf(w, "%9s", passes[i].label[:1])
	}
	fmt.Fprintf(w, "%9s%9s\n", "all", "own sd")
	sds := t.truths(func(f *flown) float64 { return f.rating.SD })
	truth := t.truths(ratingOf)
	for k, o := range t.operators {
		fmt.Fprintf(w, "%-18s", o)
		for i := range passes {
			fmt.Fprintf(w, "%9s", fmt.Sprintf("%.0f (%.0f)", mean(v[k][i]), math.Sqrt(variance(v[k][i]))))
		}
		fmt.Fprintf(w, "%9.0f%9.1f\n", truth[k], sds[k])
	}
	index := split(t.values(func(f *flown) float64 { return f.index }))
	s := split(v)
	worst, average := t.worstRank()
	fmt.Fprintf(w, "hold index: skill %.3f, pass %.3f, skill x pass %.3f, one run %.3f\n", index.skill, index.pass, index.mixture, index.noise)
	fmt.Fprintf(w, "hand rating: skill %.3f, pass %.3f, skill x pass %.3f, one run %.3f; rank correlation %.2f, worst %.2f; %.0f %% of the ratings hold the truth\n",
		s.skill, s.pass, s.mixture, s.noise, average, worst, 100*t.covered())
}
