package scoring

import (
	"testing"

	"driftdrill/sim"
)

// Tuning the receiver to a voice that one hears is right, however far, and so
// is putting one's own voice in place at the start of an over; turning the receiver
// after one's own voice is chasing (the trade's convention, no published source).
func TestChasing(t *testing.T) {
	clean := fly(3, able(3))
	talkAt, listenAt := -1, -1
	for i := range clean.Samples {
		s := &clean.Samples[i]
		if talkAt < 0 && i > 4000 && s.Keyed && clean.Samples[i-1].Phase == sim.PhaseListen {
			talkAt = i
		}
		if listenAt < 0 && i > 2000 && s.Phase == sim.PhaseListen && !s.Keyed && !clean.Samples[i+60].Keyed {
			listenAt = i
		}
	}
	if talkAt < 0 || listenAt < 0 {
		t.Fatal("no over to be found")
	}
	turn := func(at, n int, hz int64, heard bool) *Trace {
		tr := *clean
		tr.Samples = append([]Sample(nil), clean.Samples...)
		for k := 0; k < len(tr.Samples)-at; k++ {
			s := &tr.Samples[at+k]
			s.ReceiveHz += hz * int64(min(k, n))
			if heard && k < n+1 {
				s.Heard, s.HeardHz = true, float64(hz)*float64(n-k)
			}
		}
		return &tr
	}
	for name, c := range map[string]struct {
		tr    *Trace
		named bool
	}{
		"untouched":                     {clean, false},
		"to a voice 1 kHz off":          {turn(listenAt, 50, 20, true), false},
		"while nobody is there":         {turn(listenAt, 50, 20, false), true},
		"after one's own voice":         {turn(talkAt, 50, 20, false), true},
		"after one's own voice, on his": {turn(talkAt, 50, 20, true), true},
	} {
		m := Measure(c.tr)
		for _, f := range Signatures(m, c.tr) {
			if f.Kind == FaultChasing && f.Named != c.named {
				t.Errorf("%s: named %v (%.0f Hz)", name, f.Named, f.Value)
			}
		}
	}
}

// Who does nothing wrong among partners anywhere in the footprint is never told
// of chasing, by either one-knob rule.
func TestPartnersAreNotChased(t *testing.T) {
	for _, name := range []string{"low-overhead", "other-way-round", "real-afternoon"} {
		d := readDrill(t, name)
		for i := range 4 {
			s := drillTry(t, &d, i)
			noChasing(t, &s, "expert")
		}
	}
}

// With both dials in hand nobody is told to leave one of them alone.
func TestTwoRulesChaseNothing(t *testing.T) {
	d := readDrill(t, "two-rules")
	for i := range 4 {
		s := drillTry(t, &d, i)
		noChasing(t, &s, "level:0.6")
	}
}

// noChasing flies a setup with a hand, which must not be told of chasing.
func noChasing(t *testing.T, s *sim.Setup, hand string) {
	t.Helper()
	h, err := sim.NewHand(hand, s.Seed, s)
	if err != nil {
		t.Fatal(err)
	}
	m, tr, err := MarkHand(*s, h)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range Signatures(m, tr) {
		if f.Kind == FaultChasing && f.Named {
			t.Errorf("%s, seed %d, rule %s: told of %.0f Hz", s.Drill.Name, s.Seed, s.Drill.Rule, f.Value)
		}
	}
}
