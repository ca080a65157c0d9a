//go:build !nodesk

package deskwire

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim/card/cardpdf"
)

// ownSet writes a set of today, of a bird that nobody has the plan of.
func ownSet(t *testing.T, age time.Duration) string {
	t.Helper()
	sets, err := trainer.ReadBundledElements(trainer.BundledElements)
	if err != nil {
		t.Fatal(err)
	}
	e := sets[0]
	e.Name, e.Catalog, e.Epoch = "KNOT-5", 99910, time.Now().UTC().Add(-age)
	one, two := e.TLE()
	file := filepath.Join(t.TempDir(), "own.tle")
	if err := os.WriteFile(file, []byte("KNOT-5\n"+one+"\n"+two+"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

// firstPass is the first pass that the page of passes shows.
func firstPass(t *testing.T, w *wiring) port.PassEntry {
	t.Helper()
	all, err := w.passes(t.Context(), port.PassQuery{Elements: w.settings.Elements, Days: 2, AboveDeg: 5}, func(int, int) {})
	if err != nil || len(all) == 0 {
		t.Fatal(len(all), err)
	}
	return all[0]
}

// A bird without a plan is judged and flown by bands that were chosen by hand,
// says so everywhere, and has a dial card from then on, with what is kept of
// its correction; before, it has none of these.
func TestByHandOnThePasses(t *testing.T) {
	w := withFolders(t)
	w.settings.Elements = ownSet(t, 12*time.Hour)
	p := firstPass(t, w)
	if !p.NoPlan || p.Worth || p.Rule != "" || !strings.Contains(p.WorthWhy, "no plan") || !strings.Contains(p.Age, "s early or late") {
		t.Errorf("without a plan: %+v", p)
	}
	if _, err := w.dialCard(t.Context(), p.Key, "", 1); err == nil || !strings.Contains(err.Error(), "by hand") {
		t.Errorf("a card without a plan: %v", err)
	}
	if _, there := w.bandsByHand("KNOT-5", 99910); there {
		t.Error("bands are there that nobody chose")
	}
	if err := w.keepBandsByHand(port.BandsByHand{Bird: "KNOT-5", Catalog: 99910, UplinkHz: 435_140_000, DownlinkHz: 145_930_000, Inverting: true}); err != nil {
		t.Fatal(err)
	}
	if b, there := w.bandsByHand("KNOT-5", 99910); !there || b.UplinkHz != 435_140_000 || !b.Inverting {
		t.Errorf("kept: %+v", b)
	}
	p = firstPass(t, w)
	if p.NoPlan || !p.ByHand || p.Rule != "uplink" || p.TopRateHzS == 0 || !strings.Contains(p.Age, "Hz off") {
		t.Errorf("by hand: %+v", p)
	}
	setup, err := w.chosenPass(t.Context(), port.RunRequest{Drill: "first-hold", Pass: p.Key, Seed: 1})
	if err != nil || setup.BirdFrom != "bands by hand: uplink 435.140, downlink 145.930 MHz, inverting" {
		t.Errorf("flown: %v, %q", err, setup.BirdFrom)
	}
	sum := func() float64 {
		t.Helper()
		c, err := w.card(t.Context(), p.Key, "", 1, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range c.Rows {
			if r.Mark == "TCA" {
				return r.UplinkHz + r.DownlinkHz
			}
		}
		t.Fatal("no TCA")
		return 0
	}
	if got := sum(); math.Abs(got-581_070_000) > 10 { // at TCA there is no Doppler: both middles add up
		t.Errorf("the dials add up to %.0f", got)
	}
	w.Flock.Corrections = func() []trainer.Correction {
		return []trainer.Correction{{Bird: "KNOT-5", Transponder: 1, ErrorHz: 400, SDHz: 5}}
	}
	if got := sum(); math.Abs(got-581_070_400) > 10 {
		t.Errorf("with what is kept they add up to %.0f", got)
	}
	c, err := w.dialCard(t.Context(), p.Key, "downlink", 1)
	if err != nil || c.Rule != "downlink" || len(c.Rows) < 5 || c.Facts[0][1] != "Turn the receive dial. Uplink stays on 435.140 00" || c.Facts[5][1] != "+400 Hz on the receive dial, rounded to 10 Hz" {
		t.Errorf("the card: %v, %+v", err, c)
	}
	w.Kept, w.CardPage = t.TempDir(), cardpdf.New
	where, err := w.keepDialCard(t.Context(), p.Key, "", 1)
	if err != nil {
		t.Fatal(err)
	}
	if page, _ := os.ReadFile(where); !bytes.HasPrefix(page, []byte("%PDF-")) || filepath.Dir(where) != w.Kept {
		t.Errorf("%s: %.20q", where, page)
	}
}

// A bird with several transponders has a card for each, with the correction that
// is kept of that one, at the station where one is.
func TestDialCardOfTheSecondTransponder(t *testing.T) {
	w := withFolders(t)
	w.settings.Station = "hill"
	disk := w.Store.(trainer.Disk)
	w.Flock.Corrections = func() []trainer.Correction { all, _ := disk.Corrections(); return all }
	w.Flock.Station = func() string { return w.set().Station }
	all, err := w.passes(t.Context(), port.PassQuery{Days: 2, AboveDeg: 5}, func(int, int) {})
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(all, func(e port.PassEntry) bool { return e.Bird == "DIPPER-2" })
	if _, err := w.correctionPages().NoteCorrection("DIPPER-2", 2, "-310"); err != nil {
		t.Fatal(err)
	}
	for number, want := range map[int]string{1: "none is kept, at hill", 2: "-310 Hz on the receive dial"} {
		c, err := w.dialCard(t.Context(), all[i].Key, "", number)
		if err != nil || len(c.Links) != 2 {
			t.Fatal(c, err)
		}
		at := slices.IndexFunc(c.Facts, func(f [2]string) bool { return f[0] == "correction" })
		if got := c.Facts[at][1]; !strings.HasPrefix(got, want) || !strings.HasSuffix(got, ", at hill") {
			t.Errorf("transponder %d: %q", number, got)
		}
		if rule := []string{"uplink", "downlink"}[number-1]; c.Rule != rule { // 70 cm is the higher band
			t.Errorf("transponder %d: turn the %s", number, c.Rule)
		}
	}
	for _, none := range []int{0, 3} {
		if _, err := w.dialCard(t.Context(), all[i].Key, "", none); err == nil {
			t.Errorf("there is a card of transponder %d", none)
		}
	}
}
