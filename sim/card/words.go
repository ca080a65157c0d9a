package card

import (
	"fmt"
	"math"
	"strings"
	"time"

	"driftdrill/orbit"
)

// CheckList is what to look after before a pass.
var CheckList = []string{
	"batteries of both radios charged",
	"diplexer or filter in the line",
	"sidebands set on both radios",
	"VOX off, or PTT in hand",
	"recorder running, clock right",
	"headphones on, level low",
	"antenna clear of people and wires",
	"correction of last time in the card",
}

// Caution stands at the foot of every card.
const Caution = "A licence is needed to transmit; local band plans and rules come first. Headphones: start low."

// SiteWords names a site for people.
func SiteWords(s orbit.Site) string {
	text := fmt.Sprintf("%s (%.3f, %.3f)", s.Locator(6), s.LatDeg, s.LonDeg)
	if s.Name != "" && !strings.EqualFold(s.Name, s.Locator(len(s.Name))) {
		text = s.Name + " " + text
	}
	return text
}

// DateLine is the day of the pass with the zone of all times on the card.
func (c *Card) DateLine() string {
	return c.Pass.AOS.In(c.Zone).Format("Monday 2 January 2006, MST")
}

// passLine says when and where the bird goes.
func (c *Card) passLine() string {
	p := c.Pass
	return fmt.Sprintf("Up %s from %.0f°, highest %.0f° at %s, down %s to %.0f°: %s long",
		ClockOfDay(p.AOS, c.Zone), p.AOSAzimuthDeg, p.MaxElevationDeg, ClockOfDay(p.Max, c.Zone),
		ClockOfDay(p.LOS, c.Zone), p.LOSAzimuthDeg, Minutes(p.LOS.Sub(p.AOS)))
}

// RuleLine says which dial to turn and which to leave.
func (c *Card) RuleLine() string {
	held := Megahertz(roundTo(c.HeldHz, c.RadioStepHz), c.RadioStepHz)
	switch c.Rule {
	case RuleUplink:
		return "Turn the uplink. Receive stays on " + held
	case RuleDownlink:
		return "Turn the receive dial. Uplink stays on " + held
	}
	return "Turn both. At the satellite you stay on " + held
}

// CostLine says what the rule costs the neighbours, in kHz at the bird.
func (c *Card) CostLine() string {
	kHz := func(rule string) string { return fmt.Sprintf("%.1f kHz", c.WanderHz(rule)/1e3) }
	switch c.Rule {
	case RuleUplink:
		return "you move by " + kHz(RuleUplink) + " (with the receive dial alone " + kHz(RuleDownlink) + ", with both dials 0)"
	case RuleDownlink:
		return "you move by " + kHz(RuleDownlink) + " (with the uplink alone " + kHz(RuleUplink) + ", with both dials 0)"
	}
	return "you keep still (with the uplink alone " + kHz(RuleUplink) + ", with the receive dial alone " + kHz(RuleDownlink) + ")"
}

// SidebandLine names both sidebands.
func (c *Card) SidebandLine() string {
	kind := "inverting"
	if !c.Link.Inverting {
		kind = "not inverting"
	}
	return fmt.Sprintf("%s up, %s down (%s)", c.Link.UplinkSideband, c.Link.DownlinkSideband, kind)
}

// EdgeLines give the passband at the satellite.
func (c *Card) EdgeLines() [2]string {
	t := c.Link
	return [2]string{
		fmt.Sprintf("up %s to %s", shortMegahertz(t.UplinkLowHz), shortMegahertz(t.UplinkHighHz)),
		fmt.Sprintf("down %s to %s", shortMegahertz(t.DownlinkLowHz), shortMegahertz(t.DownlinkHighHz)),
	}
}

func shortMegahertz(hz float64) string { return fmt.Sprintf("%.3f", hz/1e6) }

// Sum is the check that needs no computer: at closest approach there is no
// Doppler, so both dials add up to the transponder's constant.
func (c *Card) Sum() (words, hz string) {
	hz = Megahertz(roundTo(math.Abs(c.SumHz+c.correctionSum()), c.RadioStepHz), c.RadioStepHz)
	switch {
	case c.Link.Inverting:
		return "uplink + downlink", hz
	case c.SumHz < 0:
		return "uplink - downlink", hz
	}
	return "downlink - uplink", hz
}

// correctionSum is what the correction adds to the sum (or difference) of the dials.
func (c *Card) correctionSum() float64 {
	if !c.Link.Inverting && c.Rule != RuleDownlink {
		return -c.CorrectionHz
	}
	return c.CorrectionHz
}

// workLine says how hard the pass is.
func (c *Card) workLine() string {
	return fmt.Sprintf("%s, up to %.0f Hz/s at %s, %.1f kHz in all", c.Drift.Difficulty(), c.Drift.PeakHzS,
		ClockOfDay(c.Drift.PeakAt, c.Zone), math.Abs(c.Drift.NetHz)/1e3)
}

// correctionLine says what was added to the turned dial and how it is rounded.
func (c *Card) correctionLine() string {
	dial := "uplink"
	if c.Rule == RuleDownlink {
		dial = "receive dial"
	}
	return fmt.Sprintf("%+.0f Hz on the %s, rounded to %.0f Hz", c.CorrectionHz, dial, c.RadioStepHz)
}

// ageLine says how old the elements are and what that can cost.
func (c *Card) ageLine() string {
	line := fmt.Sprintf("%s; by that up to %.0f Hz off at TCA", c.Age.Words(), c.AgeHz)
	if c.Source != "" {
		line += "; " + c.Source
	}
	return line
}

// Facts are the lines over the table of the text form.
func (c *Card) Facts() []string {
	edges := c.EdgeLines()
	words, hz := c.Sum()
	lines := []string{
		c.passLine(),
		c.RuleLine() + "; " + c.SidebandLine(),
		"To move: " + c.StepLine(),
		"At the bird " + c.CostLine(),
		"Passband " + edges[0] + ", " + edges[1] + " MHz",
		"Check at TCA: " + words + " = " + hz,
		"To hold: " + c.workLine(),
		"Correction " + c.correctionLine(),
		"Elements " + c.ageLine(),
	}
	if beacon := c.BeaconLine(); beacon != "" {
		lines = append(lines, "Beacon "+beacon)
	}
	return lines
}

// Megahertz writes a frequency as a radio's dial shows it: 435.150 00, or
// 435.150 000 where the radio's step needs the last digit.
func Megahertz(hz, step float64) string {
	n := int64(math.Round(hz))
	if math.Mod(step, 10) != 0 {
		return fmt.Sprintf("%d.%03d %03d", n/1e6, n/1e3%1e3, n%1e3)
	}
	return fmt.Sprintf("%d.%03d %02d", n/1e6, n/1e3%1e3, n/10%100)
}

// ClockOfDay writes a time of day for people in a zone, to the second.
func ClockOfDay(t time.Time, zone *time.Location) string {
	return t.Round(time.Second).In(zone).Format("15:04:05")
}

// Minutes writes a length as people say it, "12:34" or "3 h 07 min".
func Minutes(d time.Duration) string {
	s := int(math.Round(d.Seconds()))
	if s >= 3600 {
		return fmt.Sprintf("%d h %02d min", s/3600, s/60%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}
