package sim_test

import (
	"io/fs"
	"testing"

	"driftdrill/assets"
	"driftdrill/sim"

	"github.com/google/go-cmp/cmp"
)

// What is written as a bird file is read as the same bird: nothing that a file
// can say is lost, whatever is left out as usual.
func TestBirdsAreWrittenAsTheyWereRead(t *testing.T) {
	files, _ := fs.Glob(assets.FS, "birds/*.toml")
	if len(files) < 4 {
		t.Fatalf("only %d bird files", len(files))
	}
	plain := `name = "RUFF-8"
[[transponder]]
inverting = false
uplink_low_hz = 29_400_000.5
uplink_high_hz = 29_440_000.5
downlink_low_hz = 145_900_000
downlink_high_hz = 145_940_000
`
	texts := map[string]string{"plain": plain}
	for _, f := range files {
		data, err := assets.FS.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		texts[f] = string(data)
	}
	for name, text := range texts {
		want, err := sim.ParseBird([]byte(text), name)
		if err != nil {
			t.Fatal(err)
		}
		written, err := sim.FormatBird(want)
		if err != nil {
			t.Fatal(err)
		}
		got, err := sim.ParseBird(written, name)
		if err != nil {
			t.Fatalf("%s: %v\n%s", name, err, written)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s:\n%s\n%s", name, diff, written)
		}
		if name == "plain" && len(written) > len(plain)+40 {
			t.Errorf("a plain bird is written as\n%s", written)
		}
	}
}
