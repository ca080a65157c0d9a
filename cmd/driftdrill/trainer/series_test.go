package trainer

import (
	"context"
	"math"
	"strings"
	"testing"
	"time"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// Three passes in a row have the same station; each begins with what was found
// in those before, so that the third begins true; the fourth has another
// station. Whose error it is stands in no sheet of another operator.
func TestThreePassesWithOneStation(t *testing.T) {
	tr := &Trainer{Store: Disk{Data: t.TempDir(), Config: t.TempDir()}}
	defer tr.Close()
	var errors, begins []float64
	for pass := range 4 {
		f := Flight{Drill: "know-your-offset", Seed: uint64(pass) + 1}
		setup, err := f.Prepare()
		if err != nil {
			t.Fatal(err)
		}
		setup.Operator = "Q3FEN"
		s, err := tr.Begin(context.Background(), &setup)
		if err != nil || s == nil || s.Of != 3 || len(s.Found) != pass%3 {
			t.Fatalf("pass %d: %+v, %v", pass+1, s, err)
		}
		errors, begins = append(errors, setup.UnknownHz), append(begins, math.Abs(setup.UnknownHz-setup.NotedHz))
		hand, err := sim.NewHand("perfect", 3, &setup)
		if err != nil {
			t.Fatal(err)
		}
		o, text, err := Rehearse(setup, hand, (*HandedRun).Silently)
		if err != nil {
			t.Fatal(err)
		}
		if found, ok := FoundErrorHz(o.Trace, &setup); !ok || math.Abs(found-setup.UnknownHz) > 15 {
			t.Errorf("pass %d: found %.0f Hz, %t; it is %.0f", pass+1, found, ok, setup.UnknownHz)
		}
		words := s.Words(o.Trace, &setup)
		if want := map[int]string{0: "Pass 1 of 3", 1: "The next pass begins with it", 2: "My correction", 3: "Pass 1 of 3"}[pass]; !strings.Contains(words, want) {
			t.Errorf("pass %d: %q", pass+1, words)
		}
		if told := strings.Contains(setup.BirdFrom, "Hz learnt in the "); told != (pass%3 > 0) {
			t.Errorf("pass %d: the sheet says %q", pass+1, setup.BirdFrom)
		}
		tr.Keep(o, text, time.Date(2026, 11, 27, 19, pass, 0, 0, time.UTC))
	}
	if errors[0] != errors[1] || errors[1] != errors[2] || errors[2] == errors[3] {
		t.Errorf("errors of four passes: %g", errors)
	}
	if begins[0] < 300 || begins[1] > 30 || begins[2] > 30 || begins[3] < 300 {
		t.Errorf("they begin %.0f Hz off", begins)
	}
	f := Flight{Drill: "come-back", Seed: 1}
	setup, err := f.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	was := setup.UnknownHz
	if s, err := tr.Begin(context.Background(), &setup); s != nil || err != nil || setup.UnknownHz != was {
		t.Errorf("a drill without a series: %+v, %v", s, err)
	}
}

// trueRun is a trace of so many samples, ten a second, off by offset(i) while keyed.
func trueRun(n int, offset func(i int) float64) *scoring.Trace {
	tr := &scoring.Trace{}
	for i := range n {
		tr.Samples = append(tr.Samples, scoring.Sample{Tick: sim.Tick(i) * sim.TicksPerSecond / 10, Keyed: true, InPassband: true, OffsetHz: offset(i)})
	}
	return tr
}

// What an operator found is the mean of the second half of what he kept true; a
// receiver on the lower sideband turns it over, and less than three seconds tell nothing.
func TestWhatIsFoundOfTheError(t *testing.T) {
	setup := &sim.Setup{UnknownHz: 500, Drill: sim.Drill{Transponder: 1}, Bird: sim.Bird{Transponders: []sim.Transponder{{DownlinkSideband: "USB"}}}}
	lower := *setup
	lower.Bird = sim.Bird{Transponders: []sim.Transponder{{DownlinkSideband: "LSB"}}}
	flat := func(hz float64) func(int) float64 { return func(int) float64 { return hz } }
	halves := func(i int) float64 { return map[bool]float64{true: -50, false: 20}[i < 50] }
	hushed := trueRun(100, halves)
	for i := range 20 { // neither what is not keyed nor what is outside counts, however true
		hushed.Samples[50+i].Keyed, hushed.Samples[50+i].OffsetHz = false, 1
		hushed.Samples[80+i].InPassband, hushed.Samples[80+i].OffsetHz = false, 1
	}
	for _, c := range []struct {
		name  string
		trace *scoring.Trace
		setup *sim.Setup
		want  float64
		ok    bool
	}{
		{"the second half alone", trueRun(100, halves), setup, 480, true},
		{"on the lower sideband", trueRun(100, halves), &lower, 520, true},
		{"60 Hz off is true enough", trueRun(100, flat(60)), setup, 440, true},
		{"61 Hz off is not", trueRun(100, flat(61)), setup, 0, false},
		{"three seconds of the second half", trueRun(60, flat(10)), setup, 490, true},
		{"a little less", trueRun(58, flat(10)), setup, 0, false},
		{"one sample", trueRun(1, flat(0)), setup, 0, false},
		{"keyed and inside", hushed, setup, 500 - (20.0*10-50*20)/30, true},
	} {
		if got, ok := FoundErrorHz(c.trace, c.setup); ok != c.ok || ok && !(math.Abs(got-c.want) <= 0.01) {
			t.Errorf("%s: %g, %v; want %g, %v", c.name, got, ok, c.want, c.ok)
		}
	}
}

// A series begins with the mean of what was found, passes that told nothing left
// out; after the last pass it is told how far apart all of them were.
func TestWhatASeriesTells(t *testing.T) {
	for want, found := range map[float64][]float64{0: nil, 300: {200, 400}, 250: {math.NaN(), 250}} {
		if got := (&Series{Found: found}).noted(); got != want {
			t.Errorf("%g: begins with %g Hz, want %g", found, got, want)
		}
	}
	if none := (&Series{Found: []float64{math.NaN()}}).noted(); none != 0 {
		t.Errorf("nothing was found, and it begins with %g Hz", none)
	}
	if passWord(1) != "pass" || passWord(2) != "2 passes" {
		t.Errorf("%q, %q", passWord(1), passWord(2))
	}
	setup := &sim.Setup{UnknownHz: 500, Drill: sim.Drill{Transponder: 1, Rule: "uplink"}, Bird: sim.Bird{Transponders: []sim.Transponder{{DownlinkSideband: "USB"}}}}
	flown := trueRun(100, func(int) float64 { return 20 })
	for _, c := range []struct {
		inverting bool
		found     []float64
		want      string
	}{
		{true, nil, "Pass 1 of 3: your dial stood +480 Hz off the card where you were true. The next pass begins with it."},
		{false, []float64{490}, "Pass 2 of 3: your dial stood -480 Hz off the card where you were true. The next pass begins with it."},
		{true, []float64{470, 510}, "Pass 3 of 3: your dial stood +480 Hz off the card where you were true. Over all passes you found it within 40 Hz. On the air, note such a figure on the page My correction."},
		{true, []float64{math.NaN(), 500}, "Pass 3 of 3: your dial stood +480 Hz off the card where you were true. Over all passes you found it within 20 Hz. On the air, note such a figure on the page My correction."},
	} {
		setup.Bird.Transponders[0].Inverting = c.inverting
		if got := (&Series{Of: 3, Found: c.found}).Words(flown, setup); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	if got := (&Series{Of: 3}).Words(trueRun(5, func(int) float64 { return 0 }), setup); !strings.Contains(got, "not true for long enough") {
		t.Errorf("half a second: %q", got)
	}
}

// Each operator, drill and series has a station of its own.
func TestEachSeriesHasItsOwnError(t *testing.T) {
	seen := map[uint64]bool{}
	for _, drill := range []string{"know-your-offset", "first-hold"} {
		for _, operator := range []string{"", "Q3FEN"} {
			for n := range 3 {
				seen[seriesSeed(&sim.Setup{Operator: operator, Drill: sim.Drill{Name: drill}}, n)] = true
			}
		}
	}
	if len(seen) != 12 {
		t.Errorf("twelve series have %d seeds", len(seen))
	}
}
