// Study asks whether the marks tell skill from pass. Seven simulated
// operators, none of them on the ladder, fly six passes many times; the
// variance of hold index and rating is split into skill, pass, their mixture
// and the noise of a single run.
//
//	go run ./scoring/study [runs]
package main

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"time"

	"driftdrill/assets"
	"driftdrill/orbit"
	"driftdrill/scoring"
	"driftdrill/sim"
)

func main() {
	runs := 24
	if len(os.Args) > 1 {
		n, err := strconv.Atoi(os.Args[1])
		if err != nil || n < 2 || n > 10_000 {
			fmt.Fprintf(os.Stderr, "study: %q: give the runs of each operator on each pass, 2 to 10000\n", os.Args[1])
			os.Exit(2)
		}
		runs = n
	}
	r, err := study(runs, startsPerPass)
	if err != nil {
		fmt.Fprintln(os.Stderr, "study:", err)
		os.Exit(1)
	}
	r.print(os.Stdout)
	if missed := r.missed(); len(missed) > 0 {
		for _, m := range missed {
			fmt.Println("MISSED:", m)
		}
		os.Exit(1)
	}
	fmt.Println("all targets met")
}

// pass is one of the six.
type pass struct {
	label, bird string
	top         [2]float64
}

var passes = []pass{
	{"A 1480 km low", "fulmar-3", [2]float64{13, 18}},
	{"B 1480 km high", "fulmar-3", [2]float64{78, 90}},
	{"C 800 km middle", "dipper-2", [2]float64{27, 35}},
	{"D 800 km high", "dipper-2", [2]float64{78, 90}},
	{"E 500 km middle", "lark-1", [2]float64{27, 35}},
	{"F 500 km high", "lark-1", [2]float64{78, 90}},
}

// setup makes the whole pass with 20 Hz steps and the talk plan of 12 s and 18 s.
func (p pass) setup(seed uint64) (sim.Setup, error) {
	text, err := assets.FS.ReadFile("birds/" + p.bird + ".toml")
	if err != nil {
		return sim.Setup{}, err
	}
	bird, err := sim.ParseBird(text, p.bird)
	if err != nil {
		return sim.Setup{}, err
	}
	if text, err = assets.FS.ReadFile("elements/demo.tle"); err != nil {
		return sim.Setup{}, err
	}
	sets, problems := orbit.ReadElements(bytes.NewReader(text), "demo.tle")
	if len(problems) > 0 {
		return sim.Setup{}, problems[0]
	}
	el, err := orbit.Find(sets, strconv.Itoa(bird.Catalog))
	if err != nil {
		return sim.Setup{}, err
	}
	d, err := sim.ParseDrill([]byte(fmt.Sprintf(`
name = "study"
bird = %q
brief = "Find yourself and hold."
step_hz = 20
[pass]
top_deg = [%g, %g]
[start]
offset_hz = [400, 1500]
side = "any"
lead_s = 20
[plan]
talk_s = 12
listen_s = 18
[goal]
text = "Hold"
pass = 700
`, p.bird, p.top[0], p.top[1])), "study")
	if err != nil {
		return sim.Setup{}, err
	}
	site := orbit.Site{Name: "Quern Hill", LatDeg: 50, LonDeg: 8, AltM: 150}
	return sim.Prepare(d, bird, el, site, el.Epoch.Add(time.Hour), seed)
}

// result is the whole study.
type result struct {
	runs          int
	names         []string
	peak          []float64     // greatest drift rate of each pass, Hz/s
	minutes       []float64     // length of each pass
	index, rating [][][]float64 // [operator][pass][run]
	idle, perfect []float64     // highest of doing nothing, lowest of perfect, by pass
}

// startsPerPass is how many start errors each pass is flown with.
const startsPerPass = 3

func study(runs, starts int) (*result, error) {
	r := &result{runs: runs}
	ops := operators()
	for _, o := range ops {
		r.names = append(r.names, o.name)
		r.index = append(r.index, make([][]float64, len(passes)))
		r.rating = append(r.rating, make([][]float64, len(passes)))
	}
	for i, p := range passes {
		r.peak, r.minutes = append(r.peak, 0), append(r.minutes, 0)
		r.idle, r.perfect = append(r.idle, 0), append(r.perfect, 1000)
		for start := range uint64(starts) {
			if err := r.fly(i, p, start, uint64(starts), ops); err != nil {
				return nil, fmt.Errorf("%s: %w", p.label, err)
			}
		}
	}
	return r, nil
}

// fly flies everybody over one pass with one start error.
func (r *result) fly(i int, p pass, start, starts uint64, ops []operator) error {
	setup, err := p.setup(start + 1)
	if err != nil {
		return err
	}
	course, err := scoring.NewCourse(&setup)
	if err != nil {
		return err
	}
	ladder, err := scoring.FlyLadder(&setup)
	if err != nil {
		return err
	}
	inverting := setup.Bird.Transponders[setup.Drill.Transponder-1].Inverting
	var tr *scoring.Trace
	for k, o := range ops {
		for run := start; run < uint64(r.runs); run += starts {
			tr = scoring.Fly(course, sitDown(o, 1000*run+uint64(100*i+k), inverting), tr)
			m := scoring.Measure(tr)
			r.index[k][i] = append(r.index[k][i], m.HoldIndex)
			r.rating[k][i] = append(r.rating[k][i], ladder.Rate(m, tr).Hand)
		}
	}
	for _, name := range []string{"none", "perfect"} {
		h, err := sim.NewHand(name, 1, &setup)
		if err != nil {
			return err
		}
		tr = scoring.Fly(course, h, tr)
		m := scoring.Measure(tr)
		if name == "none" {
			r.idle[i] = max(r.idle[i], m.HoldIndex)
		} else {
			r.perfect[i] = min(r.perfect[i], m.HoldIndex)
		}
	}
	r.minutes[i] = setup.Length.Seconds() / 60
	for _, s := range tr.Samples {
		r.peak[i] = max(r.peak[i], s.RateHzS, -s.RateHzS)
	}
	return nil
}

// shares splits a variance.
type shares struct{ skill, pass, mixture, noise float64 }

// split is the analysis of variance of value[operator][pass][run], two crossed factors.
func split(value [][][]float64) shares {
	var all, ops, within []float64
	byPass := make([][]float64, len(value[0]))
	var cells []float64
	for _, o := range value {
		var mine []float64
		for i, cell := range o {
			mine = append(mine, cell...)
			byPass[i] = append(byPass[i], cell...)
			cells = append(cells, mean(cell))
			within = append(within, variance(cell))
		}
		all = append(all, mine...)
		ops = append(ops, mean(mine))
	}
	var ps []float64
	for _, p := range byPass {
		ps = append(ps, mean(p))
	}
	total := variance(all)
	s := shares{skill: variance(ops) / total, pass: variance(ps) / total, noise: mean(within) / total}
	s.mixture = variance(cells)/total - s.skill - s.pass
	return s
}

func mean(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

func variance(x []float64) float64 {
	m := mean(x)
	var sum float64
	for _, v := range x {
		sum += (v - m) * (v - m)
	}
	return sum / float64(len(x))
}

// The targets.
const (
	leastSkill, mostPass, mostNoise = 0.85, 0.05, 0.10
	mostIdle, leastPerfect          = 50.0, 980.0
)

// missed says which targets were not met.
func (r *result) missed() []string {
	var out []string
	s := split(r.rating)
	if s.skill < leastSkill {
		out = append(out, fmt.Sprintf("skill is %.3f of the rating's variance, want %.2f or more", s.skill, leastSkill))
	}
	if s.pass > mostPass {
		out = append(out, fmt.Sprintf("pass is %.3f of the rating's variance, want %.2f or less", s.pass, mostPass))
	}
	if s.noise > mostNoise {
		out = append(out, fmt.Sprintf("noise is %.3f of the rating's variance, want %.2f or less", s.noise, mostNoise))
	}
	for i, p := range passes {
		if r.idle[i] > mostIdle {
			out = append(out, fmt.Sprintf("%s: doing nothing earns %.0f, want %.0f or less", p.label, r.idle[i], mostIdle))
		}
		if r.perfect[i] < leastPerfect {
			out = append(out, fmt.Sprintf("%s: perfect earns %.0f, want %.0f or more", p.label, r.perfect[i], leastPerfect))
		}
	}
	return out
}

// print writes the tables.
func (r *result) print(w io.Writer) {
	fmt.Fprintf(w, "%d runs of each operator on each pass; 20 Hz steps, 12 s talk, 18 s listening, start error 400 to 1500 Hz\n\n", r.runs)
	fmt.Fprintf(w, "%-18s", "pass")
	for i := range passes {
		fmt.Fprintf(w, "%10s", passes[i].label[:1])
	}
	fmt.Fprintf(w, "\n%-18s", "orbit, km")
	for _, p := range passes {
		fmt.Fprintf(w, "%10s", p.label[2:])
	}
	row := func(name, form string, x []float64) {
		fmt.Fprintf(w, "\n%-18s", name)
		for _, v := range x {
			fmt.Fprintf(w, form, v)
		}
	}
	row("peak rate, Hz/s", "%10.0f", r.peak)
	row("length, min", "%10.1f", r.minutes)
	for _, t := range []struct {
		title string
		value [][][]float64
	}{{"hold index", r.index}, {"hand rating", r.rating}} {
		fmt.Fprintf(w, "\n\n%s: mean (standard deviation of one run)", t.title)
		for k, name := range r.names {
			fmt.Fprintf(w, "\n%-18s", name)
			for i := range passes {
				cell := t.value[k][i]
				fmt.Fprintf(w, "%10s", fmt.Sprintf("%.0f (%.0f)", mean(cell), math.Sqrt(variance(cell))))
			}
		}
		if t.title == "hold index" {
			row("doing nothing", "%10.0f", r.idle)
			row("perfect", "%10.0f", r.perfect)
		}
		s := split(t.value)
		fmt.Fprintf(w, "\nshares of variance: skill %.3f, pass %.3f, skill x pass %.3f, noise of one run %.3f", s.skill, s.pass, s.mixture, s.noise)
	}
	fmt.Fprint(w, "\n\n")
}
