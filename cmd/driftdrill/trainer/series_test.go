package trainer

import (
	"context"
	"math"
	"strings"
	"testing"
	"time"

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
