package orbit

import "math"

// turning returns when the interpolated elevation stands still between two
// nodes where it moves in opposite senses.
func (f *passFinder) turning(p piece) float64 {
	return f.zero(p, p.a.t, p.b.t, func(p piece, t float64) float64 {
		_, rise, _, _ := f.at(p, t)
		return rise
	})
}

// zero finds where g changes its sign between lo and hi, by the Illinois form
// of false position, until a step is below zeroAccuracy.
func (f *passFinder) zero(p piece, lo, hi float64, g func(piece, float64) float64) float64 {
	gLo, gHi := g(p, lo), g(p, hi)
	last := lo
	for range 60 {
		if gLo == gHi {
			break
		}
		t := hi - gHi*(hi-lo)/(gHi-gLo)
		if !(t > lo && t < hi) {
			t = (lo + hi) / 2
		}
		if math.Abs(t-last) < zeroAccuracy {
			return t
		}
		last = t
		v := g(p, t)
		if (v > 0) == (gHi > 0) {
			hi, gHi = t, v
			gLo /= 2
		} else {
			lo, gLo = t, v
			gHi /= 2
		}
	}
	return (lo + hi) / 2
}

// refineTurning moves a culmination (or the lowest point of a dip) to where
// the propagator's own elevation stands still, by central differences of it:
// the theory's velocity is not exactly the derivative of its position.
func (f *passFinder) refineTurning(p piece, t float64) (time, sine float64, err error) {
	_, r0, _, _ := f.at(p, max(p.a.t, t-0.05))
	_, r1, _, _ := f.at(p, min(p.b.t, t+0.05))
	bend := (r1 - r0) / (min(p.b.t, t+0.05) - max(p.a.t, t-0.05))
	d := (p.b.t - p.a.t) * 0.004
	for range 3 {
		var before, after node
		if err := f.node(t-d, &before); err != nil {
			return t, 0, err
		}
		if err := f.node(t+d, &after); err != nil {
			return t, 0, err
		}
		slope := (after.sine - before.sine) / (2 * d)
		shift := 0.0
		if bend != 0 {
			shift = -slope / bend
		}
		if math.Abs(shift) > p.b.t-p.a.t {
			shift = 0
		}
		sine = (before.sine+after.sine)/2 - bend*d*d/2 - slope*slope/(2*bend)
		t += shift
		if math.Abs(shift) < 1e-4 {
			break
		}
	}
	return t, sine, nil
}

// crossing refines the moment between lo and hi at which the propagator's own
// elevation passes the least one, by Newton's method held between the two; n
// is the bird there. rising says that the bird is below at lo and above at hi.
func (f *passFinder) crossing(p piece, lo, hi float64, rising bool, n *node) error {
	t := f.zero(p, lo, hi, func(p piece, t float64) float64 {
		sine, _, _, _ := f.at(p, t)
		return sine - f.least
	})
	for range 60 {
		if err := f.node(t, n); err != nil {
			return err
		}
		excess := n.sine - f.least
		if (excess > 0) == rising {
			hi = t
		} else {
			lo = t
		}
		next := t - excess/n.rise
		done := math.Abs(next-t) < linearMinutes || hi-lo < timeAccuracy
		if !(next >= lo && next <= hi) && !done {
			next = (lo + hi) / 2
		}
		t = next
		if done {
			break
		}
	}
	n.carry(t)
	return nil
}

// carry moves a node to a time close by on a straight line.
func (n *node) carry(t float64) {
	dt := t - n.t
	for i := range 3 {
		n.place[i] += n.speed[i] * dt
	}
	n.t = t
}

// culminate fills the culmination of the current pass, which ends at n. A pass
// cut by an edge of the search may have its highest point there.
func (f *passFinder) culminate(n *node) error {
	c := &f.current
	high := f.first
	if n.sine > high.sine {
		high = *n
	}
	if c.turn.found {
		t, _, err := f.refineTurning(piece{&c.turn.a, &c.turn.b}, c.turn.t)
		if err != nil {
			return err
		}
		var top node
		if t = max(f.first.t, min(n.t, t)); t > f.first.t && t < n.t {
			if err := f.node(t, &top); err != nil {
				return err
			}
			if top.sine > high.sine {
				high = top
			}
		}
	}
	s := State{PositionKm: high.place}
	c.pass.Max = f.when(high.t)
	c.pass.MaxElevationDeg = f.bird.horizon.look(&s).ElevationDeg
	return nil
}

// approach fills the closest approach of the current pass, which ends at n:
// where the range rate is zero, or the nearer end where it nowhere is.
func (f *passFinder) approach(n *node) error {
	c := &f.current
	near := f.first
	if n.reach < near.reach {
		near = *n
	}
	if c.near.found {
		var at node
		t, err := f.refineApproach(&c.near, &at)
		if err != nil {
			return err
		}
		if t > f.first.t && t < n.t && at.reach < near.reach {
			near = at
			near.t = t
		}
	}
	c.pass.TCA, c.pass.TCARangeKm = f.when(near.t), near.reach
	return nil
}

// refineApproach moves a closest approach to where the propagator's own range
// rate is zero; at is the bird within linearMinutes of it.
func (f *passFinder) refineApproach(x *extreme, at *node) (float64, error) {
	p, t := piece{&x.a, &x.b}, x.t
	lo, hi := max(x.a.t, t-0.05), min(x.b.t, t+0.05)
	_, _, _, r0 := f.at(p, lo)
	_, _, _, r1 := f.at(p, hi)
	bend := (r1 - r0) / (hi - lo)
	for range 4 {
		if err := f.node(t, at); err != nil {
			return t, err
		}
		shift := -at.recede / bend
		if math.IsNaN(shift) || math.Abs(shift) > x.b.t-x.a.t {
			break
		}
		t += shift
		if math.Abs(shift) < linearMinutes {
			break
		}
	}
	return t, nil
}
