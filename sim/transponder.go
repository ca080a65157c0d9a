package sim

import "strconv"

func indexed(table string, i int) string { return table + "[" + strconv.Itoa(i) + "]" }

// parseSideband reads a word that check has already let through.
func parseSideband(s string) Sideband {
	if s == "LSB" {
		return LSB
	}
	return USB
}

// Other returns the opposite sideband.
func (s Sideband) Other() Sideband { return 1 - s }

// String returns "USB" or "LSB".
func (s Sideband) String() string {
	if s == LSB {
		return "LSB"
	}
	return "USB"
}

// Constant returns K, the sum of uplink and downlink of an inverting
// transponder, or L, downlink minus uplink, of a non-inverting one, in Hz at
// the satellite and without its oscillator's error.
func (t *Transponder) Constant() float64 {
	if t.Inverting {
		return t.UplinkLowHz + t.DownlinkHighHz
	}
	return t.DownlinkLowHz - t.UplinkLowHz
}

// Through returns the downlink carrier as the bird sends it for an uplink that
// was sent at f and is seen closing at beta = v/c (+ receding); k is Constant
// plus the oscillator's error. Hz.
func (t *Transponder) Through(f, beta, k float64) float64 {
	arrived := float64(f * (1 - beta))
	if t.Inverting {
		return k - arrived
	}
	return arrived + k
}

// ZeroBeat returns the uplink that is heard at r by the site that sends it.
// It turns Through and the downlink leg round in closed form. Hz.
func (t *Transponder) ZeroBeat(r, beta, k float64) float64 {
	s := r / (1 - beta)
	if t.Inverting {
		return (k - s) / (1 - beta)
	}
	return (s - k) / (1 - beta)
}

// OwnRate returns how fast one's own signal moves in one's own receiver with
// no dial turned, Hz/s: the derivative of the downlink leg of Through.
func (t *Transponder) OwnRate(f, beta, betaRate, k float64) float64 {
	s := t.Through(f, beta, k)
	arrivedRate := -float64(f * betaRate)
	if t.Inverting {
		arrivedRate = -arrivedRate
	}
	return float64(arrivedRate*(1-beta)) - float64(s*betaRate)
}

// EdgeDB returns what the passband takes from a signal that arrives at the
// bird on f, dB >= 0; ok is false where nothing passes. The shoulder outside
// the edges falls linearly in dB.
func (t *Transponder) EdgeDB(f float64) (db float64, ok bool) {
	outside := t.UplinkLowHz - f
	if over := f - t.UplinkHighHz; over > outside {
		outside = over
	}
	if outside <= 0 {
		return 0, true
	}
	if outside >= t.ShoulderHz {
		return t.ShoulderDB, false
	}
	return t.ShoulderDB * (outside / t.ShoulderHz), true
}
