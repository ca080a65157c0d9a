package birdform

import (
	"fmt"

	"driftdrill/sim"
)

// Band is a band as amateurs call it by its wavelength, else its megahertz: the
// allocations of Region 1 (ITU Radio Regulations, Article 5), widened to those of
// the other regions.
func Band(hz float64) string {
	for _, b := range []struct {
		low, high float64
		name      string
	}{{28, 29.7, "10 m"}, {144, 148, "2 m"}, {219, 225, "1.25 m"}, {430, 450, "70 cm"}, {1240, 1300, "23 cm"}, {2300, 2450, "13 cm"},
		{5650, 5925, "6 cm"}, {10000, 10500, "3 cm"}} {
		if hz >= b.low*1e6 && hz <= b.high*1e6 {
			return b.name
		}
	}
	return fmt.Sprintf("%.0f MHz", hz/1e6)
}

// Bands says which bands a transponder joins, and how.
func Bands(t *sim.Transponder) string {
	kind := "inverting"
	if !t.Inverting {
		kind = "straight"
	}
	return Band(t.UplinkLowHz) + " up, " + Band(t.DownlinkLowHz) + " down, " + kind
}

// Turn says which dial the trade's rule turns: the higher band's.
func Turn(t *sim.Transponder) string {
	if t.HandRule() == "uplink" {
		return "Turn the uplink, " + Band(t.UplinkLowHz)
	}
	return "Turn the receive dial, " + Band(t.DownlinkLowHz)
}

// Sidebands says what its users set.
func Sidebands(t *sim.Transponder) string {
	return "Uplink " + t.UplinkSideband + ", downlink " + t.DownlinkSideband + "."
}

// Sum says what uplink and downlink have to do with one another.
func Sum(t *sim.Transponder) string {
	if t.Inverting {
		return fmt.Sprintf("Sum %s MHz: 1 kHz up on the receiver is 1 kHz down on the uplink.", MHz(t.Constant()))
	}
	return fmt.Sprintf("Downlink less uplink %s MHz: 1 kHz up on the receiver is 1 kHz up on the uplink.", MHz(t.Constant()))
}
