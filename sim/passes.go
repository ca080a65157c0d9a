package sim

import (
	"time"

	"driftdrill/orbit"
)

// findPasses finds the passes over a site by stepping and halving, to 10 ms.
func findPasses(p orbit.Propagator, site orbit.Site, from, to time.Time) ([]orbit.Pass, error) {
	observer := orbit.NewObserver(p, site, 0)
	var err error
	look := func(t time.Time) orbit.Look {
		l, e := observer.Look(t)
		if e != nil && err == nil {
			err = e
		}
		return l
	}
	cross := func(a, b time.Time, f func(orbit.Look) bool) time.Time {
		for b.Sub(a) > 10*time.Millisecond {
			m := a.Add(b.Sub(a) / 2)
			if f(look(m)) {
				b = m
			} else {
				a = m
			}
		}
		return b
	}
	up := func(l orbit.Look) bool { return l.ElevationDeg > 0 }
	down := func(l orbit.Look) bool { return l.ElevationDeg <= 0 }
	leaving := func(l orbit.Look) bool { return l.RangeRateKmS > 0 }
	const step = 20 * time.Second
	var passes []orbit.Pass
	was := up(look(from))
	var pass orbit.Pass
	for t := from.Add(step); t.Before(to) && err == nil; t = t.Add(step) {
		is := up(look(t))
		if is && !was {
			pass = orbit.Pass{Bird: p.Elements().Name, AOS: cross(t.Add(-step), t, up)}
			pass.AOSAzimuthDeg = look(pass.AOS).AzimuthDeg
		}
		if !is && was && !pass.AOS.IsZero() {
			pass.LOS = cross(t.Add(-step), t, down)
			pass.LOSAzimuthDeg = look(pass.LOS).AzimuthDeg
			pass.TCA = cross(pass.AOS, pass.LOS, leaving)
			pass.Max, pass.MaxElevationDeg, pass.TCARangeKm = pass.TCA, look(pass.TCA).ElevationDeg, look(pass.TCA).RangeKm
			passes = append(passes, pass)
		}
		was = is
	}
	return passes, err
}
