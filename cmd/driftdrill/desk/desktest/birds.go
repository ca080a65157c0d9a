//go:build !nodesk

package desktest

import (
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// Birds are made-up birds: one of one's own and some in the program.
func Birds() []port.Bird {
	bird := func(name string, catalog int, upLow, downLow, width float64, inverting bool) port.Bird {
		t := sim.Transponder{Inverting: inverting, UplinkLowHz: upLow, UplinkHighHz: upLow + width, DownlinkLowHz: downLow, DownlinkHighHz: downLow + width,
			UplinkSideband: "USB", DownlinkSideband: "USB"}
		if inverting {
			t.UplinkSideband = "LSB"
		}
		return port.Bird{Bird: sim.Bird{Name: name, Catalog: catalog, Transponders: []sim.Transponder{t},
			Antenna: sim.BirdAntenna{Polarisation: "linear"}, Power: sim.BirdPower{InEclipse: "off"}}}
	}
	own := bird("KNOT-5", 99910, 435_120_000, 145_910_000, 40_000, true)
	own.File = "/home/q3fen/.config/driftdrill/birds/knot-5.toml"
	own.Beacon = &sim.Beacon{FrequencyHz: 145_907_000, Kind: "carrier", WPM: 12}
	two := bird("DIPPER-2", 99902, 145_930_000, 435_610_000, 50_000, true)
	two.Transponders = append(two.Transponders, two.Transponders[0])
	return []port.Bird{own, two, bird("STILT-4", 99904, 29_400_000, 145_900_000, 30_000, false)}
}
