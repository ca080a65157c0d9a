package sim

import "math"

// KeepError gives a run the error that a series of runs shares in place of its
// own, drawn by the series alone, and lets its dials begin with notedHz: what
// the operator has found of that error in the runs before. Both are hertz at
// the downlink, + is higher. It is for drills with Start.SameFor.
func (s *Setup) KeepError(series uint64, notedHz float64) {
	g := stream(series, streamStart)
	size, toss := between(g, s.Drill.Start.OffsetHz), g.Float64()
	was := s.NotedHz
	s.UnknownHz = math.Round(size)
	if toss < 0.5 {
		s.UnknownHz = -s.UnknownHz
	}
	s.NotedHz = math.Round(notedHz)
	move := int64(s.NotedHz - was)
	switch tr := s.transponder(); {
	case s.Drill.Rule == "downlink":
		s.StartReceiveHz += move
	case tr.Inverting: // what is higher on the uplink is lower on the downlink
		s.StartUplinkHz += move
	default:
		s.StartUplinkHz -= move
	}
}
