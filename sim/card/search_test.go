package card

import (
	"slices"
	"testing"
	"time"

	"driftdrill/orbit"
	"driftdrill/sim"
)

// lowBird is an invented bird some 500 km up.
var lowBird = Bird{Elements: orbit.Elements{Name: "DIPPER-2", Catalog: 99902, Epoch: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC), InclinationDeg: 97.5, Eccentricity: 0.001, MeanMotion: 15.22}}

// Whether the Sun shines on a bird, by plain geometry: it is dark while it is
// behind the Earth and nearer to the axis of its shadow than the Earth's
// radius. What is said of a pass must be what looking at its beginning, top and
// end gives, and over three days of winter all kinds but "partly" occur.
func TestSunOnPasses(t *testing.T) {
	s := Search{Here: Place{Site: orbit.Site{LatDeg: 50, LonDeg: 8}}, From: lowBird.Elements.Epoch, To: lowBird.Elements.Epoch.Add(72 * time.Hour), Judge: true, Transponder: 1}
	found, err := s.One(lowBird)
	if err != nil {
		t.Fatal(err)
	}
	p, err := orbit.NewPropagator(lowBird.Elements)
	if err != nil {
		t.Fatal(err)
	}
	o := orbit.NewObserver(p, s.Here.Site, 0)
	dark := func(at time.Time) bool {
		_, place, _ := o.LookTEME(at)
		return !orbit.Sunlit(place, at)
	}
	seen := map[string]int{}
	for _, f := range found {
		seen[f.Sunlit]++
		begin, end := "light", "light"
		if dark(f.AOS) {
			begin = "dark"
		}
		if dark(f.LOS) {
			end = "dark"
		}
		want := map[string][]string{"light light": {"yes", "partly"}, "dark dark": {"no", "partly"}, "light dark": {"at first"}, "dark light": {"later"}}[begin+" "+end]
		if !slices.Contains(want, f.Sunlit) {
			t.Errorf("pass at %v, %s at first and %s at last: %q", f.AOS, begin, end, f.Sunlit)
		}
		if f.Own || f.Drift != (Drift{}) || f.Difficulty() != NoPlan {
			t.Errorf("a pass of a bird without a plan: own %v, %+v, %q", f.Own, f.Drift, f.Difficulty())
		}
	}
	if seen["yes"] == 0 || seen["no"] == 0 {
		t.Errorf("passes by their light: %v", seen)
	}
}

// Without judging nothing is worked out for a bird whose transponder is not known.
func TestNotJudged(t *testing.T) {
	s := Search{Here: Place{Site: orbit.Site{LatDeg: 50, LonDeg: 8}}, From: lowBird.Elements.Epoch, To: lowBird.Elements.Epoch.Add(24 * time.Hour), Transponder: 1}
	own := lowBird
	own.Plan = &sim.Bird{Name: "DIPPER-2", Transponders: []sim.Transponder{usualLink, {UplinkLowHz: 145_940_000, UplinkHighHz: 145_980_000, DownlinkLowHz: 435_610_000, DownlinkHighHz: 435_650_000}}}
	stranger, err1 := s.One(lowBird)
	known, err2 := s.One(own)
	s.Transponder = 2
	second, err3 := s.One(own)
	if err1 != nil || err2 != nil || err3 != nil || len(stranger) == 0 || len(stranger) != len(known) {
		t.Fatal(err1, err2, err3, len(stranger), len(known))
	}
	for i := range known {
		a, b, c := stranger[i], known[i], second[i]
		if a.Own || a.Drift.PeakHzS != 0 || a.Sunlit != "" || !b.Own || b.Drift.PeakHzS == 0 || b.Sunlit != "" {
			t.Errorf("a stranger: %+v; known: %+v", a, b)
		}
		// the other bands do not invert: both shifts add up, and one hears the sum go down
		if ratio := c.Drift.NetHz / b.Drift.NetHz; ratio > -1.95 || ratio < -2.05 {
			t.Errorf("the second transponder drifts %.2f times as far; (435.63 + 145.96) / (435.15 - 145.9) is 2.01", ratio)
		}
	}
}

// A second place takes from each pass what both see.
func TestPassesOfTwoPlaces(t *testing.T) {
	here, there := orbit.Site{LatDeg: 50, LonDeg: 8}, orbit.Site{LatDeg: 40, LonDeg: -4}
	s := Search{Here: Place{Site: here}, There: &Place{Site: there, Mask: mustMask(t, 10)}, From: lowBird.Elements.Epoch, To: lowBird.Elements.Epoch.Add(48 * time.Hour)}
	both, err := s.One(lowBird)
	if err != nil || len(both) == 0 {
		t.Fatal(len(both), err)
	}
	p, _ := orbit.NewPropagator(lowBird.Elements)
	a, b := orbit.NewObserver(p, here, 0), orbit.NewObserver(p, there, 0)
	for at := s.From; at.Before(s.To); at = at.Add(15 * time.Second) {
		la, _ := a.Look(at)
		lb, _ := b.Look(at)
		up := min(la.ElevationDeg, lb.ElevationDeg-10)
		common := slices.ContainsFunc(both, func(f Found) bool { return at.After(f.AOS) && at.Before(f.LOS) })
		if common != (up > 0) && (up > 0.05 || up < -0.05) {
			t.Errorf("at %v the lower is %.2f degrees clear, common: %v", at, up, common)
		}
	}
}

func mustMask(t *testing.T, deg float64) orbit.HorizonMask {
	t.Helper()
	m, err := orbit.NewHorizonMask([]orbit.MaskPoint{{AzimuthDeg: 0, ElevationDeg: deg}, {AzimuthDeg: 180, ElevationDeg: deg}})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestBandsInWords(t *testing.T) {
	own := lowBird
	own.Plan = &sim.Bird{Transponders: []sim.Transponder{{UplinkLowHz: 145_940_000, UplinkHighHz: 145_980_000, DownlinkLowHz: 435_610_000, DownlinkHighHz: 435_650_000}}}
	if got := own.BandWords(); got != "146/436 MHz not inverting" {
		t.Error(got)
	}
	if got := lowBird.BandWords(); got != "taken as 435/146 MHz inverting" {
		t.Error(got)
	}
	for number, want := range map[int]float64{-1: 145_940_000, 0: 145_940_000, 1: 145_940_000, 2: 145_940_000} {
		if link, known := own.Link(number); link.UplinkLowHz != want || !known {
			t.Errorf("transponder %d: %v, %v", number, link, known)
		}
	}
}
