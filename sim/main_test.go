package sim

import (
	"flag"
	"os"
	"testing"

	"driftdrill/testdata/race"
)

// TestMain asks for fewer draws of the property tests than their library's
// hundred: each flies three runs.
func TestMain(m *testing.M) {
	flag.Parse()
	checks := "40"
	if race.On {
		checks = "5"
	}
	given := false
	flag.Visit(func(f *flag.Flag) { given = given || f.Name == "rapid.checks" })
	if !given {
		if err := flag.Set("rapid.checks", checks); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}
