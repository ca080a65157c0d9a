package audio

import "math"

// Region is the part of the hearing range that an operator hears best: the
// own tone lies in it and everything in it is lifted. The choices are those
// of the hard of hearing's usual remnants (our choice of edges: 300-700,
// 500-1000 and 900-1500 Hz).
type Region uint8

// The regions.
const (
	RegionAll    Region = iota // nothing is lifted; the own tone is at 700 Hz
	RegionLow                  // 300-700 Hz
	RegionMiddle               // 500-1000 Hz
	RegionHigh                 // 900-1500 Hz
)

var regionEdges = [...][2]float64{RegionLow: {300, 700}, RegionMiddle: {500, 1000}, RegionHigh: {900, 1500}}

// regionLiftDB is how much the middle of the region is lifted.
const regionLiftDB = 10

func (r Region) valid() bool { return r > RegionAll && int(r) < len(regionEdges) }

// ToneHz is the pitch of the own tone for a region: its middle.
func (r Region) ToneHz() float64 {
	if !r.valid() {
		return defaultPitchHz
	}
	return math.Round(math.Sqrt(regionEdges[r][0] * regionEdges[r][1]))
}

// lift is a peaking filter of second order for both ears: the analogue
// (s^2 + sAw/Q + w^2)/(s^2 + sw/(AQ) + w^2) by the bilinear transform.
type lift struct {
	region     Region
	b0, b1, b2 float64
	a1, a2     float64
	z          [2][2]float64
}

func (l *lift) set(r Region) {
	if r == l.region {
		return
	}
	*l = lift{region: r, b0: 1}
	if !r.valid() {
		return
	}
	low, high := regionEdges[r][0], regionEdges[r][1]
	a := math.Pow(10, regionLiftDB/40.0)
	w := 2 * math.Pi * math.Sqrt(low*high) / SampleRate
	alpha := math.Sin(w) * (high - low) / math.Sqrt(low*high) / 2
	norm := 1 + alpha/a
	l.b0, l.b1, l.b2 = (1+alpha*a)/norm, -2*math.Cos(w)/norm, (1-alpha*a)/norm
	l.a1, l.a2 = l.b1, (1-alpha/a)/norm
}

// run filters interleaved stereo in place.
func (l *lift) run(frames []float32) {
	if !l.region.valid() {
		return
	}
	for i := range frames {
		z := &l.z[i&1]
		x := float64(frames[i])
		y := l.b0*x + z[0]
		z[0] = l.b1*x - l.a1*y + z[1]
		z[1] = l.b2*x - l.a2*y
		frames[i] = float32(y)
	}
}
