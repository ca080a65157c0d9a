package sim

import "math/rand/v2"

// fader makes everything on the downlink fade together: the bird's spin, the
// fades that a drill asks for, and scintillation.
type fader struct {
	spinFrom float64 // turns
	dips     []Tick  // middles of the drill's fades, in order
	next     int
	g        *rand.Rand
	sigmaDB  float64 // of scintillation
	glint    float64 // dB
}

// fadeWidth is the length of one of the drill's fades, bottom to bottom of a
// raised cosine: fades come back in less than ten seconds.
const fadeWidth = 5 * TicksPerSecond

// glintS is how long a scintillation lasts; choice of this project.
const glintS = 1.0

func (f *fader) start(s *Setup, tr *Transponder) {
	f.g = stream(s.Seed, streamFade)
	f.spinFrom = f.g.Float64()
	n := &s.Drill.Noise
	if n.FadeDB > 0 && n.FadeEveryS[0] >= 1 {
		for t := s.Lead; ; {
			t += seconds(between(f.g, n.FadeEveryS))
			if t > s.Length {
				break
			}
			f.dips = append(f.dips, t)
		}
	}
	if n.Scintillate {
		// The 1 % point of a normal distribution lies 2.326 deviations out.
		f.sigmaDB = quantise(ScintillationDB(tr.DownlinkLowHz)/2.326, 1e-6)
	}
}

// at returns the fade at a slow tick, dB; scintillation can also strengthen.
func (f *fader) at(a *air, tick Tick) float64 {
	db := 0.0
	if spin := a.setup.Bird.Spin; spin != nil {
		c := cosTurns(f.spinFrom + 2*tick.Seconds()/spin.PeriodS)
		db += float64(float64(spin.DepthDB*sinTurns(spin.AxisDeg/360)) * float64(0.5*(1-c)))
	}
	for f.next < len(f.dips) && tick > f.dips[f.next]+fadeWidth/2 {
		f.next++
	}
	if f.next < len(f.dips) {
		if off := tick - f.dips[f.next]; off > -fadeWidth/2 {
			db += float64(a.setup.Drill.Noise.FadeDB * float64(0.5*(1+cosTurns(float64(off)/fadeWidth))))
		}
	}
	if f.sigmaDB > 0 {
		const blend = float64(slowTicks) / (TicksPerSecond * glintS)
		const kick = 0.31225 // sqrt(2 blend - blend^2) keeps the deviation
		f.glint += float64(f.sigmaDB*float64(kick*gauss(f.g))) - float64(blend*f.glint)
		db += f.glint
	}
	return db
}
