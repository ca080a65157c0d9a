package trainer

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Bands that were chosen by hand are flown as chosen, the sheet says so, and a
// plan that is typed in later comes before them.
func TestBandsByHand(t *testing.T) {
	f := Flock{Folder: filepath.Join(t.TempDir(), "birds")}
	sets, err := ReadBundledElements(BundledElements)
	if err != nil {
		t.Fatal(err)
	}
	e := sets[0]
	e.Name, e.Catalog = "KNOT-5", 99910
	if err := f.KeepByHand(ByHand{Name: "KNOT-5", Catalog: 99910, UplinkHz: 145_960_000, DownlinkHz: 435_625_000}); err != nil {
		t.Fatal(err)
	}
	if err := f.KeepByHand(ByHand{Name: "knot-5", UplinkHz: 145_950_000, DownlinkHz: 435_620_000}); err != nil { // another choice for the same bird
		t.Fatal(err)
	}
	bird, from, err := f.For(e)
	if err != nil || from != "bands by hand: uplink 145.950, downlink 435.620 MHz, straight" {
		t.Fatal(from, err)
	}
	tr := bird.Transponders[0]
	if len(bird.Transponders) != 1 || tr.Inverting || tr.UplinkSideband != "USB" || tr.UplinkLowHz+tr.UplinkHighHz != 2*145_950_000 || tr.DownlinkLowHz+tr.DownlinkHighHz != 2*435_620_000 || bird.Beacon != nil {
		t.Errorf("%+v", bird)
	}
	flight := Flight{Drill: "first-hold", Birds: f, Elements: sets[:1], Pass: "1", Seed: 1}
	flight.Elements = append(flight.Elements[:0:0], e)
	setup, err := flight.Prepare()
	if err != nil || setup.BirdFrom != from || flight.StandIn() != "" {
		t.Errorf("flown from the command line: %v, %q, %q", err, setup.BirdFrom, flight.StandIn())
	}
	if k, err := f.Find("99910"); err == nil || k.ByHand != nil { // the second choice has no number
		t.Errorf("by a number that was not given: %+v, %v", k.ByHand, err)
	}
	if k, err := f.Find("KNOT-5"); err != nil || k.ByHand == nil {
		t.Errorf("by name: %v", err)
	}
	if _, err := f.Add([]byte("name = \"KNOT-5\"\n[[transponder]]\ninverting = true\nuplink_low_hz = 435_120_000\nuplink_high_hz = 435_160_000\ndownlink_low_hz = 145_910_000\ndownlink_high_hz = 145_950_000\n"), "typed", false); err != nil {
		t.Fatal(err)
	}
	if bird, from, err = f.For(e); err != nil || from != "own: knot-5.toml" || !bird.Transponders[0].Inverting {
		t.Errorf("with a plan: %q, %v", from, err)
	}
	if was, err := f.ForgetByHand("KNOT-5", 0); err != nil || !was {
		t.Error(was, err)
	}
	if was, err := f.ForgetByHand("KNOT-5", 0); err != nil || was {
		t.Error("forgotten twice", was, err)
	}
}

// What no transponder can be is refused with a reason, and so is a file that
// somebody broke; it stays as it is.
func TestBandsThatCannotBe(t *testing.T) {
	f := Flock{Folder: filepath.Join(t.TempDir(), "birds")}
	for _, b := range []ByHand{{Name: "KNOT-5", UplinkHz: 1e6, DownlinkHz: 145.9e6}, {Name: "", UplinkHz: 435e6, DownlinkHz: 145.9e6}, {Name: "KNOT-5", UplinkHz: 435e6, DownlinkHz: 30e9}} {
		if err := f.KeepByHand(b); err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%+v: %v", b, err)
		}
	}
	file := f.byHandFile()
	if err := os.WriteFile(file, []byte("[{"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := f.KeepByHand(ByHand{Name: "KNOT-5", UplinkHz: 435.14e6, DownlinkHz: 145.9e6}); err == nil || !strings.Contains(err.Error(), file) {
		t.Errorf("a broken file: %v", err)
	}
	if text, _ := os.ReadFile(file); string(text) != "[{" {
		t.Errorf("it holds %q now", text)
	}
}

func FuzzByHand(f *testing.F) {
	f.Add([]byte(`[{"bird":"KNOT-5","catalog":99910,"uplink_hz":435140000,"downlink_hz":145930000,"inverting":true}]`))
	f.Add([]byte(`[{"bird":"KNOT-5","uplink_hz":1e400}]`))
	f.Add([]byte("null"))
	f.Fuzz(func(t *testing.T, text []byte) {
		all, err := parseByHand(text, "bands")
		if err != nil && strings.Contains(err.Error(), "\n") {
			t.Errorf("more than a line: %v", err)
		}
		for i := range all {
			if b, err := all[i].Bird(); err != nil || len(b.Transponders) != 1 {
				t.Errorf("taken and not to be flown: %v", err)
			}
		}
	})
}

// Bands by hand are a passband of 40 kHz about the middles that were chosen, and
// a bird that inverts is spoken to on the lower sideband.
func TestBandsByHandAreABird(t *testing.T) {
	for _, inverting := range []bool{true, false} {
		choice := ByHand{Name: " KNOT-5 ", Catalog: 99910, UplinkHz: 435.15e6, DownlinkHz: 145.9e6, Inverting: inverting}
		b, err := choice.Bird()
		if err != nil {
			t.Fatal(err)
		}
		tr := b.Transponders[0]
		side, kind := "USB", "straight"
		if inverting {
			side, kind = "LSB", "inverting"
		}
		if b.Name != "KNOT-5" || b.Catalog != 99910 || b.Spin != nil || tr.UplinkLowHz != 435.13e6 || tr.UplinkHighHz != 435.17e6 || tr.DownlinkLowHz != 145.88e6 || tr.DownlinkHighHz != 145.92e6 || tr.UplinkSideband != side || tr.DownlinkSideband != "USB" || tr.OscillatorHz != 0 {
			t.Errorf("%+v", b)
		}
		if want := "Bands chosen by hand: uplink 435.150, downlink 145.900 MHz, " + kind + "."; b.About != want {
			t.Errorf("%q, want %q", b.About, want)
		}
	}
	b := ByHand{Name: "KNOT-5", Catalog: 99910}
	none := ByHand{Name: "KNOT-5"}
	if !b.Of("knot-5 ", 0) || !b.Of("another", 99910) || b.Of("another", 99911) || none.Of("another", 0) {
		t.Error("a choice is of another bird, or not of its own")
	}
	if err := (Flock{}).KeepByHand(b); err == nil {
		t.Error("kept without a folder")
	}
	if _, err := parseByHand([]byte(`[{"bird":"KNOT-5","uplink_hz":435140000,"downlink_hz":145930000},{"bird":"","uplink_hz":1,"downlink_hz":1}]`), "x"); err == nil || !strings.Contains(err.Error(), "entry 2 makes") {
		t.Error(err)
	}
}

// Bands are kept beside others', found by the bird's number, and forgotten alone.
func TestBandsOfTwoBirds(t *testing.T) {
	f := Flock{Folder: filepath.Join(t.TempDir(), "birds")}
	for _, b := range []ByHand{{Name: "KNOT-5", Catalog: 99910, UplinkHz: 435.15e6, DownlinkHz: 145.9e6}, {Name: "WREN", UplinkHz: 435.15e6, DownlinkHz: 145.9e6}} {
		if err := f.KeepByHand(b); err != nil {
			t.Fatal(err)
		}
	}
	if k, err := f.Find("99910"); err != nil || k.Name != "KNOT-5" || k.ByHand == nil {
		t.Errorf("%+v, %v", k, err)
	}
	if k, err := f.Find("wren"); err != nil || k.Name != "WREN" {
		t.Errorf("%+v, %v", k, err)
	}
	if was, err := f.ForgetByHand("KNOT-5", 0); !was || err != nil {
		t.Error(was, err)
	}
	if left, err := f.BandsByHand(); err != nil || len(left) != 1 || left[0].Name != "WREN" {
		t.Errorf("%+v, %v", left, err)
	}
}
