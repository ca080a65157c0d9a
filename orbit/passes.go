package orbit

import (
	"fmt"
	"math"
	"time"
)

// How passes are found.
//
// The bird's place in the Earth-fixed frame is computed at nodes some 0.13 rad
// of motion apart (two minutes on a low orbit) and interpolated between them by
// Hermite's cubic, which is good to a few metres. Far from the site there are
// fewer nodes: the bird cannot cross the angle that is missing faster than its
// greatest angular speed allows. In each piece the interpolated elevation
// shows whether the bird rises, sets, or shows itself between two nodes; each
// such moment is then refined with the propagator itself.

// PassOptions say what counts as a pass.
type PassOptions struct {
	MinElevationDeg float64     // the bird must be above this, [-10, 90)
	UT1MinusUTC     float64     // s
	Mask            HorizonMask // what hides the sky; a stay it cuts in two is two passes
}

// Step sizes and accuracies of the search.
const (
	pieceAngle    = 0.13  // rad of motion between nodes
	longestPiece  = 20.0  // minutes
	skipMargin    = 0.007 // rad: geodetic against geocentric zenith (0.0034), and slack
	speedMargin   = 1.02  // on the greatest angular speed, for perturbations
	apogeeMargin  = 1.01  // on the greatest distance
	timeAccuracy  = 1e-7  // minutes (6 us)
	zeroAccuracy  = 1e-5  // minutes (0.6 ms), of the interpolated motion: what follows is refined
	linearMinutes = 2e-4  // minutes (12 ms) over which a state may be carried on a straight line
)

// FindPasses returns the passes of one bird over a site between two times, in
// order. A pass that is under way at an edge of the search is cut there and
// marked. Where the elements break down (the bird decays, say) the passes up
// to there are returned with a *PropagationError.
//
// Times agree with those of the propagator's own elevation within a
// millisecond; a pass is found if it rises above the least elevation by more
// than a millionth of a degree. It allocates the result and little else.
func FindPasses(p Propagator, s Site, from, to time.Time, opt PassOptions) ([]Pass, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	if !(opt.MinElevationDeg >= -10 && opt.MinElevationDeg < 90) {
		return nil, fmt.Errorf("least elevation %g is outside -10..90 degrees", opt.MinElevationDeg)
	}
	if to.Before(from) {
		return nil, fmt.Errorf("the search ends at %s, before it begins at %s", to.UTC().Format(time.RFC3339), from.UTC().Format(time.RFC3339))
	}
	f := newPassFinder(p, s, opt)
	err := f.search(minutesBetween(p.Epoch(), from), minutesBetween(p.Epoch(), to))
	passes := f.passes
	if len(opt.Mask) > 0 {
		passes = f.cutByMask(opt.Mask)
	}
	return passes, err
}

// node is the bird at one time: minutes from the epoch, Earth-fixed state, and
// sine of elevation and range with their rates (per minute).
type node struct {
	t            float64
	place, speed [3]float64 // km, km/min
	sine, rise   float64
	reach        float64 // range, km
	recede       float64 // km/min
}

// passFinder is one search.
type passFinder struct {
	bird    *Observer
	label   string
	zenith  [3]float64
	passes  []Pass
	up      bool // a pass has begun
	first   node // where it began
	current openPass

	least    float64 // sine of the least elevation
	leastRad float64
	cosLeast float64
	upHeight float64 // the site's height along its own zenith, km from the Earth's centre
}

// openPass is a pass that has begun.
type openPass struct {
	pass Pass
	turn extreme // highest culmination so far
	near extreme // least range so far
}

// extreme is a moment of the interpolated motion that is worth refining.
type extreme struct {
	found bool
	t     float64
	value float64 // sine of elevation, or range
	a, b  node
}

// piece is the interpolated motion between two nodes.
type piece struct{ a, b *node }

func newPassFinder(p Propagator, s Site, opt PassOptions) *passFinder {
	least := opt.MinElevationDeg * degree
	f := &passFinder{
		bird: NewObserver(p, s, opt.UT1MinusUTC), label: p.Elements().Label(),
		least: math.Sin(least), leastRad: least, cosLeast: math.Cos(least),
	}
	f.zenith = f.bird.horizon.up
	f.upHeight = dot(&f.bird.horizon.originKm, &f.zenith)
	return f
}

// node computes the bird at t minutes from the epoch.
func (f *passFinder) node(t float64, n *node) error {
	s, err := f.bird.bird.TEME(t)
	if err != nil {
		return err
	}
	fixed := f.bird.fix(&s, t)
	n.t = t
	n.place = fixed.PositionKm
	v := &fixed.VelocityKmS
	n.speed = [3]float64{60 * v[0], 60 * v[1], 60 * v[2]}
	n.sine, n.rise, n.reach, n.recede = f.sight(&n.place, &n.speed)
	return nil
}

// sight returns sine of elevation and range with their rates.
func (f *passFinder) sight(place, speed *[3]float64) (sine, rise, reach, recede float64) {
	o := &f.bird.horizon.originKm
	d := [3]float64{place[0] - o[0], place[1] - o[1], place[2] - o[2]}
	reach = math.Sqrt(dot(&d, &d))
	inv := 1 / reach
	sine = dot(&d, &f.zenith) * inv
	recede = dot(&d, speed) * inv
	rise = (dot(speed, &f.zenith) - sine*recede) * inv
	return sine, rise, reach, recede
}

// search walks from one time to another, minutes from the epoch.
func (f *passFinder) search(from, to float64) error {
	nodes := [2]node{}
	a, b := &nodes[0], &nodes[1]
	if err := f.node(from, a); err != nil {
		return err
	}
	if a.sine > f.least {
		f.open(a, true)
	}
	for a.t < to {
		step, far := f.nextStep(a)
		t := min(a.t+step, to)
		if err := f.node(t, b); err != nil {
			return f.breakDown(a, t, err)
		}
		if !far || b.sine > f.least {
			if err := f.examine(a, b); err != nil {
				return err
			}
		}
		a, b = b, a
	}
	if f.up {
		return f.close(a, true)
	}
	return nil
}

// breakDown ends a search that met an error between node a and time t: the
// last good moment is found by halving, and what is up there is closed.
func (f *passFinder) breakDown(a *node, t float64, err error) error {
	var last node
	good, bad := a.t, t
	keep := *a
	for bad-good > 1.0/60 {
		mid := (good + bad) / 2
		if fault := f.node(mid, &last); fault != nil {
			bad, err = mid, fault
			continue
		}
		good = mid
		if fault := f.examine(&keep, &last); fault != nil {
			return fault
		}
		keep = last
	}
	if f.up {
		if fault := f.close(&keep, true); fault != nil {
			return fault
		}
	}
	return err
}

// nextStep returns the time to the next node, and whether the bird is certain
// to stay below the least elevation until then.
func (f *passFinder) nextStep(n *node) (minutes float64, far bool) {
	r2 := dot(&n.place, &n.place)
	r := math.Sqrt(r2)
	// Inertial velocity, in the axes of the turning Earth.
	const w = earthRate * 60
	v := [3]float64{n.speed[0] - w*n.place[1], n.speed[1] + w*n.place[0], n.speed[2]}
	v2, rv := dot(&v, &v), dot(&n.place, &v)
	h2 := r2*v2 - rv*rv
	h := math.Sqrt(h2)
	piece := min(longestPiece, pieceAngle/(h/r2+w))

	const mu = gravityMuKm3S2 * 3600 // km^3/min^2
	e2 := 1 - h2/mu*(2/r-v2/mu)
	e := math.Sqrt(max(0, e2))
	if e > 0.97 {
		return piece, false
	}
	p := h2 / mu
	perigee, apogee := p/(1+e), p/(1-e)
	cos := f.upHeight * f.cosLeast / (apogee * apogeeMargin)
	reach := skipMargin
	if cos < 1 {
		reach += math.Acos(cos) - f.leastRad
	}
	away := math.Acos(dot(&n.place, &f.zenith)/r) - reach
	if !(away > 0) { // no number right overhead, by rounding
		return piece, false
	}
	skip := away / ((h/(perigee*perigee) + w) * speedMargin)
	if skip > piece {
		return skip, true
	}
	return piece, false
}

// at returns the interpolated sight at t by Hermite's cubic.
func (f *passFinder) at(p piece, t float64) (sine, rise, reach, recede float64) {
	h := p.b.t - p.a.t
	x := (t - p.a.t) / h
	y := 1 - x
	p0, p1 := y*y*(1+2*x), x*x*(3-2*x)
	m0, m1 := y*y*x*h, -x*x*y*h
	q := 6 * x * y / h
	s0, s1 := y*(1-3*x), x*(3*x-2)
	var place, speed [3]float64
	for i := range 3 {
		a, b, u, v := p.a.place[i], p.b.place[i], p.a.speed[i], p.b.speed[i]
		place[i] = a*p0 + b*p1 + u*m0 + v*m1
		speed[i] = (b-a)*q + u*s0 + v*s1
	}
	return f.sight(&place, &speed)
}

// examine looks for rises and sets between two nodes.
func (f *passFinder) examine(a, b *node) error {
	p := piece{a, b}
	above, below := a.sine > f.least, b.sine > f.least
	switch {
	case !above && below:
		if err := f.rises(p, a.t, b.t); err != nil {
			return err
		}
		f.note(p)
	case above && !below:
		f.note(p)
		return f.sets(p, a.t, b.t)
	case above && below:
		return f.dip(p)
	case a.rise > 0 && b.rise < 0:
		return f.hump(p)
	}
	return nil
}

// hump looks for a whole pass between two nodes that are both below.
func (f *passFinder) hump(p piece) error {
	t := f.turning(p)
	sine, _, _, _ := f.at(p, t)
	const near = 1e-3 // the interpolation is better than this by far
	if sine < f.least-near {
		return nil
	}
	top, sine, err := f.refineTurning(p, t)
	if err != nil || sine <= f.least {
		return err
	}
	if err := f.rises(p, p.a.t, top); err != nil {
		return err
	}
	f.note(p)
	return f.sets(p, top, p.b.t)
}

// dip looks for a short stay below between two nodes that are both above.
func (f *passFinder) dip(p piece) error {
	if p.a.rise < 0 && p.b.rise > 0 {
		t := f.turning(p)
		if sine, _, _, _ := f.at(p, t); sine < f.least+1e-3 {
			bottom, sine, err := f.refineTurning(p, t)
			if err != nil {
				return err
			}
			if sine < f.least {
				f.note(p)
				if err := f.sets(p, p.a.t, bottom); err != nil {
					return err
				}
				if err := f.rises(p, bottom, p.b.t); err != nil {
					return err
				}
			}
		}
	}
	f.note(p)
	return nil
}

func (f *passFinder) rises(p piece, lo, hi float64) error {
	var n node
	if err := f.crossing(p, lo, hi, true, &n); err != nil {
		return err
	}
	f.open(&n, false)
	return nil
}

func (f *passFinder) sets(p piece, lo, hi float64) error {
	var n node
	if err := f.crossing(p, lo, hi, false, &n); err != nil {
		return err
	}
	return f.close(&n, false)
}

// open begins a pass at a node.
func (f *passFinder) open(n *node, cut bool) {
	f.up = true
	f.current.turn.found, f.current.near.found = false, false
	f.current.pass = Pass{Bird: f.label, AOS: f.when(n.t), AOSAzimuthDeg: f.azimuth(n), UpAtStart: cut}
	f.first = *n
}

// note looks for a culmination and for the closest approach in a piece.
func (f *passFinder) note(p piece) {
	c := &f.current
	if p.a.rise > 0 && p.b.rise <= 0 {
		t := f.turning(p)
		if sine, _, _, _ := f.at(p, t); !c.turn.found || sine > c.turn.value {
			c.turn = extreme{true, t, sine, *p.a, *p.b}
		}
	}
	if p.a.recede < 0 && p.b.recede >= 0 {
		t := f.zero(p, p.a.t, p.b.t, func(p piece, t float64) float64 {
			_, _, _, recede := f.at(p, t)
			return recede
		})
		if _, _, reach, _ := f.at(p, t); !c.near.found || reach < c.near.value {
			c.near = extreme{true, t, reach, *p.a, *p.b}
		}
	}
}

// close ends a pass at a node and refines its culmination and closest approach.
func (f *passFinder) close(n *node, cut bool) error {
	f.up = false
	c := &f.current
	c.pass.LOS, c.pass.LOSAzimuthDeg, c.pass.UpAtStop = f.when(n.t), f.azimuth(n), cut
	if err := f.culminate(n); err != nil {
		return err
	}
	if err := f.approach(n); err != nil {
		return err
	}
	f.passes = append(f.passes, c.pass)
	return nil
}

// azimuth returns the azimuth of a node, deg.
func (f *passFinder) azimuth(n *node) float64 {
	s := State{PositionKm: n.place}
	return f.bird.horizon.look(&s).AzimuthDeg
}

// when turns minutes from the epoch into UTC.
func (f *passFinder) when(t float64) time.Time { return atMinutes(f.bird.bird.Epoch(), t) }

// atMinutes returns the time minutes after an epoch.
func atMinutes(epoch time.Time, minutes float64) time.Time {
	return epoch.Add(time.Duration(math.Round(minutes * float64(time.Minute)))).UTC()
}
