package orbit

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// MaskPoint is one corner of a site's local horizon.
type MaskPoint struct {
	AzimuthDeg   float64 // [0, 360)
	ElevationDeg float64 // [0, 90)
}

// HorizonMask is what hides the sky around a site: straight lines between its
// points, going round through north. An empty mask hides nothing.
type HorizonMask []MaskPoint

// NewHorizonMask sorts and checks the points of a mask.
func NewHorizonMask(points []MaskPoint) (HorizonMask, error) {
	m := slices.Clone(points)
	slices.SortFunc(m, func(a, b MaskPoint) int {
		switch {
		case a.AzimuthDeg < b.AzimuthDeg:
			return -1
		case a.AzimuthDeg > b.AzimuthDeg:
			return 1
		}
		return 0
	})
	for i, p := range m {
		if !(p.AzimuthDeg >= 0 && p.AzimuthDeg < 360) {
			return nil, fmt.Errorf("horizon azimuth %g is outside 0..360 degrees", p.AzimuthDeg)
		}
		if !(p.ElevationDeg >= 0 && p.ElevationDeg < 90) {
			return nil, fmt.Errorf("horizon elevation %g at azimuth %g is outside 0..90 degrees", p.ElevationDeg, p.AzimuthDeg)
		}
		if i > 0 && p.AzimuthDeg == m[i-1].AzimuthDeg {
			return nil, fmt.Errorf("azimuth %g stands twice in the horizon", p.AzimuthDeg)
		}
	}
	return m, nil
}

// At returns the elevation of the local horizon at an azimuth, deg.
func (m HorizonMask) At(azimuthDeg float64) float64 {
	if len(m) == 0 {
		return -90
	}
	i, _ := slices.BinarySearchFunc(m, azimuthDeg, func(p MaskPoint, a float64) int {
		switch {
		case p.AzimuthDeg < a:
			return -1
		case p.AzimuthDeg > a:
			return 1
		}
		return 0
	})
	before, after := m[(i+len(m)-1)%len(m)], m[i%len(m)]
	span := math.Mod(after.AzimuthDeg-before.AzimuthDeg+360, 360)
	if span == 0 {
		return after.ElevationDeg
	}
	x := math.Mod(azimuthDeg-before.AzimuthDeg+360, 360) / span
	return before.ElevationDeg + x*(after.ElevationDeg-before.ElevationDeg)
}

// cutByMask keeps what the mask leaves of each pass.
func (f *passFinder) cutByMask(m HorizonMask) []Pass {
	var kept []Pass
	clear := func(t time.Time) bool {
		look, err := f.bird.Look(t)
		return err == nil && look.ElevationDeg > m.At(look.AzimuthDeg)
	}
	for _, p := range f.passes {
		for _, w := range windows(p.AOS, p.LOS, 2*time.Second, clear) {
			kept = append(kept, f.bird.cut(p, w[0], w[1]))
		}
	}
	return kept
}

// windows returns the stretches of [from, to] in which seen holds, found by
// steps and halved down to a millisecond at their ends.
func windows(from, to time.Time, step time.Duration, seen func(time.Time) bool) [][2]time.Time {
	var found [][2]time.Time
	edge := func(lo, hi time.Time, want bool) time.Time { // seen(hi) == want, seen(lo) != want
		for hi.Sub(lo) > time.Millisecond {
			if mid := lo.Add(hi.Sub(lo) / 2); seen(mid) == want {
				hi = mid
			} else {
				lo = mid
			}
		}
		return hi
	}
	last, up := from, seen(from.Add(time.Millisecond))
	start := from
	for t := from.Add(step); ; t = t.Add(step) {
		end := !t.Before(to)
		if end {
			t = to.Add(-time.Millisecond)
		}
		if now := seen(t); now != up {
			at := edge(last, t, now)
			if now {
				start = at
			} else {
				found = append(found, [2]time.Time{start, at})
			}
			up = now
		}
		last = t
		if end {
			break
		}
	}
	if up {
		found = append(found, [2]time.Time{start, to})
	}
	return found
}

// cut returns the part of a pass between two times within it, with its own
// culmination and closest approach.
func (o *Observer) cut(p Pass, from, to time.Time) Pass {
	if from.Equal(p.AOS) && to.Equal(p.LOS) {
		return p
	}
	p.UpAtStart = p.UpAtStart && from.Equal(p.AOS)
	p.UpAtStop = p.UpAtStop && to.Equal(p.LOS)
	p.AOS, p.LOS = from, to
	look := func(t time.Time) Look {
		l, _ := o.Look(t) // the pass was found, so the propagator answers here
		return l
	}
	p.AOSAzimuthDeg, p.LOSAzimuthDeg = look(from).AzimuthDeg, look(to).AzimuthDeg
	if p.Max.Before(from) || p.Max.After(to) {
		p.Max = greatest(from, to, func(t time.Time) float64 { return look(t).ElevationDeg })
		p.MaxElevationDeg = look(p.Max).ElevationDeg
	}
	if p.TCA.Before(from) || p.TCA.After(to) {
		p.TCA = greatest(from, to, func(t time.Time) float64 { return -look(t).RangeKm })
		p.TCARangeKm = look(p.TCA).RangeKm
	}
	return p
}

// greatest returns where f is greatest in [from, to]: the best of 200 steps,
// then thirds around it down to a millisecond.
func greatest(from, to time.Time, f func(time.Time) float64) time.Time {
	step := max(to.Sub(from)/200, time.Millisecond)
	best, value := from, f(from)
	for t := from.Add(step); t.Before(to); t = t.Add(step) {
		if v := f(t); v > value {
			best, value = t, v
		}
	}
	if f(to) > value {
		best = to
	}
	lo, hi := best.Add(-step), best.Add(step)
	if lo.Before(from) {
		lo = from
	}
	if hi.After(to) {
		hi = to
	}
	for hi.Sub(lo) > time.Millisecond {
		third := hi.Sub(lo) / 3
		if f(lo.Add(third)) > f(hi.Add(-third)) {
			hi = hi.Add(-third)
		} else {
			lo = lo.Add(third)
		}
	}
	return lo.Add(hi.Sub(lo) / 2)
}

// Together returns the parts of passes over one site, by its observer, that
// fall into passes of the same bird over another.
func (o *Observer) Together(here, there []Pass) []Pass {
	var both []Pass
	for _, p := range here {
		for _, q := range there {
			from, to := p.AOS, p.LOS
			if q.AOS.After(from) {
				from = q.AOS
			}
			if q.LOS.Before(to) {
				to = q.LOS
			}
			if from.Before(to) {
				both = append(both, o.cut(p, from, to))
			}
		}
	}
	return both
}
