package sim

import (
	"math"
	"os"
	"testing"
)

// company is what an operator had in his receiver while he did not key.
type company struct {
	listened int // samples of 50 ms
	with     int // of these somebody within 500 Hz of the receive dial
	partner  int // samples of the partner's overs
	near     int // of these within 150 Hz
	contacts int
}

func (c company) share() float64 { return float64(c.with) / float64(max(1, c.listened)) }

func (c company) partnerShare() float64 { return float64(c.near) / float64(max(1, c.partner)) }

// flyCompany flies a setup and counts.
func flyCompany(t testing.TB, s Setup, hand string) company {
	t.Helper()
	h, err := NewHand(hand, s.Seed, &s)
	if err != nil {
		t.Fatal(err)
	}
	var c company
	err = Rehearse(s, h, func(st *State) {
		c.contacts = st.Contacts
		if st.Keyed || st.Phase == PhaseWait || st.Phase == PhaseDone {
			return
		}
		c.listened++
		with := false
		for i := range st.Signals[:st.NumSignals] {
			g := &st.Signals[i]
			if g.Kind != SignalStation || !g.On {
				continue
			}
			with = with || math.Abs(g.OffsetHz) < 500
			if int(g.Station) == s.Partner {
				c.partner++
				if math.Abs(g.OffsetHz) < 150 {
					c.near++
				}
			}
		}
		if with {
			c.with++
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// TestPrintCompany prints, with COMPANY=1, what stands in the receiver in each drill.
func TestPrintCompany(t *testing.T) {
	if os.Getenv("COMPANY") == "" {
		t.Skip("prints a table")
	}
	for _, name := range allDrills(t) {
		for _, hand := range []string{"perfect", "regular"} {
			var all company
			for seed := uint64(1); seed <= 6; seed++ {
				c := flyCompany(t, prepared(t, name, seed), hand)
				all.listened += c.listened
				all.with += c.with
				all.partner += c.partner
				all.near += c.near
				all.contacts += c.contacts
			}
			t.Logf("%-20s %-8s somebody within 500 Hz %5.1f %%  partner within 150 Hz %5.1f %%  contacts %d", name, hand,
				100*all.share(), 100*all.partnerShare(), all.contacts)
		}
	}
}
