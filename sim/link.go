package sim

import "math"

// FreeSpaceLossDB returns the loss between isotropic antennas by ITU-R P.525:
// 32.448 + 20 log f + 20 log d, f in MHz, d in km.
func FreeSpaceLossDB(hz, km float64) float64 {
	return 32.448 + float64(2*decibel(hz/1e6)) + float64(2*decibel(km))
}

// ManMadeNoiseDB returns the median external noise figure of man-made noise by
// ITU-R P.372-16, Fam = c - d log f, dB over k T0 B. The table is for 0.3 to
// 250 MHz; above that its line is carried on, which is our own choice.
func ManMadeNoiseDB(environment string, hz float64) float64 {
	c, d := 67.2, 27.7
	switch environment {
	case "city":
		c = 76.8
	case "residential":
		c = 72.5
	case "quiet rural":
		c, d = 53.6, 28.6
	}
	return c - float64(d*decibel(hz/1e6))/10
}

// GalacticNoiseDB returns the median of galactic noise by ITU-R P.372-16:
// 52 - 23 log f(MHz), dB over k T0 B.
func GalacticNoiseDB(hz float64) float64 { return 52 - float64(2.3*decibel(hz/1e6)) }

const (
	boltzmannDB = -228.599167 // 10 log10(1.380649e-23 J/K), SI 2019
	referenceK  = 290.0       // T0 of P.372
	ssbFilterHz = 2400.0
)

// NoiseDensity returns the noise at the receiver's input from sky, man and the
// receiver itself, dBW/Hz.
func NoiseDensity(environment string, hz, receiverK float64) float64 {
	k := float64(referenceK*ratio(ManMadeNoiseDB(environment, hz))) +
		float64(referenceK*ratio(GalacticNoiseDB(hz))) + receiverK
	return boltzmannDB + decibel(k)
}

// FaradayTurns returns the one-way rotation of polarisation in turns at about
// 30 degrees of elevation for a total electron content (electrons/m^2): 1.2
// turns at 0.5 GHz for 1e18, as 1/f^2 (ITU-R P.618-14, Table 1), scaled with
// the path's length through the layer as 1/sin(elevation).
func FaradayTurns(hz, tec, sinElevation float64) float64 {
	if sinElevation < 0.1 {
		sinElevation = 0.1
	}
	f := 0.5e9 / hz
	return float64(1.2*float64(f*f)) * float64(tec/1e18) * (0.5 / sinElevation)
}

// ScintillationDB returns the fade that is exceeded 1 % of the time at middle
// latitudes: 5.9, 1.5, 0.2 dB at 0.1, 0.2, 0.5 GHz (ITU-R P.618-14, Table 2),
// straight lines between them on logarithmic axes.
func ScintillationDB(hz float64) float64 {
	line := func(f0, d0, f1, d1 float64) float64 {
		return d0 * math.Exp(math.Log(d1/d0)*math.Log(hz/f0)/math.Log(f1/f0))
	}
	switch {
	case hz < 0.2e9:
		return line(0.1e9, 5.9, 0.2e9, 1.5)
	default:
		return line(0.2e9, 1.5, 0.5e9, 0.2)
	}
}

// BeamLossDB returns what aiming off by so many degrees costs with a beam of
// the given half-power width: 12 (off/width)^2 dB, at most 20. Common practice.
func BeamLossDB(offDeg, widthDeg float64) float64 {
	x := offDeg / widthDeg
	return math.Min(20, float64(12*float64(x*x)))
}

// PolarisationLossDB returns the loss between a linear antenna and a linear
// wave twisted against it by so many turns, at most 20 dB.
func PolarisationLossDB(turns float64) float64 {
	c := cosTurns(turns)
	return math.Min(20, -decibel(float64(c*c)+1e-3))
}

// DesenseDB returns how far the noise rises while one transmits with the
// diplexer out. The third harmonic of a 2 m transmitter falls into 70 cm: 6 to
// 20 dB for 10 W by how near it falls; the other way round 1 dB. With the
// diplexer in nothing rises. The power is powerW and overDB above it. The span is from common practice; its shape
// between is our choice.
func DesenseDB(uplinkHz, receiveHz, powerW, overDB float64, diplexerIn bool) float64 {
	if diplexerIn {
		return 0
	}
	rise := 1.0
	if uplinkHz < receiveHz {
		off := (3*uplinkHz - receiveHz) / 0.5e6
		rise = 6 + 14/(1+float64(off*off))
	}
	rise += decibel(powerW/10) + overDB
	return math.Max(0, math.Min(30, rise))
}
