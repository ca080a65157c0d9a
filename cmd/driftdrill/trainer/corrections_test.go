package trainer

import (
	"math"
	"strings"
	"testing"
	"time"

	"driftdrill/sim"
)

func TestCorrectionsAreKept(t *testing.T) {
	d := Disk{Data: t.TempDir()}
	day := func(n int) time.Time { return time.Date(2026, 11, n, 12, 0, 0, 0, time.UTC) }
	for i, hz := range []float64{900, 30, 50, 40, 41} {
		c := Correction{Bird: "LARK-1", Transponder: 1, ErrorHz: hz, SDHz: 3, Heard: day(i + 1), File: "a.wav"}
		if i == 4 {
			c.Heard = day(4) // measured again
		}
		if err := d.KeepCorrection(c); err != nil {
			t.Fatal(err)
		}
	}
	if err := d.KeepCorrection(Correction{Bird: "DIPPER-2", Transponder: 1, ErrorHz: -5, Heard: day(1)}); err != nil {
		t.Fatal(err)
	}
	all, err := d.Corrections()
	if err != nil || len(all) != 5 {
		t.Fatalf("%d, %v", len(all), err)
	}
	// The mean of 30, 50 and 41; the standard deviation of 900, 30, 50 and 41 (by hand, n - 1).
	f, ok := Corrected(all, "lark-1", 1, "")
	if !ok || math.Abs(f.ErrorHz-121.0/3) > 0.01 || f.Passes != 3 || math.Abs(f.SpreadHz-429.91) > 0.1 {
		t.Errorf("%+v", f)
	}
	if _, ok := Corrected(all, "LARK-1", 2, ""); ok {
		t.Error("another transponder has the correction too")
	}
	if n, err := d.ForgetCorrections("Lark-1", 0, ""); n != 4 || err != nil {
		t.Errorf("forgot %d, %v", n, err)
	}
	if all, _ := d.Corrections(); len(all) != 1 {
		t.Errorf("left %v", all)
	}
	if err := d.KeepCorrection(Correction{Bird: "LARK-1", Transponder: 1, ErrorHz: math.NaN()}); err == nil {
		t.Error("no number was kept")
	}
}

// A return that lies too high comes down by the uplink up where it is turned
// over and down where it is not, and the receive dial goes up after it.
func TestCorrectionOfADial(t *testing.T) {
	f := InForce{ErrorHz: 40}
	for _, c := range []struct {
		inverting bool
		rule      string
		want      float64
	}{{true, "uplink", 40}, {true, "both", 40}, {true, "downlink", 40}, {false, "uplink", -40}, {false, "downlink", 40}} {
		if got := f.DialHz(&sim.Transponder{Inverting: c.inverting}, c.rule); got != c.want {
			t.Errorf("inverting %v, %s: %g, want %g", c.inverting, c.rule, got, c.want)
		}
	}
}

// A run of a bird with a kept correction starts on corrected dials, and its
// offset is what it was: bird and card have the error both.
func TestCorrectionStartsARun(t *testing.T) {
	f := Flight{Drill: "first-hold", Bird: "lark-1", Pass: "1", Seed: 5}
	plain, err := f.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	f.Birds.Corrections = func() []Correction {
		return []Correction{{Bird: "LARK-1", Transponder: 1, ErrorHz: 400, SDHz: 4}}
	}
	got, err := f.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	up := got.StartUplinkHz - plain.StartUplinkHz
	if !got.Bird.Transponders[0].Inverting {
		up = -up
	}
	if math.Abs(float64(up)-400) > float64(got.Drill.StepHz)+1 || got.UnknownHz != plain.UnknownHz || !strings.Contains(got.BirdFrom, "corrected by +400 Hz, noted by hand") {
		t.Errorf("the uplink starts %d Hz higher, unknown %g against %g, bird from %q", up, got.UnknownHz, plain.UnknownHz, got.BirdFrom)
	}
}

func FuzzCorrections(f *testing.F) {
	f.Add([]byte(`[{"bird":"LARK-1","transponder":1,"error_hz":40,"sd_hz":3,"heard_utc":"2026-11-01T12:00:00Z","file":"a.wav"}]`))
	f.Add([]byte(`[{}]`))
	f.Fuzz(func(t *testing.T, text []byte) {
		all, err := parseCorrections(text, "x")
		if err != nil {
			return
		}
		for _, c := range all {
			if g, ok := Corrected(all, c.Bird, c.Transponder, c.Station); !ok || math.IsNaN(g.ErrorHz) || math.Abs(g.ErrorHz) > mostCorrectionHz+1 {
				t.Fatalf("%+v: %+v, %v", c, g, ok)
			}
		}
	})
}

// The better recording weighs more: by one over its variance with 5 Hz added,
// 50 for one of 5 Hz and 250 for one of 15 Hz, so five times as much.
func TestTheBetterRecordingWeighsMore(t *testing.T) {
	all := []Correction{{Bird: "LARK-1", Transponder: 1, ErrorHz: 0, SDHz: 15}, {Bird: "LARK-1", Transponder: 1, ErrorHz: 60, SDHz: 5}}
	if f, ok := Corrected(all, "LARK-1", 1, ""); !ok || !(math.Abs(f.ErrorHz-50) <= 1e-9) {
		t.Errorf("%+v, want 50 Hz", f)
	}
	if f, _ := Corrected(all[:1], "LARK-1", 1, ""); f.SpreadHz != 0 || f.Passes != 1 {
		t.Errorf("of one recording the spread is %g Hz, of %d passes", f.SpreadHz, f.Passes)
	}
}

// Corrections that no radio has are refused, when they are kept and when they are read.
func TestCorrectionsThatCannotBe(t *testing.T) {
	d := Disk{Data: t.TempDir()}
	for hz, kept := range map[float64]bool{20e3: true, -20e3: true, 20001: false, -20001: false} {
		if err := d.KeepCorrection(Correction{Bird: "LARK-1", Transponder: 1, ErrorHz: hz}); (err == nil) != kept {
			t.Errorf("%g Hz: %v", hz, err)
		}
	}
	for text, taken := range map[string]bool{
		`[{"bird":"LARK-1","transponder":1,"error_hz":20000,"sd_hz":0}]`: true,
		`[{"bird":"","transponder":1}]`:                                  false,
		`[{"bird":"LARK-1","transponder":0}]`:                            false,
		`[{"bird":"LARK-1","transponder":1,"error_hz":20001}]`:           false,
		`[{"bird":"LARK-1","transponder":1,"error_hz":-20001}]`:          false,
		`[{"bird":"LARK-1","transponder":1,"sd_hz":-1}]`:                 false,
		`[{"bird":"A","transponder":1},{"bird":""}]`:                     false,
	} {
		_, err := parseCorrections([]byte(text), "x.json")
		if (err == nil) != taken {
			t.Errorf("%s: %v", text, err)
		}
		if strings.HasPrefix(text, `[{"bird":"A"`) && !strings.Contains(err.Error(), "entry 2 makes") {
			t.Errorf("the second entry is wrong: %v", err)
		}
	}
}

// Corrections are listed by bird, whatever its capitals, and those of one by their time.
func TestCorrectionsInOrder(t *testing.T) {
	day := func(n int) time.Time { return time.Date(2026, 11, n, 0, 0, 0, 0, time.UTC) }
	all := SortCorrections([]Correction{{Bird: "WREN", Heard: day(1)}, {Bird: "lark-1", Heard: day(3)}, {Bird: "LARK-1", Heard: day(2)}, {Bird: "DIPPER-2", Heard: day(4)}})
	var got []string
	for _, c := range all {
		got = append(got, c.Bird+c.Heard.Format(" 2"))
	}
	if s := strings.Join(got, ", "); s != "DIPPER-2 4, LARK-1 2, lark-1 3, WREN 1" {
		t.Error(s)
	}
}

// A bird is corrected to the hertz, and by no more than a bird file allows.
func TestCorrectedOscillatorStaysInItsBounds(t *testing.T) {
	for _, c := range []struct{ has, correction, want float64 }{{0, 40.4, 40}, {0, -40.6, -41}, {19e3, 5e3, 20e3}, {-19e3, -5e3, -20e3}} {
		f := Flock{Corrections: func() []Correction {
			return []Correction{{Bird: "KNOT-5", Transponder: 1, ErrorHz: c.correction}}
		}}
		plain := sim.Bird{Name: "KNOT-5", Transponders: []sim.Transponder{{OscillatorHz: c.has}}}
		got, words := f.corrected(plain)
		if hz := got.Transponders[0].OscillatorHz; hz != c.want || plain.Transponders[0].OscillatorHz != c.has || strings.Contains(words, "transponder") || strings.Contains(words, " at ") {
			t.Errorf("%+v: %g Hz, %q; the plan itself %g", c, hz, words, plain.Transponders[0].OscillatorHz)
		}
	}
	if _, words := (Flock{}).corrected(sim.Bird{Name: "KNOT-5"}); words != "" {
		t.Errorf("nothing was kept: %q", words)
	}
	if _, ok := (Flock{}).Correction("KNOT-5", 1); ok {
		t.Error("a correction that nobody kept")
	}
}
