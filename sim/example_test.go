package sim_test

import (
	"fmt"

	"driftdrill/sim"
)

// Where the uplink dial must stand so that one hears oneself true at
// 145.900 MHz, as an inverting bird comes, is nearest, and goes.
func ExampleTransponder_ZeroBeat() {
	bird := sim.Transponder{
		Inverting:   true,
		UplinkLowHz: 435_130_000, UplinkHighHz: 435_170_000,
		DownlinkLowHz: 145_880_000, DownlinkHighHz: 145_920_000,
	}
	for _, rangeRateKmS := range []float64{-7, 0, 7} {
		beta := rangeRateKmS * 1000 / sim.SpeedOfLight
		fmt.Printf("%+.0f km/s: %.0f Hz\n", rangeRateKmS, bird.ZeroBeat(145_900_000, beta, bird.Constant()))
	}
	// Output:
	// -7 km/s: 435143246 Hz
	// +0 km/s: 435150000 Hz
	// +7 km/s: 435156754 Hz
}

// A bird file is read strictly: a mistake is told with file, line and column.
func ExampleParseBird() {
	_, err := sim.ParseBird([]byte("name = \"LARK-1\"\ncolour = \"brown\"\n"), "lark-1.toml")
	fmt.Println(err)
	// Output:
	// lark-1.toml:2:1: unknown key "colour"; take it out or correct its spelling
}
