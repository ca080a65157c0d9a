package sim

// fader makes everything fade together: the bird's spin, fades that the drill
// asks for, and scintillation.
type fader struct {
	spinFrom float64 // turns
}

func (f *fader) start(s *Setup) {
	g := stream(s.Seed, streamFade)
	f.spinFrom = g.Float64()
}

// at returns the fade at a tick, dB >= 0.
func (f *fader) at(a *air, tick Tick) float64 {
	db := 0.0
	if spin := a.setup.Bird.Spin; spin != nil {
		c := cosTurns(f.spinFrom + 2*tick.Seconds()/spin.PeriodS)
		db += float64(float64(spin.DepthDB*sinTurns(spin.AxisDeg/360)) * float64(0.5*(1-c)))
	}
	return db
}
