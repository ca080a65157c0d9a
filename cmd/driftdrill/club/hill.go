package club

import (
	"fmt"
	"strings"
	"time"

	"driftdrill/orbit"
	"driftdrill/sim"
)

// hill is the pass as it is drawn, in the units of a box hillWide x hillHigh,
// y downwards; the ground is at hillHigh.
type hill struct {
	Line, Area    string  // SVG path data: the whole pass; the part that is flown, closed
	Points        string  // "x,y x,y ...", for the script that walks the birds
	FromMS, ForMS int64   // the run's start after AOS and its length at most
	PassMS, TopMS int64   // length of the pass; highest elevation after AOS
	TopDeg        float64 // highest elevation
	AOS, Top, LOS string  // UTC, as clock
	TopX          float64 // where the top stands
}

const (
	hillWide, hillHigh = 1840.0, 250.0
	hillRoom           = 10.0 // above the top
	hillSteps          = 120
)

// hillOf computes the pass of a setup.
func hillOf(s *sim.Setup) (hill, error) {
	p, err := orbit.NewPropagator(s.Elements)
	if err != nil {
		return hill{}, err
	}
	observer := orbit.NewObserver(p, s.Site, 0)
	span := s.Pass.LOS.Sub(s.Pass.AOS)
	clock := func(t time.Time) string { return t.UTC().Format("15:04:05") }
	h := hill{FromMS: s.Start.Sub(s.Pass.AOS).Milliseconds(), ForMS: (time.Duration(s.Length) * sim.TickLength).Milliseconds(), PassMS: span.Milliseconds(),
		TopMS: s.Pass.TCA.Sub(s.Pass.AOS).Milliseconds(), TopDeg: s.Pass.MaxElevationDeg,
		AOS: clock(s.Pass.AOS), Top: clock(s.Pass.TCA), LOS: clock(s.Pass.LOS)}
	h.TopX = hillWide * float64(h.TopMS) / float64(h.PassMS)
	at := func(share float64) (x, y float64, err error) {
		look, err := observer.Look(s.Pass.AOS.Add(time.Duration(share * float64(span))))
		return hillWide * share, hillHigh - (hillHigh-hillRoom)*max(0, look.ElevationDeg)/max(1, s.Pass.MaxElevationDeg), err
	}
	from := max(0, float64(h.FromMS)/float64(h.PassMS))
	to := min(1, float64(h.FromMS+h.ForMS)/float64(h.PassMS))
	var line, area, points strings.Builder
	fmt.Fprintf(&area, "M%.1f %.1f", hillWide*from, hillHigh)
	for i := range hillSteps + 1 {
		share := float64(i) / hillSteps
		x, y, err := at(share)
		if err != nil {
			return hill{}, err
		}
		fmt.Fprintf(&points, "%.1f,%.1f ", x, y)
		fmt.Fprintf(&line, "%s%.1f %.1f", map[bool]string{true: "M", false: "L"}[i == 0], x, y)
		if x, y, err = at(from + (to-from)*share); err != nil {
			return hill{}, err
		}
		fmt.Fprintf(&area, "L%.1f %.1f", x, y)
	}
	fmt.Fprintf(&area, "L%.1f %.1fZ", hillWide*to, hillHigh)
	h.Line, h.Area, h.Points = line.String(), area.String(), strings.TrimSpace(points.String())
	return h, nil
}
