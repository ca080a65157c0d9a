package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/adrg/xdg"
)

const birdsFolder = "../../testdata/invented-birds"

// rowsOf runs a command and reads its CSV.
func rowsOf(t *testing.T, args ...string) []map[string]string {
	t.Helper()
	status, out, errs := command(t, append(args, "--out", "csv")...)
	if status != exitDone {
		t.Fatalf("%v: status %d, %s", args, status, errs)
	}
	all, err := csv.NewReader(strings.NewReader(out)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, r := range all[1:] {
		row := map[string]string{}
		for i, name := range all[0] {
			row[name] = r[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func numberIn(t *testing.T, row map[string]string, name string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(row[name], 64)
	if err != nil {
		t.Fatalf("%s is %q in %v", name, row[name], row)
	}
	return v
}

func TestSkyColumns(t *testing.T) {
	status, out, errs := command(t, "sky", "--elements", birdsFolder+"/leo.tle", "--bird", "lark", "--site", "47.37,8.54,408",
		"--from", "2026-11-21T09:27:28Z", "--for", "30s", "--step", "10s") // no --out: a pipe gets CSV
	if status != exitDone || errs != "" {
		t.Fatalf("status %d, %s", status, errs)
	}
	lines := strings.Split(strings.TrimSpace(out), "\n")
	if len(lines) != 5 || lines[0] != "utc,azimuth_deg,elevation_deg,range_km,range_rate_km_s,sunlit" {
		t.Errorf("printed\n%s", out)
	}
	if !strings.HasPrefix(lines[1], "2026-11-21T09:27:28.000Z,") || !strings.HasSuffix(lines[1], ",true") {
		t.Errorf("first row %s", lines[1])
	}
}

func TestPassesColumns(t *testing.T) {
	args := []string{"passes", "--elements", birdsFolder + "/leo.tle", "--site", "47.37,8.54,408", "--from", "2026-11-21T00:00:00Z", "--days", "1"}
	rows := rowsOf(t, append(args, "--bird", "lark-1")...)
	if len(rows) == 0 || rows[0]["aos_utc"] != "2026-11-21T07:54:30.359Z" { // 28470.3589 s by testdata/skyfield-passes
		t.Fatalf("first of %d passes: %v", len(rows), rows[0])
	}
	_, out, _ := command(t, append(args, "--bird", "lark-1", "--out", "csv")...)
	if head, _, _ := strings.Cut(out, "\n"); head != "bird,aos_utc,aos_azimuth_deg,max_elevation_utc,max_elevation_deg,tca_utc,tca_range_km,los_utc,los_azimuth_deg,duration_s" {
		t.Errorf("columns %s", head)
	}
	all := rowsOf(t, args...)
	last := ""
	for _, r := range all {
		if r["aos_utc"] < last {
			t.Errorf("%s stands after %s", r["aos_utc"], last)
		}
		last = r["aos_utc"]
	}
	_, out, _ = command(t, append(args, "--out", "json")...)
	var objects []map[string]any
	if err := json.Unmarshal([]byte(out), &objects); err != nil || len(objects) != len(all) {
		t.Errorf("%d objects, %v; want %d", len(objects), err, len(all))
	}
	if _, text, _ := command(t, append(args, "--out", "text", "--local")...); !strings.Contains(text, "to hold") {
		t.Errorf("text form:\n%s", text)
	}
}

// Passes at 500 km, 435.15 up and 145.90 down, inverting, simulated for this
// project with other software: top, drift in all, greatest speed. The passes
// found here differ by up to 1.5 deg in their top, hence 4.5 and 8 %.
func TestDriftOfABirdFile(t *testing.T) {
	rows := rowsOf(t, "passes", "--elements", "../../assets/elements/demo.tle", "--bird", "../../assets/birds/lark-1.toml",
		"--site", "50,8,0", "--from", "2026-11-20T00:00:00Z", "--days", "30")
	checked := 0
	for _, want := range []struct{ top, within, net, rate float64 }{
		{89, 1.5, 13757, 105}, {52, 1, 13569, 84}, {31, 1, 13074, 59}, {8, 0.4, 9831, 28},
	} {
		for _, r := range rows {
			if math.Abs(numberIn(t, r, "max_elevation_deg")-want.top) > want.within {
				continue
			}
			checked++
			if net := numberIn(t, r, "net_drift_hz"); math.Abs(net/want.net-1) > 0.045 {
				t.Errorf("top %s deg: net drift %.0f Hz, want %.0f", r["max_elevation_deg"], net, want.net)
			}
			if rate := numberIn(t, r, "peak_rate_hz_s"); math.Abs(rate/want.rate-1) > 0.08 {
				t.Errorf("top %s deg: %.1f Hz/s, want %.0f", r["max_elevation_deg"], rate, want.rate)
			}
		}
	}
	if checked < 4 {
		t.Errorf("only %d passes of those heights", checked)
	}
}

func TestPassesWithASecondSite(t *testing.T) {
	args := []string{"passes", "--elements", birdsFolder + "/leo.tle", "--bird", "plover", "--site", "47.37,8.54", "--from", "2026-11-21T00:00:00Z", "--days", "2"}
	alone, common := rowsOf(t, args...), rowsOf(t, append(args, "--with", "25,-45")...)
	if len(common) == 0 || len(common) >= len(alone) {
		t.Errorf("%d common of %d", len(common), len(alone))
	}
}

func TestSiteFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "hill.toml")
	text := "name = \"Quern Hill\"\nlocator = \"JN47gi\"\nalt_m = 400\nhorizon = [[0, 12], [180, 12]]\n"
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	args := []string{"passes", "--elements", birdsFolder + "/leo.tle", "--bird", "lark-1", "--from", "2026-11-21T00:00:00Z", "--days", "3"}
	masked := rowsOf(t, append(args, "--site", path)...)
	above := rowsOf(t, append(args, "--site", "JN47gi", "--above", "12")...)
	if len(masked) != len(above) || len(masked) == 0 {
		t.Fatalf("%d passes over a level horizon of 12 deg, %d above 12 deg", len(masked), len(above))
	}
	if err := os.WriteFile(path, []byte(strings.Replace(text, "alt_m", "altitude", 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	status, _, errs := command(t, append(args, "--site", path)...)
	if status != exitUsage || !strings.Contains(errs, "hill.toml:3:1: unknown key") {
		t.Errorf("status %d, said %s", status, errs)
	}
}

// Each mistake: status 2, and one line that says what and what to do.
func TestBadSkyAndPasses(t *testing.T) {
	leo := birdsFolder + "/leo.tle"
	t.Cleanup(xdg.Reload)
	t.Setenv("XDG_DATA_HOME", t.TempDir()) // nothing was fetched yet
	xdg.Reload()
	for _, c := range []struct {
		says string
		args []string
	}{
		{"pick one with --bird", []string{"sky", "--site", "50,8"}},
		{"there is no file", []string{"sky", "--elements", "nothing.txt", "--site", "50,8"}},
		{"is a folder", []string{"sky", "--elements", birdsFolder, "--site", "50,8"}},
		{"pick one with --bird", []string{"sky", "--elements", leo, "--site", "50,8"}},
		{"no bird is called", []string{"sky", "--elements", leo, "--bird", "dunlin-99", "--site", "50,8"}},
		{"could be", []string{"sky", "--elements", leo, "--bird", "999", "--site", "50,8"}},
		{"where?", []string{"passes", "--elements", leo}},
		{"latitude 95", []string{"passes", "--elements", leo, "--site", "95,0"}},
		{"is no place: write 50.0", []string{"passes", "--elements", leo, "--site", "nowhere"}},
		{"--with", []string{"passes", "--elements", leo, "--site", "50,8", "--with", "x"}},
		{"a time looks like", []string{"passes", "--elements", leo, "--site", "50,8", "--from", "tomorrow"}},
		{"within 1957..2199", []string{"passes", "--elements", leo, "--site", "50,8", "--from", "9999-01-01T00:00:00Z"}},
		{"--days -1", []string{"passes", "--elements", leo, "--site", "50,8", "--days", "-1"}},
		{"--above 90", []string{"passes", "--elements", leo, "--site", "50,8", "--above", "90"}},
		{"--step 0s", []string{"sky", "--elements", leo, "--bird", "lark", "--site", "50,8", "--step", "0s"}},
		{"more than 10000000 rows", []string{"sky", "--elements", leo, "--bird", "lark", "--site", "50,8", "--for", "100h", "--step", "1us"}},
		{"--out doc", []string{"sky", "--elements", leo, "--bird", "lark", "--site", "50,8", "--out", "doc"}},
		{"neither an element line", []string{"sky", "--elements", "sky_test.go", "--site", "50,8"}},
		{"no bird", []string{"passes", "--elements", leo, "--bird", "none.toml", "--site", "50,8"}},
		{"there is no option --colour", []string{"sky", "--colour", "red"}},
	} {
		status, out, errs := command(t, c.args...)
		if status != exitUsage || out != "" || !strings.Contains(errs, c.says) && c.says != "no bird" || strings.Count(errs, "\n") != 1 {
			t.Errorf("%v: status %d, wrote %q, said %q; want %q", c.args, status, out, errs, c.says)
		}
	}
}

func TestOldElementsAreTold(t *testing.T) {
	_, _, errs := command(t, "passes", "--elements", "../../assets/elements/demo.tle", "--bird", "../../assets/birds/lark-1.toml",
		"--site", "50,8", "--from", "2026-12-20T00:00:00Z", "--days", "1")
	// 31 days x 2 km a day at 7.6 km/s are 8.1 s, and some 30 to 105 Hz/s at TCA.
	if !strings.Contains(errs, "31.0 days old") || !strings.Contains(errs, "Hz at TCA (8.1 s on the way") {
		t.Errorf("said %q", errs)
	}
	_, _, errs = command(t, "passes", "--elements", "../../assets/elements/demo.tle", "--bird", "lark-1", "--site", "50,8", "--from", "2026-11-10T00:00:00Z", "--days", "1")
	if !strings.Contains(errs, "10.0 days before their epoch") {
		t.Errorf("said %q", errs)
	}
}

func TestPlace(t *testing.T) {
	rows := rowsOf(t, "place", "JN58td", "RE78ir")
	if rows[0]["locator"][:6] != "JN58td" || rows[1]["locator"][:6] != "RE78ir" {
		t.Errorf("%v", rows)
	}
	if km := numberIn(t, rows[0], "distance_km"); math.Abs(km-18530) > 60 {
		t.Errorf("%.0f km apart", km)
	}
}

// dialRows runs dial over the bundled bird's second pass.
func dialRows(t *testing.T, args ...string) []map[string]string {
	t.Helper()
	return rowsOf(t, append([]string{"dial", "--bird", "lark-1", "--site", "50,8,150", "--from", "2026-11-25T08:00:00Z", "--pass", "2"}, args...)...)
}

// The dials of every rule, put through the transponder by hand (K is the sum of
// the band edges and the known oscillator error of the bird file), come out at
// zero beat; rounded to a step they are within half of it on each dial.
func TestDialIsTrue(t *testing.T) {
	const k, c = 435_130_000 + 145_920_000 + 900, 299792.458
	for _, args := range [][]string{
		{"--rule", "uplink", "--downlink", "145905000"}, {"--rule", "downlink", "--uplink", "435140000"}, {"--rule", "both", "--downlink", "145895000"},
		{"--rule", "both", "--uplink", "435160000", "--step", "15s"}, {"--rule", "uplink", "--every", "250"}, {},
	} {
		rows := dialRows(t, append(args, "--radio-step", "1")...)
		for _, r := range rows {
			beta := numberIn(t, r, "range_rate_km_s") / c
			heard := (k - numberIn(t, r, "uplink_hz")*(1-beta)) * (1 - beta)
			// half a hertz of rounding on each dial, and the printed range rate's
			// 5e-7 km/s, which the sum of both legs makes 1 Hz at most
			if d := heard - numberIn(t, r, "downlink_hz"); math.Abs(d) > 2 {
				t.Errorf("%v at %s: %.2f Hz off", args, r["utc"], d)
			}
		}
		if len(rows) < 10 {
			t.Errorf("%v: %d rows", args, len(rows))
		}
	}
}

func TestDialRules(t *testing.T) {
	for _, r := range dialRows(t, "--rule", "uplink", "--downlink", "145905000") {
		if r["downlink_hz"] != "145905000" {
			t.Errorf("the receive dial moved: %v", r)
		}
	}
	plain, corrected := dialRows(t), dialRows(t, "--correction", "-350")
	for i := range plain {
		if d := numberIn(t, corrected[i], "uplink_hz") - numberIn(t, plain[i], "uplink_hz"); d != -350 {
			t.Errorf("a correction of -350 Hz made %.0f", d)
		}
	}
	for _, r := range dialRows(t, "--radio-step", "100") {
		if math.Mod(numberIn(t, r, "uplink_hz"), 100) != 0 {
			t.Errorf("not a step of the radio: %v", r)
		}
	}
	rows := dialRows(t, "--every", "1000", "--radio-step", "1")
	for i := 1; i < len(rows); i++ {
		if rows[i]["mark"] != "" || rows[i-1]["mark"] != "" {
			continue
		}
		// found to a tenth of a second, at up to 89 Hz/s
		if d := numberIn(t, rows[i], "uplink_hz") - numberIn(t, rows[i-1], "uplink_hz"); math.Abs(d-1000) > 20 {
			t.Errorf("a change of %.0f Hz between %s and %s", d, rows[i-1]["utc"], rows[i]["utc"])
		}
	}
	for _, r := range dialRows(t, "--step", "30s") {
		at, err := time.Parse(time.RFC3339, r["utc"])
		if r["mark"] == "" && (err != nil || at.Second()%30 != 0 || at.Nanosecond() != 0) {
			t.Errorf("not on the half minute: %v", r)
		}
	}
}

func TestDialPage(t *testing.T) {
	for _, args := range [][]string{{"--bird", "lark-1", "--rule", "uplink"}, {"--bird", "fulmar-3", "--rule", "both"}, {"--bird", "dipper-2", "--rule", "downlink", "--every", "500"}} {
		path := filepath.Join(t.TempDir(), "card.pdf")
		status, out, errs := command(t, append([]string{"dial", "--site", "50,8,150", "--from", "2026-11-25T08:00:00Z", "--pdf", path}, args...)...)
		data, err := os.ReadFile(path)
		if status != exitDone || out != "" || err != nil || !bytes.HasPrefix(data, []byte("%PDF-")) || !bytes.Contains(data, []byte("/Count 1\n")) {
			t.Errorf("%v: status %d, %v, %d bytes, said %s", args, status, err, len(data), errs)
		}
	}
}

func TestBadDial(t *testing.T) {
	base := []string{"dial", "--site", "50,8", "--from", "2026-11-25T08:00:00Z"}
	path := filepath.Join(t.TempDir(), "card.pdf")
	for says, args := range map[string][]string{
		"which bird":             {},
		"no bird \"dunlin\"":     {"--bird", "dunlin"},
		"--rule sideways: give":  {"--bird", "lark-1", "--rule", "sideways"},
		"what --rule uplink":     {"--bird", "lark-1", "--uplink", "435150000"},
		"the passband of LARK-1": {"--bird", "lark-1", "--downlink", "146900000"},
		"at least 1s":            {"--bird", "lark-1", "--step", "1ms"},
		"--every 0.1":            {"--bird", "lark-1", "--every", "0.1"},
		"LARK-1 has 1":           {"--bird", "lark-1", "--transponder", "2"},
		"--pass 0":               {"--bird", "lark-1", "--pass", "0"},
		"do not fit on one page": {"--bird", "lark-1", "--step", "1s", "--pdf", path},
	} {
		status, out, errs := command(t, append(base, args...)...)
		if status != exitUsage || out != "" || !strings.Contains(errs, says) || strings.Count(errs, "\n") != 1 {
			t.Errorf("%v: status %d, wrote %.40q, said %q; want %q", args, status, out, errs, says)
		}
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("a page was written that does not fit")
	}
}
