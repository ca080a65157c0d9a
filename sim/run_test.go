package sim

import (
	"bytes"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"driftdrill/orbit"
)

// demoOrbit returns invented elements of a near-circular orbit.
func demoOrbit(name string, catalog int, heightKm, inclination, node, anomaly float64) orbit.Elements {
	a := 6378.135 + heightKm
	return orbit.Elements{Name: name, Catalog: catalog, Classification: 'U', Epoch: time.Date(2026, 11, 20, 0, 0, 0, 0, time.UTC), BStar: 1e-5,
		InclinationDeg: inclination, NodeDeg: node, Eccentricity: 0.0008, PerigeeDeg: 90, AnomalyDeg: anomaly,
		MeanMotion: math.Sqrt(398600.8/(a*a*a)) * 86400 / (2 * math.Pi)}
}

var (
	quernHill = orbit.Site{Name: "Quern Hill", LatDeg: 50, LonDeg: 8, AltM: 150}
	demoFrom  = time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)
)

// demoElements reads the bundled elements of a bird.
func demoElements(t testing.TB, name string) orbit.Elements {
	t.Helper()
	data, err := os.ReadFile("../assets/elements/demo.tle")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(data)), "\n")
	for i := 0; i+2 < len(lines); i += 3 {
		if strings.EqualFold(strings.TrimSpace(lines[i]), name) {
			el, err := orbit.ParseTLE(lines[i], lines[i+1], lines[i+2])
			if err != nil {
				t.Fatal(err)
			}
			return el
		}
	}
	t.Fatalf("no elements of %s", name)
	return orbit.Elements{}
}

func demoBird(t testing.TB, name string) Bird {
	t.Helper()
	file := "../assets/birds/" + name + ".toml"
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	b, err := ParseBird(data, file)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func demoDrill(t testing.TB, name string) Drill {
	t.Helper()
	file := "../assets/drills/" + name + ".toml"
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	d, err := ParseDrill(data, file)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// prepared returns the setup of a bundled drill.
func prepared(t testing.TB, drill string, seed uint64) Setup {
	t.Helper()
	d := demoDrill(t, drill)
	s, err := Prepare(d, demoBird(t, d.Bird), demoElements(t, d.Bird), quernHill, demoFrom, seed)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// score is what the tests need of the marks: hold index by its definition.
type score struct {
	keyed, assigned int
	quality         float64
	backs           []float64
	found           bool
	foundS          float64
	within50        int
	rms             float64
	snr             float64 // mean while keyed, dB
	snrTicks        int
}

// holdIndex is 1000 (0.75 H + 0.25 R), without a come-back 1000 H; never found 0.
func (m *score) holdIndex() float64 {
	if !m.found || m.assigned == 0 {
		return 0
	}
	h := m.quality / float64(m.assigned)
	if len(m.backs) == 0 {
		return 1000 * h
	}
	sum := 0.0
	for _, b := range m.backs {
		sum += math.Exp2(-b / 3)
	}
	return 1000 * (0.75*h + 0.25*sum/float64(len(m.backs)))
}

// recorded begins a run that is written down.
func recorded(t testing.TB, setup Setup) (*Run, *Recorder, *bytes.Buffer) {
	t.Helper()
	r, err := NewRun(setup)
	if err != nil {
		t.Fatal(err)
	}
	sheet := new(bytes.Buffer)
	rec, err := NewRecorder(sheet, r)
	if err != nil {
		t.Fatal(err)
	}
	return r, rec, sheet
}

// flownSheet flies a setup with a hand and reads its sheet.
func flownSheet(t testing.TB, setup Setup, hand string) *Sheet {
	t.Helper()
	_, sheet, _ := fly(t, setup, hand)
	sh, err := ReadSheet(bytes.NewReader(sheet), "sheet")
	if err != nil {
		t.Fatal(err)
	}
	return sh
}

// fly flies a setup with a hand and returns the run, its sheet and a score.
func fly(t testing.TB, setup Setup, hand string) (*Run, []byte, score) {
	t.Helper()
	r, rec, sheet := recorded(t, setup)
	h, err := NewHand(hand, setup.Seed, r.Setup())
	if err != nil {
		t.Fatal(err)
	}
	var s State
	var m score
	good, over, keptSince := Tick(0), 0, Tick(0)
	waiting := false
	for !r.Done() {
		r.Step(&s)
		h.Act(&s, r.Post)
		if s.Tick%TicksPerSecond == 0 {
			if err := rec.Flush(); err != nil {
				t.Fatal(err)
			}
		}
		if s.Found && !m.found {
			m.found, m.foundS = true, s.FoundAt.Seconds()
		}
		if s.Keyed && s.InPassband {
			m.snr += s.SNRDB
			m.snrTicks++
		}
		if s.Found && s.Assigned {
			m.assigned++
			if s.Keyed {
				m.keyed++
				m.quality += 1 / (1 + s.OffsetHz*s.OffsetHz/1e4)
				m.rms += s.OffsetHz * s.OffsetHz
				if math.Abs(s.OffsetHz) < 50 {
					m.within50++
				}
			}
		}
		if s.Over > over && s.Over > 1 && s.Phase == PhaseTalk {
			waiting, keptSince, good = true, s.Tick, 0
		}
		over = max(over, s.Over)
		if waiting {
			if s.Keyed && math.Abs(s.OffsetHz) < 50 {
				good++
			} else {
				good = 0
			}
			if good >= TicksPerSecond || s.Phase != PhaseTalk {
				back := (s.Tick - keptSince - good).Seconds()
				if good < TicksPerSecond {
					back = 20
				}
				m.backs = append(m.backs, math.Min(20, math.Max(0, back)))
				waiting = false
			}
		}
	}
	if err := rec.Finish(nil); err != nil {
		t.Fatal(err)
	}
	m.snr /= math.Max(1, float64(m.snrTicks))
	if m.keyed > 0 {
		m.rms = math.Sqrt(m.rms / float64(m.keyed))
	}
	return r, sheet.Bytes(), m
}

// The bounds are those of the project's brief: a hand that turns nothing earns
// nothing, a perfect one nearly all.
func TestIdleAndPerfectHands(t *testing.T) {
	for _, drill := range []string{"first-hold", "come-back"} {
		for seed := uint64(1); seed <= 3; seed++ {
			s := prepared(t, drill, seed)
			_, _, idle := fly(t, s, "none")
			_, _, best := fly(t, s, "perfect")
			t.Logf("%s seed %d: %s top %.1f deg, %.0f s; none %.1f, perfect %.1f", drill, seed, s.Pass.AOS.Format("02 15:04"), s.Pass.MaxElevationDeg, s.Length.Seconds(), idle.holdIndex(), best.holdIndex())
			if got := best.holdIndex(); got < 980 {
				t.Errorf("%s, seed %d: perfect hand %.1f, want at least 980", drill, seed, got)
			}
			if drill == "first-hold" && idle.found {
				t.Errorf("%s, seed %d: the idle hand counts as found after %.1f s", drill, seed, idle.foundS)
			}
			if got := idle.holdIndex(); got > 50 && drill == "first-hold" {
				t.Errorf("%s, seed %d: idle hand %.1f, want at most 50", drill, seed, got)
			}
		}
	}
}

func TestReplayAgrees(t *testing.T) {
	s := prepared(t, "come-back", 3)
	sh := flownSheet(t, s, "perfect")
	ticks := 0
	diff, err := Replay(sh, 10, func(*State) { ticks++ })
	if err != nil || diff.What != "" {
		t.Fatalf("difference %+v, error %v", diff, err)
	}
	if want := int(sh.End) / 10; ticks < want {
		t.Errorf("%d states shown, want at least %d", ticks, want)
	}
}
