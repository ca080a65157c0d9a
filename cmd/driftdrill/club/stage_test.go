package club

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"driftdrill/assets"
	"driftdrill/orbit"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// Codes of the nights of the tests.
const (
	testCode    = "heron 42"
	testTrainer = "plover fern oak 77"
)

// testClock is a clock that moves when it is told to.
type testClock struct {
	mu sync.Mutex
	t  time.Time
}

func newClock() *testClock { return &testClock{t: time.Date(2026, 11, 26, 19, 0, 0, 0, time.UTC)} }

func (c *testClock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.t
}

func (c *testClock) pass(d time.Duration) {
	c.mu.Lock()
	c.t = c.t.Add(d)
	c.mu.Unlock()
}

// testDrill is a drill that ends by its plan after about a minute: short, so
// that tests are.
const testDrill = `name = "test-hold"
title = "A short hold"
bird = "LARK-1"
brief = "Hold it."
[pass]
part = "top"
length_s = 75
[start]
offset_hz = [80, 200]
[plan]
talk_s = 8
listen_s = 6
overs = 3
[aids]
ribbon = false
arrow = false
meter = false
predict = false
[goal]
text = "hold"
measure = "hold_index"
pass = 500
`

// flyText prepares runs of a drill given as text.
func flyText(t testing.TB, text string) (func(seed uint64) (sim.Setup, error), sim.Drill) {
	t.Helper()
	fly, d, err := flierOf(text)
	if err != nil {
		t.Fatal(err)
	}
	return fly, d
}

func flierOf(text string) (func(seed uint64) (sim.Setup, error), sim.Drill, error) {
	d, err := sim.ParseDrill([]byte(text), "test.toml")
	if err != nil {
		return nil, d, err
	}
	data, err := assets.FS.ReadFile("birds/" + strings.ToLower(d.Bird) + ".toml")
	if err != nil {
		return nil, d, err
	}
	b, err := sim.ParseBird(data, "bird.toml")
	if err != nil {
		return nil, d, err
	}
	tle, err := assets.FS.ReadFile("elements/demo.tle")
	if err != nil {
		return nil, d, err
	}
	sets, problems := orbit.ReadElements(bytes.NewReader(tle), "demo.tle")
	if len(problems) > 0 {
		return nil, d, problems[0]
	}
	el, err := orbit.Find(sets, b.Name)
	site := orbit.Site{Name: "Quern Hill", LatDeg: 50, LonDeg: 8, AltM: 150}
	return func(seed uint64) (sim.Setup, error) { return sim.Prepare(d, b, el, site, el.Epoch, seed) }, d, err
}

// testNight is a server with its clock.
type testNight struct {
	*Server
	t     testing.TB
	clock *testClock
	web   *httptest.Server
	cfg   Config
}

// nightText is a plain night file.
const nightText = `name = "Thursday on Quern Hill"
drill = "test-hold"
seed = 7
tries = 2
classes = ["no aids", "all aids", "one hand", "ears only"]
[[heat]]
[[heat]]
`

func newNight(t testing.TB, text string) *testNight {
	t.Helper()
	return newNightOf(t, text, testDrill)
}

// newNightOf is a night on which a drill of one's own is flown.
func newNightOf(t testing.TB, text, drillText string) *testNight {
	t.Helper()
	n, err := ParseNight([]byte(text), "night.toml")
	if err != nil {
		t.Fatal(err)
	}
	fly, drill := flyText(t, drillText)
	clock := newClock()
	cfg := Config{Night: n, Fly: fly, StepFree: drill.StepFree, Data: t.TempDir(), Code: testCode, Trainer: testTrainer, Address: "http://192.0.2.7:8437", Now: clock.now,
		Next: func(tried []scoring.Tried, skill *scoring.Skill, now time.Time) (scoring.Suggestion, bool) {
			return scoring.Next([]sim.Drill{drill}, tried, skill, now)
		}}
	return start(t, cfg, clock)
}

func start(t testing.TB, cfg Config, clock *testClock) *testNight {
	t.Helper()
	s, err := New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	n := &testNight{Server: s, t: t, clock: clock, cfg: cfg}
	n.web = httptest.NewServer(s)
	t.Cleanup(n.end)
	return n
}

func (n *testNight) end() {
	if n.web == nil {
		return
	}
	n.stop()
	n.web.CloseClientConnections()
	n.web.Close()
	n.web = nil
	if err := n.Close(); err != nil {
		n.t.Error(err)
	}
}

// open opens a heat and lets so much time pass that a run can have been flown.
func (n *testNight) open(heat int) {
	n.t.Helper()
	if err := n.evening.openHeat(heat); err != nil {
		n.t.Fatal(err)
	}
	n.clock.pass(time.Hour)
}

func (n *testNight) close(heat int) {
	n.t.Helper()
	if err := n.evening.closeHeat(heat); err != nil {
		n.t.Fatal(err)
	}
}

// answer is what came back.
type answer struct {
	status int
	body   string
	header http.Header
}

func (a answer) reason() string {
	var r struct{ Reason string }
	_ = json.Unmarshal([]byte(a.body), &r)
	return r.Reason
}

// do sends a request; headers come in pairs.
func (n *testNight) do(method, path string, body io.Reader, headers ...string) answer {
	n.t.Helper()
	r, err := http.NewRequestWithContext(context.Background(), method, n.web.URL+path, body)
	if err != nil {
		n.t.Fatal(err)
	}
	for i := 0; i+1 < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	c := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	res, err := c.Do(r)
	if err != nil {
		n.t.Fatal(err)
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	if err != nil {
		n.t.Fatal(err)
	}
	return answer{res.StatusCode, string(text), res.Header}
}

// send posts a sheet with the join code.
func (n *testNight) send(call string, sheet []byte, more ...string) answer {
	n.t.Helper()
	path := "/sheets?call=" + call
	for _, m := range more {
		path += "&" + m
	}
	return n.do("POST", path, bytes.NewReader(sheet), codeHeader, testCode)
}

// setup is what a heat flies in a class.
func (n *testNight) setup(heat int, class string) sim.Setup {
	s := n.evening.rounds[heat-1].setup
	s.Drill.Aids = classNamed(class).Aids
	return s
}

// sheetOf flies a setup with a hand's commands and returns its sheet, as a
// program with that hand's owner at the knob would have written it.
func sheetOf(t testing.TB, setup sim.Setup, hand string, seed uint64) []byte {
	t.Helper()
	h, err := sim.NewHand(hand, seed, &setup)
	if err != nil {
		t.Fatal(err)
	}
	return fly(t, setup, h.Act, true)
}

// fly steps a run to its end, or with early to a stop after 20 s, and returns its sheet.
func fly(t testing.TB, setup sim.Setup, act func(*sim.State, func(sim.CommandKind, int64)), marks bool) []byte {
	t.Helper()
	run, err := sim.NewRun(setup)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	rec, err := sim.NewRecorder(&out, run)
	if err != nil {
		t.Fatal(err)
	}
	var s sim.State
	for !run.Done() {
		run.Step(&s)
		act(&s, run.Post)
	}
	if err := rec.Flush(); err != nil {
		t.Fatal(err)
	}
	if !marks {
		if err := rec.Finish(nil); err != nil {
			t.Fatal(err)
		}
		return out.Bytes()
	}
	sh, err := readSheet(out.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	rec.Close(sh)
	m, _, err := scoring.Mark(sh)
	if err != nil {
		t.Fatal(err)
	}
	if err := rec.Finish(m); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}
