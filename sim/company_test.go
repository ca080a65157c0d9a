package sim

import (
	"math"
	"os"
	"testing"

	"driftdrill/testdata/race"
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

// passAmong is six minutes of a pass with twelve others who call, or wait for a
// call: more than anybody works in that time.
func passAmong(t testing.TB, seed uint64) Setup {
	t.Helper()
	d := demoDrill(t, "busy-passband")
	d.Pass.Part, d.Pass.LengthS = "top", 360
	d.Traffic = DrillTraffic{Stations: 12, Plans: []string{"cq", "answer"}, Hands: []string{"good", "regular"}, WithinKm: 1000, Spacing: 6000}
	s, err := Prepare(d, demoBird(t, d.Bird), demoElements(t, d.Bird), quernHill, demoFrom, seed)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Contacts in a pass rise with the skill of the hand.
func TestContactsRiseWithSkill(t *testing.T) {
	if testing.Short() || race.On {
		t.Skip("flies 120 passes")
	}
	last := -1.0
	told := map[string]float64{"first-evening": 1.6, "beginner": 5.2, "regular": 7.4, "good": 9.2, "expert": 9.5} // in README.md
	for _, hand := range []string{"first-evening", "beginner", "regular", "good", "expert"} {
		sum := 0
		const seeds = 24
		for seed := uint64(1); seed <= seeds; seed++ {
			sum += flyCompany(t, passAmong(t, seed), hand).contacts
		}
		mean := float64(sum) / seeds
		t.Logf("%-14s %.1f contacts a pass", hand, mean)
		if mean <= last {
			t.Errorf("%s: %.1f contacts a pass, the hand before it %.1f", hand, mean, last)
		}
		if math.Abs(mean-told[hand]) > 0.3 {
			t.Errorf("%s: %.2f contacts a pass, README.md says %.1f", hand, mean, told[hand])
		}
		last = mean
	}
}

// What README.md claims of company, in percent: a perfect hand has somebody within 500 Hz
// of its receive dial for so much of the listening time, and its partner within 150 Hz for so much of
// his overs. It may be 3 points less; much more would be another claim.
func TestCompany(t *testing.T) {
	for name, told := range map[string][2]float64{"low-overhead": {75, 71}, "both-hands": {75, 71}, "two-rules": {94, 62}, "real-afternoon": {71, 66},
		"other-way-round": {94, 85}} {
		var all company
		for seed := uint64(1); seed <= 6; seed++ {
			c := flyCompany(t, prepared(t, name, seed), "perfect")
			all.listened += c.listened
			all.with += c.with
			all.partner += c.partner
			all.near += c.near
		}
		for i, share := range []float64{100 * all.share(), 100 * all.partnerShare()} {
			if share < told[i]-3 || share > told[i]+10 {
				t.Errorf("%s: somebody within 500 Hz, the partner within 150 Hz for %.0f %%, %.0f %%; README.md says %.0f %%, %.0f %%", name, 100*all.share(), 100*all.partnerShare(), told[0], told[1])
			}
		}
		t.Logf("%s: %.0f %%, %.0f %%", name, 100*all.share(), 100*all.partnerShare())
	}
}
