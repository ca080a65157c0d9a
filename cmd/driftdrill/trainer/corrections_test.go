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
