package main

import (
	"fmt"
	"math"
	"strings"

	"driftdrill/orbit"
)

// The words of the dial card, shared by its text and its page.

// checkList is what to look after before a pass.
var checkList = []string{
	"batteries of both radios charged",
	"diplexer or filter in the line",
	"sidebands set on both radios",
	"VOX off, or PTT in hand",
	"recorder running, clock right",
	"headphones on, level low",
	"antenna clear of people and wires",
	"correction of last time in the card",
}

const caution = "A licence is needed to transmit; local band plans and rules come first. Headphones: start low."

// placeText names a site for people.
func placeText(s orbit.Site) string {
	text := fmt.Sprintf("%s (%.3f, %.3f)", s.Locator(6), s.LatDeg, s.LonDeg)
	if s.Name != "" && !strings.EqualFold(s.Name, s.Locator(len(s.Name))) {
		text = s.Name + " " + text
	}
	return text
}

func (c *dialCard) dateText() string {
	if c.local {
		return c.pass.AOS.Local().Format("Monday 2 January 2006, MST")
	}
	return c.pass.AOS.UTC().Format("Monday 2 January 2006") + ", UTC"
}

// passLine says when and where the bird goes.
func (c *dialCard) passLine() string {
	p := c.pass
	return fmt.Sprintf("Up %s from %.0f°, highest %.0f° at %s, down %s to %.0f°: %s long",
		clockOfDay(p.AOS, c.local), p.AOSAzimuthDeg, p.MaxElevationDeg, clockOfDay(p.Max, c.local),
		clockOfDay(p.LOS, c.local), p.LOSAzimuthDeg, minutesText(p.LOS.Sub(p.AOS)))
}

// ruleLine says which dial to turn and which to leave.
func (c *dialCard) ruleLine() string {
	held := megahertz(roundTo(c.heldHz, c.radioStep), c.radioStep)
	switch c.rule {
	case ruleUplink:
		return "Turn the uplink. Receive stays on " + held
	case ruleDownlink:
		return "Turn the receive dial. Uplink stays on " + held
	}
	return "Turn both. At the satellite you stay on " + held
}

// sidebandLine names both sidebands.
func (c *dialCard) sidebandLine() string {
	kind := "inverting"
	if !c.link.Inverting {
		kind = "not inverting"
	}
	return fmt.Sprintf("%s up, %s down (%s)", c.link.UplinkSideband, c.link.DownlinkSideband, kind)
}

// edgeLines give the passband at the satellite.
func (c *dialCard) edgeLines() [2]string {
	t := c.link
	return [2]string{
		fmt.Sprintf("up %s to %s", shortMegahertz(t.UplinkLowHz), shortMegahertz(t.UplinkHighHz)),
		fmt.Sprintf("down %s to %s", shortMegahertz(t.DownlinkLowHz), shortMegahertz(t.DownlinkHighHz)),
	}
}

func shortMegahertz(hz float64) string { return fmt.Sprintf("%.3f", hz/1e6) }

// sum is the check that needs no computer: at closest approach there is no
// Doppler, so both dials add up to the transponder's constant.
func (c *dialCard) sum() (words, hz string) {
	hz = megahertz(roundTo(math.Abs(c.sumHz+c.correctionSum()), c.radioStep), c.radioStep)
	switch {
	case c.link.Inverting:
		return "uplink + downlink", hz
	case c.sumHz < 0:
		return "uplink - downlink", hz
	}
	return "downlink - uplink", hz
}

// correctionSum is what the correction adds to the sum (or difference) of the dials.
func (c *dialCard) correctionSum() float64 {
	if !c.link.Inverting && c.rule != ruleDownlink {
		return -c.correction
	}
	return c.correction
}

// workLine says how hard the pass is.
func (c *dialCard) workLine() string {
	return fmt.Sprintf("%s, up to %.0f Hz/s at %s, %.1f kHz in all", c.drift.difficulty(), c.drift.peakHzS,
		clockOfDay(c.drift.peakAt, c.local), math.Abs(c.drift.netHz)/1e3)
}

// correctionLine says what was added to the turned dial and how it is rounded.
func (c *dialCard) correctionLine() string {
	dial := "uplink"
	if c.rule == ruleDownlink {
		dial = "receive dial"
	}
	return fmt.Sprintf("%+.0f Hz on the %s, rounded to %.0f Hz", c.correction, dial, c.radioStep)
}

// ageLine says how old the elements are and what that can cost.
func (c *dialCard) ageLine() string {
	return fmt.Sprintf("%s; by that up to %.0f Hz off at TCA", c.age.daysText(), c.ageHz)
}

func (a setAge) daysText() string {
	if a.beforeDays > plainBeforeDays {
		return fmt.Sprintf("used %.1f days before their epoch", a.beforeDays)
	}
	return fmt.Sprintf("%.1f days old", a.afterDays)
}

// facts are the lines over the table of the text form.
func (c *dialCard) facts() []string {
	edges := c.edgeLines()
	words, hz := c.sum()
	return []string{
		c.passLine(),
		c.ruleLine() + "; " + c.sidebandLine(),
		"Passband " + edges[0] + ", " + edges[1] + " MHz",
		"Check at TCA: " + words + " = " + hz,
		"To hold: " + c.workLine(),
		"Correction " + c.correctionLine(),
		"Elements " + c.ageLine(),
	}
}
