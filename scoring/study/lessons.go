package main

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"time"

	"driftdrill/assets"
	"driftdrill/orbit"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// lesson is a drill flown by operators with no pitch of their own: what they
// are told there is never that their pitch is wrong.
type lesson struct {
	drill string
	runs  int
	pitch int // told that their right pitch is another
	late  int // told to turn earlier, or before it sounds wrong
	said  map[string]int
}

// lessonDrills are those in which the drift rate hardly varies, so that a late
// hand and a wrong pitch look alike.
var lessonDrills = []string{"come-back", "top-of-the-pass", "cold-find", "first-hold", "slow-climb"}

// unbiased are the makes that like no pitch of their own.
func unbiased(all []kind) (some []kind) {
	for _, k := range all {
		if k.name != "biased" && k.name != "two speeds" && k.name != "looks" { // these wander or like another pitch
			some = append(some, k)
		}
	}
	return some
}

// lessonsOf flies the drills with makes at three levels and the reference hands.
func lessonsOf(makes []kind, seeds int) ([]lesson, error) {
	var all []lesson
	for _, name := range lessonDrills {
		l := lesson{drill: name, said: map[string]int{}}
		for seed := range seeds {
			setup, err := bundled(name, uint64(seed+1))
			if err != nil {
				return nil, err
			}
			course, err := scoring.NewCourse(&setup)
			if err != nil {
				return nil, err
			}
			inverting := setup.Bird.Transponders[setup.Drill.Transponder-1].Inverting
			for n, k := range makes {
				for i, level := range []float64{0.1, 0.5, 0.9} {
					l.count(course, sitDown(k, level, uint64(1000*seed+10*n+i), inverting), &setup)
				}
			}
			for _, hand := range []string{"first-evening", "beginner", "regular", "good"} {
				h, err := sim.NewHand(hand, uint64(seed), &setup)
				if err != nil {
					return nil, err
				}
				l.count(course, h, &setup)
			}
		}
		all = append(all, l)
	}
	return all, nil
}

func (l *lesson) count(c *scoring.Course, h scoring.Hand, setup *sim.Setup) {
	tr := scoring.Fly(c, h, nil)
	a := scoring.Advise(scoring.Measure(tr), tr, setup)
	l.runs++
	l.said[a.Kind]++
	switch a.Kind {
	case scoring.FaultBias:
		l.pitch++
	case scoring.FaultLag:
		l.late++
	}
}

// bundled prepares one of the course's drills as it stands.
func bundled(name string, seed uint64) (sim.Setup, error) {
	read := func(path string) []byte {
		text, _ := assets.FS.ReadFile(path) // embedded
		return text
	}
	d, err := sim.ParseDrill(read("drills/"+name+".toml"), name)
	if err != nil {
		return sim.Setup{}, err
	}
	bird, err := sim.ParseBird(read("birds/"+d.Bird+".toml"), d.Bird)
	if err != nil {
		return sim.Setup{}, err
	}
	sets, problems := orbit.ReadElements(bytes.NewReader(read("elements/demo.tle")), "demo.tle")
	if len(problems) > 0 {
		return sim.Setup{}, problems[0]
	}
	el, err := orbit.Find(sets, strconv.Itoa(bird.Catalog))
	if err != nil {
		return sim.Setup{}, err
	}
	site := orbit.Site{Name: "Quern Hill", LatDeg: 50, LonDeg: 8, AltM: 150}
	return sim.Prepare(d, bird, el, site, el.Epoch.Add(time.Duration(seed*7)*time.Hour), seed)
}

// mostPitch is the share of those runs in which the pitch may be blamed first.
const mostPitch = 0.02

func printLessons(w io.Writer, name string, all []lesson) {
	fmt.Fprintf(w, "\n%s and the reference hands, none with a pitch of its own, on drills whose rate hardly varies: the first line\n", name)
	for _, l := range all {
		fmt.Fprintf(w, "%-16s %d runs: told another pitch %d, to turn earlier %d;", l.drill, l.runs, l.pitch, l.late)
		printSaid(w, l.said)
	}
}

func lessonsMissed(name string, all []lesson) (out []string) {
	for _, l := range all {
		if float64(l.pitch) > mostPitch*float64(l.runs) {
			out = append(out, fmt.Sprintf("%s: on %s %d of %d runs without a pitch of their own are told another pitch", name, l.drill, l.pitch, l.runs))
		}
	}
	return out
}
