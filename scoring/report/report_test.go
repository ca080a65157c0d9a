package report

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"

	"driftdrill/assets"
	"driftdrill/orbit"
	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
	"driftdrill/sim"
)

// flown is a run of a bundled drill by a simulated hand, marked and rated.
func flown(t testing.TB, drill, hand string, change func(*sim.Setup)) Run {
	t.Helper()
	read := func(path string) []byte {
		data, err := assets.FS.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	d, err := sim.ParseDrill(read("drills/"+drill+".toml"), drill)
	if err != nil {
		t.Fatal(err)
	}
	bird, err := sim.ParseBird(read("birds/"+d.Bird+".toml"), d.Bird)
	if err != nil {
		t.Fatal(err)
	}
	sets, _ := orbit.ReadElements(bytes.NewReader(read("elements/demo.tle")), "demo.tle")
	el, err := orbit.Find(sets, fmt.Sprint(bird.Catalog))
	if err != nil {
		t.Fatal(err)
	}
	s, err := sim.Prepare(d, bird, el, orbit.Site{Name: "Quern Hill", LatDeg: 50, LonDeg: 8, AltM: 150}, el.Epoch.Add(time.Hour), 3)
	if err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(&s)
	}
	h, err := sim.NewHand(hand, 2, &s)
	if err != nil {
		t.Fatal(err)
	}
	r, err := sim.NewRun(s)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	rec, err := sim.NewRecorder(&out, r)
	if err != nil {
		t.Fatal(err)
	}
	var st sim.State
	for !r.Done() {
		r.Step(&st)
		h.Act(&st, r.Post)
	}
	if err := rec.Finish(nil); err != nil {
		t.Fatal(err)
	}
	sh, err := sim.ReadSheet(&out, drill+".jsonl")
	if err != nil {
		t.Fatal(err)
	}
	debrief, tr, err := scoring.DebriefSheet(sh)
	if err != nil {
		t.Fatal(err)
	}
	run := Run{Debrief: debrief, Trace: tr, Setup: &sh.Setup}
	if l, err := scoring.FlyLadder(&sh.Setup, tr); err == nil {
		rating := l.Rate(debrief.Marks, tr)
		run.Debrief.Rating, run.Ladder = &rating, l
	}
	return run
}

// sound checks what a page must be: whole, well formed, and in need of nothing beside it.
func sound(t *testing.T, text string) {
	t.Helper()
	for _, bad := range []string{"<script", "http:", "https:", "src=", "@import", "url(", "NaN", "+Inf", "%!", "ZgotmplZ"} {
		if strings.Contains(text, bad) {
			t.Errorf("the page has %q in it", bad)
		}
	}
	for rest := text; ; { // each drawing is well-formed XML
		i := strings.Index(rest, "<svg")
		if i < 0 {
			break
		}
		j := strings.Index(rest, "</svg>") + len("</svg>")
		if err := xml.Unmarshal([]byte(rest[i:j]), new(struct{})); err != nil {
			t.Errorf("a drawing is not well formed: %v", err)
		}
		rest = rest[j:]
	}
	if !strings.HasSuffix(strings.TrimSpace(text), "</html>") {
		t.Error("the page is not whole")
	}
}

func keep(t *testing.T, name string, text []byte) {
	if dir := os.Getenv("REPORT_OUT"); dir != "" {
		if err := os.WriteFile(dir+"/"+name, text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func TestRunReport(t *testing.T) {
	for _, c := range []struct{ drill, hand string }{{"come-back", "regular"}, {"low-overhead", "beginner"}, {"real-afternoon", "good"}, {"cold-find", "none"}, {"hear-the-shift", "regular"}} {
		run := flown(t, c.drill, c.hand, func(s *sim.Setup) { s.Operator = `Dipper <b>"&` })
		var out bytes.Buffer
		if err := Write(&out, run); err != nil {
			t.Fatal(err)
		}
		text := out.String()
		sound(t, text)
		if strings.Contains(text, `Dipper <b>`) {
			t.Error("an operator's name was not escaped")
		}
		if run.Debrief.Exercise == nil && !strings.Contains(text, fmt.Sprintf("Held: %.0f", run.Debrief.HoldIndex)) {
			t.Error("the hold index is not there")
		}
		keep(t, c.drill+".html", out.Bytes())
		t.Logf("%s by %s: %d bytes", c.drill, c.hand, out.Len())
	}
}

func TestTrendReport(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var obs []scoring.Observation
	at := time.Date(2026, 9, 1, 19, 0, 0, 0, time.UTC)
	for i := range 40 {
		var o scoring.Observation
		o.Flown = at
		for k := range scoring.NumAxes {
			o.Value[k], o.SD[k] = 70-50*math.Exp(-float64(i)/15)+6*r.NormFloat64()-float64(4*k), 6
		}
		obs = append(obs, o)
		at = at.AddDate(0, 0, 1+r.IntN(3))
		if i == 25 {
			at = at.AddDate(0, 0, 32)
		}
	}
	runs := []logbook.Entry{{ID: 1, Flown: at, Drill: "d", Title: "Come back", Bird: "DIPPER-2", TopDeg: 40, HoldIndex: 812, Counts: true, Rating: &scoring.Rating{Axis: scoring.Axis{Hand: 56, SD: 6}}},
		{ID: 2, Flown: at, Drill: "d", Title: "Come back", Bird: "DIPPER-2", TopDeg: 40, HoldIndex: 640, WhyNot: "aids were on"}}
	for name, trend := range map[string]Trend{
		"trend.html": {Operator: "Dipper", Skill: scoring.SkillOf(obs, at), Runs: runs, Until: at, Next: &scoring.Suggestion{Title: "Come back", Why: "coming back is your weakest side (28 to 42)."},
			Air: []logbook.Air{{Heard: at.AddDate(0, 0, 2), HoldIndex: 702}, {Heard: at.AddDate(0, -1, 0), HoldIndex: 455}}},
		"empty.html": {Operator: "", Skill: scoring.SkillOf(nil, at), Until: at},
		"one.html":   {Operator: "Dipper", Skill: scoring.SkillOf(obs[:1], at), Until: at},
	} {
		var out bytes.Buffer
		if err := WriteTrend(&out, trend); err != nil {
			t.Fatal(err)
		}
		sound(t, out.String())
		if strings.Contains(out.String(), "Held on the air") != (len(trend.Air) > 0) {
			t.Errorf("%s: the line of what was held on the air", name)
		}
		keep(t, name, out.Bytes())
	}
}

// TestThinningKeepsExtremes: thinning must not hide a spike of one sample, nor
// join what NaN parts, nor let the last point of a column go.
func TestThinningKeepsExtremes(t *testing.T) {
	runs := thin(100_000, 200/100_000.0, func(i int) (float64, float64) {
		switch {
		case i == 55_555:
			return float64(i), 90
		case i == 77_777:
			return math.NaN(), 10
		}
		return float64(i), 10 + float64(i)/1e6
	})
	if len(runs) != 2 {
		t.Fatalf("%d runs, want 2: one on either side of the gap", len(runs))
	}
	points, top, bottom := 0, math.Inf(-1), math.Inf(1)
	for _, r := range runs {
		points += len(r)
		for _, p := range r {
			top, bottom = math.Max(top, p.Y), math.Min(bottom, p.Y)
		}
	}
	if last := runs[1][len(runs[1])-1].Y; top != 90 || bottom != 10 || last != 10+99_999/1e6 || points > 610 {
		t.Errorf("from %g to %g, last %g, %d points; want 10 to 90, 10.099999, at most three in each of 201 columns", bottom, top, last, points)
	}
}

// TestDrawingLeavesColourAndTypeToThePage: no fixed colour and no typeface may
// stay in a drawing, or it would be dark on paper; each name must be in both
// sets of colours of the style sheet. Words stay text, anchored and escaped.
func TestDrawingLeavesColourAndTypeToThePage(t *testing.T) {
	c := newChart(`a "title" <&`, 200, 100, box{left: 40, right: 190, top: 10, bottom: 80}, 0, 10, 0, 10)
	for k := inkPanel; int(k) < len(inkNames); k++ {
		c.line(pen(k, 1), 0, float64(k)/2, 10, float64(k)/2)
		c.area(k, 0, 1, 0, 1)
		c.word(lettering(k, text.XRight), 5, 5, 0, 0, "a<b")
	}
	svg := c.svg()
	if err := xml.Unmarshal([]byte(svg), new(struct{})); err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{"#0", "#F", "font-family", "font-variant", "xmlns", "a<b"} {
		if strings.Contains(svg, bad) {
			t.Errorf("the drawing has %q in it", bad)
		}
	}
	for _, good := range []string{"a&lt;b</text>", `text-anchor:end`} {
		if !strings.Contains(svg, good) {
			t.Errorf("the drawing has no %q in it", good)
		}
	}
	screen, paper, _ := strings.Cut(styleText, "@media print")
	for k := inkPanel; int(k) < len(inkNames); k++ {
		name := "--" + inkNames[k]
		if !strings.Contains(svg, "stroke:var("+name+")") || !strings.Contains(svg, "fill:var("+name+")") {
			t.Errorf("%s did not come through", name)
		}
		if !strings.Contains(screen, name+":") || !strings.Contains(paper, name+":") {
			t.Errorf("%s is not in both sets of colours", name)
		}
	}
}

// TestFrameSitsWhereTold: data at the frame's corners must land on the frame,
// whatever the axes' words, so that charts under each other share their axis.
func TestFrameSitsWhereTold(t *testing.T) {
	for _, word := range []string{"1", "a word wider than the frame's margin"} {
		c := newChart("t", 200, 100, box{left: 40, right: 190, top: 10, bottom: 80}, 0, 10, -1500, 1500)
		c.Y.Scale = spread{}
		c.Y.Tick.Marker = plot.ConstantTicks{{Value: 1500, Label: word}, {Value: 0, Label: word}}
		c.X.Tick.Marker = plot.ConstantTicks{{Value: 10, Label: word}}
		c.dot(inkMark, 10, 1500, 12)
		c.line(pen(inkRule, 1), 0, -1500, 10, 1500)
		if svg := c.svg(); !strings.Contains(svg, `d="M40,20L190,90"`) { // heights count from the drawing's foot
			t.Errorf("with %q the line is not from corner to corner:\n%s", word, svg)
		}
	}
}
