package main

import (
	"bytes"
	"fmt"
	"strconv"
	"time"

	"driftdrill/assets"
	"driftdrill/orbit"
	"driftdrill/sim"
)

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

// Sizes of the start error: as they come, and so far off that one must search, Hz.
var (
	usualStart = [2]float64{400, 1500}
	farStart   = [2]float64{2500, 4000}
)

// setup makes the whole pass with 20 Hz steps and the talk plan of 12 s and 18 s.
func (p pass) setup(seed uint64, start [2]float64) (sim.Setup, error) {
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
offset_hz = [%g, %g]
side = "any"
lead_s = 20
[plan]
talk_s = 12
listen_s = 18
[goal]
text = "Hold"
pass = 700
`, p.bird, p.top[0], p.top[1], start[0], start[1])), "study")
	if err != nil {
		return sim.Setup{}, err
	}
	site := orbit.Site{Name: "Quern Hill", LatDeg: 50, LonDeg: 8, AltM: 150}
	return sim.Prepare(d, bird, el, site, el.Epoch.Add(time.Hour), seed)
}
