package orbit_test

import (
	"fmt"
	"strings"
	"time"

	"driftdrill/orbit"
)

// An invented bird.
const lark = `LARK-1
1 99901U 26901A   26324.12345678  .00001250  00000+0  71000-4 0  1002
2 99901  97.4012  21.3345 0011234  84.1234 276.1240 15.20279803 12343
`

func ExampleFindPasses() {
	sets, _ := orbit.ReadElements(strings.NewReader(lark), "lark.txt")
	bird, err := orbit.NewPropagator(sets[0])
	if err != nil {
		fmt.Println(err)
		return
	}
	site, _ := orbit.ParseSite("47.37,8.54,408")
	from := time.Date(2026, 11, 21, 0, 0, 0, 0, time.UTC)
	passes, _ := orbit.FindPasses(bird, site, from, from.Add(12*time.Hour), orbit.PassOptions{MinElevationDeg: 5})
	for _, p := range passes {
		fmt.Printf("%s up %s, %.1f deg high at %s, down %s\n", p.Bird,
			p.AOS.Format("15:04:05"), p.MaxElevationDeg, p.Max.Format("15:04:05"), p.LOS.Format("15:04:05"))
	}
	// Output:
	// LARK-1 up 07:56:20, 8.9 deg high at 07:58:53, down 08:01:26
	// LARK-1 up 09:28:38, 75.8 deg high at 09:33:14, down 09:37:49
	// LARK-1 up 11:04:16, 7.6 deg high at 11:06:21, down 11:08:26
}

func ExampleObserver_Look() {
	sets, _ := orbit.ReadElements(strings.NewReader(lark), "lark.txt")
	bird, err := orbit.NewPropagator(sets[0])
	if err != nil {
		fmt.Println(err)
		return
	}
	site, _ := orbit.ParseSite("JN47gi")
	look, _ := orbit.NewObserver(bird, site, 0).Look(time.Date(2026, 11, 21, 9, 30, 0, 0, time.UTC))
	fmt.Printf("look to %.1f deg, %.1f deg up: %.0f km away, closing at %.2f km/s\n",
		look.AzimuthDeg, look.ElevationDeg, look.RangeKm, -look.RangeRateKmS)
	// Output: look to 9.1 deg, 13.0 deg up: 1532 km away, closing at 6.92 km/s
}

func ExampleParseLocator() {
	lat, lon, _ := orbit.ParseLocator("JN58td")
	fmt.Printf("%.4f %.4f\n", lat, lon)
	fmt.Println(orbit.Site{LatDeg: 48.14666, LonDeg: 11.60833}.Locator(8))
	// Output:
	// 48.1458 11.6250
	// JN58td25
}
