package logbook

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"strings"
	"testing"
	"time"

	"driftdrill/assets"
	"driftdrill/orbit"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// prepareRun makes a short run of a bundled drill without aids.
func prepareRun(seed uint64, lengthS float64) (sim.Setup, error) {
	text, err := assets.FS.ReadFile("drills/come-back.toml")
	if err != nil {
		return sim.Setup{}, err
	}
	d, err := sim.ParseDrill(text, "come-back")
	if err != nil {
		return sim.Setup{}, err
	}
	d.Aids = sim.Aids{FadeTo: 1}
	d.Pass.LengthS = lengthS
	if text, err = assets.FS.ReadFile("birds/dipper-2.toml"); err != nil {
		return sim.Setup{}, err
	}
	bird, err := sim.ParseBird(text, "dipper-2")
	if err != nil {
		return sim.Setup{}, err
	}
	if text, err = assets.FS.ReadFile("elements/demo.tle"); err != nil {
		return sim.Setup{}, err
	}
	sets, problems := orbit.ReadElements(bytes.NewReader(text), "demo")
	if len(problems) > 0 {
		return sim.Setup{}, fmt.Errorf("%v", problems)
	}
	el, err := orbit.Find(sets, fmt.Sprint(bird.Catalog))
	if err != nil {
		return sim.Setup{}, err
	}
	return sim.Prepare(d, bird, el, orbit.Site{LatDeg: 50, LonDeg: 8, AltM: 150}, el.Epoch.Add(time.Hour), seed)
}

// template is one prepared run, from which others are made by changing the seed.
var template = func() func(tb testing.TB) sim.Setup {
	var s sim.Setup
	var err error
	done := false
	return func(tb testing.TB) sim.Setup {
		if !done {
			s, err = prepareRun(1, 170)
			done = true
		}
		if err != nil {
			tb.Fatal(err)
		}
		return s
	}
}()

// sheetOf flies the perfect hand and returns the sheet; the operator is the sheet's.
func sheetOf(tb testing.TB, seed uint64, operator string) []byte {
	tb.Helper()
	s := template(tb)
	s.Seed, s.Operator = seed, operator
	text, err := flown(s, nil)
	if err != nil {
		tb.Fatal(err)
	}
	return text
}

// begin makes a run, the perfect hand for it, and what writes its sheet.
func begin(s sim.Setup, sheet io.Writer) (r *sim.Run, h sim.Hand, rec *sim.Recorder, err error) {
	if r, err = sim.NewRun(s); err != nil {
		return
	}
	if h, err = sim.NewHand("perfect", 1, &s); err != nil {
		return
	}
	rec, err = sim.NewRecorder(sheet, r)
	return
}

// flown flies a setup and returns its sheet. each is called after each second is flushed.
func flown(s sim.Setup, each func(second int, sheet *bytes.Buffer) error) ([]byte, error) {
	var out bytes.Buffer
	r, h, rec, err := begin(s, &out)
	if err != nil {
		return nil, err
	}
	var st sim.State
	for !r.Done() {
		r.Step(&st)
		h.Act(&st, r.Post)
		if each != nil && st.Tick%sim.TicksPerSecond == sim.TicksPerSecond-1 {
			if err := rec.Flush(); err != nil {
				return nil, err
			}
			if err := each(int(st.Tick/sim.TicksPerSecond), &out); err != nil {
				return nil, err
			}
		}
	}
	err = rec.Finish(nil)
	return out.Bytes(), err
}

// rated is a rating for tests.
func rated(hand float64) *scoring.Rating {
	a := func(x float64) *scoring.Axis { return &scoring.Axis{Hand: x, SD: 6} }
	return &scoring.Rating{Axis: scoring.Axis{Hand: hand, SD: 5}, Ear: a(hand - 5), Hold: a(hand), ComeBack: a(hand + 5), Discipline: a(90)}
}

func TestMain(m *testing.M) {
	if dir := os.Getenv("LOGBOOK_TEST_CHILD"); dir != "" {
		child(dir)
	}
	os.Exit(m.Run())
}

func contains(t *testing.T, err error, parts ...string) {
	t.Helper()
	if err == nil {
		t.Fatalf("no error, want one with %q", parts)
	}
	for _, p := range parts {
		if !strings.Contains(err.Error(), p) {
			t.Errorf("error %q does not say %q", err, p)
		}
	}
	if strings.Contains(err.Error(), "\n") {
		t.Errorf("error is more than one line: %q", err)
	}
}
