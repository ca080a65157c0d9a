package card

import (
	"fmt"
	"math"
)

// LogLines is how many lines a card leaves for what was worked.
const LogLines = 3

// PageRows is how many rows fit on a page for the bag besides the heads, 4.6 mm
// each, the lowest that can still be read on a hill.
const PageRows = 38

// LogHeads are what is noted of a contact.
var LogHeads = [...]string{"time", "call", "report", "locator", "receive dial"}

// StepLine says what the other dial does where one moves to another channel:
// an inverting transponder turns the band round, so that up is down.
func (c *Card) StepLine() string {
	way := "up"
	if c.Link.Inverting {
		way = "down"
	}
	return "receive 1 kHz up is uplink 1 kHz " + way
}

// BeaconLine says where the beacon is heard at rise and at set, MHz; "" where
// nobody knows of one. It is a check of receiver and elements before a word is
// sent.
func (c *Card) BeaconLine() string {
	b := c.Bird.BeaconBeside(c.Transponder)
	if b == nil {
		return ""
	}
	at := func(i int) string {
		return Megahertz(roundTo((b.FrequencyHz+b.ErrorHz)*(1-betaOf(c.Hill[i])), c.RadioStepHz), c.RadioStepHz)
	}
	return fmt.Sprintf("heard %s at AOS, %s at LOS", at(0), at(len(c.Hill)-1))
}

// CorrectionWords say what the table already has in it.
func (c *Card) CorrectionWords() string {
	if math.Abs(c.CorrectionHz) < 0.5 {
		return "none is kept"
	}
	return c.correctionLine()
}

// Worth is whether a pass is worth getting up for, and why or why not.
type Worth struct {
	Yes bool
	Why string // "56° high, 13 min", or what speaks against it
}

// The rule by which a pass is worth getting up for. All figures are our choice.
const (
	worthTopDeg   = 25.0  // lower, houses and trees are in the way and the bird is far off
	worthMinutes  = 8.0   // shorter, there is hardly time to find oneself and work two
	worthHzS      = 130.0 // from there on it is very hard, see Difficulty
	nightTopDeg   = 50.0  // the same for hours in which one sleeps
	nightMinutes  = 10.0
	nightHzS      = 75.0
	nightFromHour = 23 // local time
	nightToHour   = 6
)

// WorthRule explains the rule in two sentences.
var WorthRule = fmt.Sprintf("A pass is worth getting up for if it is %.0f° high or more, lasts %.0f minutes or more, and your voice moves by less than %.0f Hz a second. "+
	"From %d:00 to %d:00, when people sleep, it must be %.0f° high, last %.0f minutes and stay under %.0f Hz a second.",
	worthTopDeg, worthMinutes, worthHzS, nightFromHour, nightToHour, nightTopDeg, nightMinutes, nightHzS)

// Worth judges a pass by the hour at its top in a zone that people live by.
// Without a plan the drift is not known and nothing is said of it.
func (f *Found) Worth(hour int) Worth {
	top, minutes, most, when := worthTopDeg, worthMinutes, worthHzS, ""
	if hour >= nightFromHour || hour < nightToHour {
		top, minutes, most, when = nightTopDeg, nightMinutes, nightHzS, " in the hours of sleep"
	}
	long := f.LOS.Sub(f.AOS).Minutes()
	switch {
	case !f.Own:
		return Worth{false, "no plan: its drift is not known"}
	case f.MaxElevationDeg < top:
		return Worth{false, fmt.Sprintf("only %.0f° high%s", math.Min(math.Round(f.MaxElevationDeg), top-1), when)}
	case long < minutes:
		return Worth{false, fmt.Sprintf("only %.0f min long%s", math.Floor(long), when)}
	case f.Drift.PeakHzS >= most:
		return Worth{false, fmt.Sprintf("%.0f Hz a second%s", math.Ceil(f.Drift.PeakHzS), when)}
	}
	return Worth{true, fmt.Sprintf("%.0f° high, %.0f min", f.MaxElevationDeg, long)}
}
