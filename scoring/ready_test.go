package scoring

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"driftdrill/sim"
)

// readySheet flies a ready drill in which only one setting is found wrong,
// with commands at seconds against AOS, and returns its sheet, read back.
func readySheet(t *testing.T, wrong sim.BenchSetting, value int64, commands []sim.Command) *sim.Sheet {
	t.Helper()
	s := prepare(t, "ready", 5, nil)
	s.Bench.Found = s.Bench.Wants
	if wrong < sim.BenchSettings {
		s.Bench.Found[wrong] = value
	}
	r, err := sim.NewRun(s)
	if err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	rec, err := sim.NewRecorder(&file, r)
	if err != nil {
		t.Fatal(err)
	}
	for tick := sim.Tick(0); !r.Done(); tick++ {
		for _, c := range commands {
			if c.Tick*sim.TicksPerSecond+s.AOSTick == tick {
				r.Post(c.Kind, c.Value)
			}
		}
		r.Step(nil)
	}
	if err := rec.Finish(nil); err != nil {
		t.Fatal(err)
	}
	sh, err := sim.ReadSheet(&file, "ready")
	if err != nil {
		t.Fatal(err)
	}
	return sh
}

// Marks of known sheets, recomputed from their commands alone: what was found
// wrong, set when, right at AOS, put right late, and when the own voice came back.
func TestReadyMarksOfKnownSheets(t *testing.T) {
	key := sim.Command{Tick: 1, Kind: sim.CommandLatch, Value: 1}
	for _, c := range []struct {
		name     string
		wrong    sim.BenchSetting
		value    int64
		commands []sim.Command
		right    int
		late     int
		returnS  float64 // -1 = never
		kind     string
		says     string
	}{
		{"all right", sim.BenchSettings, 0, []sim.Command{key}, 10, 0, 1, NoteClean, "right"},
		{"set in time", sim.BenchUplinkSideband, int64(sim.USB), []sim.Command{{Tick: -30, Kind: sim.CommandUplinkSideband, Value: int64(sim.LSB)}, key}, 10, 0, 1, NoteClean, "right"},
		{"set late", sim.BenchUplinkSideband, int64(sim.USB), []sim.Command{key, {Tick: 20, Kind: sim.CommandUplinkSideband, Value: int64(sim.LSB)}}, 9, 1, 20, FaultReady, "wrong sideband"},
		{"left", sim.BenchReceiveSideband, int64(sim.LSB), []sim.Command{key}, 9, 0, -1, FaultReady, "wrong sideband"},
		{"RIT left", sim.BenchRIT, 1, []sim.Command{key}, 9, 0, 1, FaultReady, "RIT"},
		{"never keyed", sim.BenchSettings, 0, nil, 10, 0, -1, FaultReady, "key"},
	} {
		t.Run(c.name, func(t *testing.T) {
			sh := readySheet(t, c.wrong, c.value, c.commands)
			m, tr, err := Mark(sh)
			if err != nil || tr.Difference.What != "" {
				t.Fatal(err, tr.Difference)
			}
			r := m.Ready
			if r == nil || r.RightAtAOS != c.right || r.Late != c.late || len(r.Settings) != 10 {
				t.Fatalf("%+v", r)
			}
			got := -1.0
			if r.FirstReturnS != nil {
				got = *r.FirstReturnS
			}
			if math.Abs(got-c.returnS) > 0.1 {
				t.Errorf("own voice back after %g s, want %g", got, c.returnS)
			}
			a := Advise(m, tr, &sh.Setup)
			if a.Kind != c.kind || !strings.Contains(a.Headline, c.says) {
				t.Errorf("%+v", a)
			}
			if c.wrong < sim.BenchSettings {
				s := r.Settings[c.wrong]
				if s.RightFound || s.Found == s.Wants || s.RightAtAOS != (c.right == 10) {
					t.Errorf("%+v", s)
				}
			}
		})
	}
}

// The advice names the costliest of several, and how it is heard.
func TestReadyAdviceNamesTheCostliest(t *testing.T) {
	sh := readySheet(t, sim.BenchRecorder, 0, []sim.Command{{Tick: -50, Kind: sim.CommandVOX, Value: 1}, {Tick: -40, Kind: sim.CommandReceiveStep, Value: 1000}})
	m, tr, err := Mark(sh)
	if err != nil {
		t.Fatal(err)
	}
	a := Advise(m, tr, &sh.Setup)
	if !strings.Contains(a.Headline, "VOX") || !strings.Contains(a.Detail, "7 of 10") || !strings.Contains(a.Detail, "Heard next time") {
		t.Errorf("%+v", a)
	}
	if m.Ready.RecordedS != nil || m.Ready.SetS == nil || math.Abs(*m.Ready.SetS-70) > 0.06 || m.Ready.VOXKeyedS <= 0 {
		t.Errorf("%+v", m.Ready)
	}
	for k := range readyFaults {
		if readyFaults[k].headline == "" || readyFaults[k].how == "" || readyFaults[k].cost <= 0 {
			t.Errorf("%s: nothing to say", sim.BenchSetting(k))
		}
	}
}

// A drill at the radios has no reference hands, and says so.
func TestReadyHasNoLadder(t *testing.T) {
	s := prepare(t, "ready", 5, nil)
	if _, err := NewCourse(&s); err == nil {
		t.Error("reference hands fly a drill at the radios")
	}
}
