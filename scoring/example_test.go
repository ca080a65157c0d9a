package scoring_test

import (
	"fmt"
	"strings"
	"time"

	"driftdrill/assets"
	"driftdrill/orbit"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// The hand that always knows where zero beat is earns nearly everything, one
// that never turns nearly nothing.
func ExampleMarkHand() {
	read := func(name string) []byte {
		text, err := assets.FS.ReadFile(name)
		if err != nil {
			panic(err)
		}
		return text
	}
	drill, _ := sim.ParseDrill(read("drills/top-of-the-pass.toml"), "top-of-the-pass.toml")
	bird, _ := sim.ParseBird(read("birds/"+drill.Bird+".toml"), drill.Bird)
	sets, _ := orbit.ReadElements(strings.NewReader(string(read("elements/demo.tle"))), "demo.tle")
	elements, _ := orbit.Find(sets, bird.Name)
	hill, _ := orbit.ParseSite("50,8,150")
	setup, err := sim.Prepare(drill, bird, elements, hill, time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC), 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, name := range []string{"perfect", "none"} {
		hand, _ := sim.NewHand(name, 1, &setup)
		marks, _, _ := scoring.MarkHand(setup, hand)
		fmt.Printf("%s: above 950: %t, below 100: %t\n", name, marks.HoldIndex > 950, marks.HoldIndex < 100)
	}
	// Output:
	// perfect: above 950: true, below 100: false
	// none: above 950: false, below 100: true
}
