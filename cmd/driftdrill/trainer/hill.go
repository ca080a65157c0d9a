package trainer

import (
	"math"
	"strings"
	"time"

	"driftdrill/orbit"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// HillPoint is one point of a pass as it is drawn.
type HillPoint struct {
	Tick         sim.Tick // of the run; outside it before it begins and after it ends
	ElevationDeg float64
	AzimuthDeg   float64
	RateHzS      float64 // how fast the own voice moves if no dial is turned, + is up
}

// hillStep is the spacing of the points.
const hillStep = 5 * time.Second

// TickOf is the tick of a run at a time.
func TickOf(s *sim.Setup, at time.Time) sim.Tick {
	return sim.Tick(math.Round(at.Sub(s.Start).Seconds() * sim.TicksPerSecond))
}

// HillOf computes the pass of a run as it is drawn: elevation, and how fast
// the own voice moves if no dial is turned. To first order that is the rate of
// range rate over c times the difference (inverting) or the sum (not
// inverting) of the two frequencies, the middle of the passband standing for
// both dials.
func HillOf(s *sim.Setup) ([]HillPoint, error) {
	p, err := orbit.NewPropagator(s.Elements)
	if err != nil {
		return nil, err
	}
	t := &s.Bird.Transponders[s.Drill.Transponder-1]
	observer := orbit.NewObserver(p, s.Site, 0)
	up, down := (t.UplinkLowHz+t.UplinkHighHz)/2, (t.DownlinkLowHz+t.DownlinkHighHz)/2
	perBeta := up - down
	if !t.Inverting {
		perBeta = -(up + down)
	}
	var hill []HillPoint
	for at := s.Pass.AOS; !at.After(s.Pass.LOS); at = at.Add(hillStep) {
		look, err := observer.Look(at)
		if err != nil {
			return nil, err
		}
		later, err := observer.Look(at.Add(time.Second))
		if err != nil {
			return nil, err
		}
		accel := 1000 * (later.RangeRateKmS - look.RangeRateKmS) // m/s^2
		hill = append(hill, HillPoint{Tick: TickOf(s, at), ElevationDeg: look.ElevationDeg, AzimuthDeg: look.AzimuthDeg, RateHzS: perBeta * accel / sim.SpeedOfLight})
	}
	return hill, nil
}

// TopRateHzS is the greatest speed of the own voice on a hill, without sign.
func TopRateHzS(hill []HillPoint) float64 {
	var top float64
	for _, p := range hill {
		top = max(top, math.Abs(p.RateHzS))
	}
	return top
}

// CoachLine is the coach's line of a drill with the rhythm that the run asks
// for where it is fastest; the run may be without the top of the pass.
func CoachLine(s *sim.Setup, hill []HillPoint) string {
	var within []HillPoint
	for _, p := range hill {
		if p.Tick >= 0 && p.Tick <= s.Length {
			within = append(within, p)
		}
	}
	return strings.ReplaceAll(s.Drill.Coach, sim.RhythmMark, scoring.Rhythm(s.Drill.StepHz, TopRateHzS(within)))
}
