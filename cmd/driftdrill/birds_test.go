package main

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"driftdrill/sim/card"

	"github.com/adrg/xdg"
)

// ownConfig gives a test a settings folder of its own and returns where the
// operator's birds lie in it.
func ownConfig(t *testing.T) string {
	t.Helper()
	old := xdg.ConfigHome
	xdg.ConfigHome = t.TempDir()
	t.Cleanup(func() { xdg.ConfigHome = old })
	return filepath.Join(xdg.ConfigHome, "driftdrill", "birds")
}

// knot is a bird file of one's own, of a bird that is not in the program: 2 m
// up, 70 cm down, straight through.
const knot = `# mine, from the club's list
name = "KNOT-5"
catalog = 99910

[[transponder]]
inverting = false
uplink_low_hz = 145_940_000
uplink_high_hz = 145_970_000
downlink_low_hz = 435_610_000
downlink_high_hz = 435_640_000
`

// A bird of one's own is checked, copied as it stands, listed with its place,
// found by name, file name and number, and never overwritten unasked.
func TestOwnBirds(t *testing.T) {
	folder := ownConfig(t)
	file := writeInput(t, "whatever.toml", knot)
	status, out, errs := command(t, "birds", "check", file)
	if status != exitDone || errs != "" || !strings.Contains(out, "KNOT-5, transponder 1 of 1: 145.940-145.970 up USB, 435.610-435.640 down USB, straight, downlink less uplink 289.670 MHz") {
		t.Fatalf("check: status %d, %q, said %q", status, out, errs)
	}
	kept := filepath.Join(folder, "knot-5.toml")
	if status, out, errs = command(t, "birds", "add", file); status != exitDone || !strings.Contains(out, kept) {
		t.Fatalf("add: status %d, %q, said %q", status, out, errs)
	}
	if data, err := os.ReadFile(kept); err != nil || string(data) != knot {
		t.Errorf("kept %q, %v", data, err)
	}
	for _, name := range []string{"knot-5", "KNOT-5", "99910"} {
		if _, out, errs := command(t, "birds", "print", name); out != knot {
			t.Errorf("print %s: %.40q, said %q", name, out, errs)
		}
	}
	if _, out, _ := command(t, "birds", "list", "--out", "csv"); !strings.Contains(out, kept+"\n") || strings.Count(out, "\n") != 8 {
		t.Errorf("list: %s", out)
	}
	other := writeInput(t, "other.toml", strings.Replace(knot, "KNOT-5", "STINT-6", 1)) // another name, the same number
	for _, again := range []string{file, other} {
		if status, _, errs := command(t, "birds", "add", again); status != exitUsage || !strings.Contains(errs, "is there already") || !strings.Contains(errs, "--replace") {
			t.Errorf("add %s: status %d, said %q", again, status, errs)
		}
	}
	if data, _ := os.ReadFile(kept); string(data) != knot {
		t.Error("a refused bird changed the one that is there")
	}
	if status, _, errs := command(t, "birds", "add", "--replace", other); status != exitDone {
		t.Errorf("replace: status %d, said %q", status, errs)
	}
	if data, _ := os.ReadFile(kept + ".replaced"); string(data) != knot {
		t.Error("the bird that was replaced is lost")
	}
	if _, out, _ := command(t, "__complete", "dial", "--bird", "st"); !strings.HasPrefix(out, "stint-6\nstilt-4\n") {
		t.Errorf("completion: %q", out)
	}
}

// One's own bird comes before one in the program of the same name; the drills
// in the program keep the birds that they were made for.
func TestOwnBirdComesFirst(t *testing.T) {
	folder := ownConfig(t)
	writeOwn(t, folder, "lark-1.toml", strings.NewReplacer("KNOT-5", "LARK-1", "99910", "99901").Replace(knot))
	dial := []string{"dial", "--bird", "lark-1", "--site", "50,8", "--out", "csv"}
	if status, out, errs := command(t, dial...); status != exitDone || !strings.Contains(out, ",1459") {
		t.Errorf("dial: status %d, %.200s, said %q", status, out, errs)
	}
	if _, out, _ := command(t, "birds", "list", "--out", "csv"); strings.Count(out, "LARK-1") != 1 {
		t.Errorf("list: %s", out)
	}
	sheet := func(args ...string) string {
		t.Helper()
		file := filepath.Join(t.TempDir(), "run.jsonl")
		if status, _, errs := command(t, append([]string{"rehearse", "--hand", "none", "--drill", "low-overhead", "--sheet", file}, args...)...); status != exitDone {
			t.Fatalf("%v: %s", args, errs)
		}
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		head, _, _ := strings.Cut(string(text), "\n")
		return head
	}
	if head := sheet(); !strings.Contains(head, `"bird_from":"bundled","elements_from":"bundled, epoch `) || !strings.Contains(head, "435130000") {
		t.Errorf("the drill as it is: %.300s", head)
	}
	if head := sheet("--bird", "lark-1", "--pass", "1"); !strings.Contains(head, `"bird_from":"own: lark-1.toml","elements_from":"bundled, epoch `) {
		t.Errorf("with one's own bird: %.300s", head)
	}
	set := writeInput(t, "tonight.tle", larkSet)
	if head := sheet("--elements", set, "--pass", "1"); !strings.Contains(head, `"bird_from":"own: lark-1.toml","elements_from":"own: tonight.tle, epoch 2026-11-20 02:57 UTC, `) || strings.Contains(head, filepath.Dir(set)) {
		t.Errorf("with one's own elements: %.300s", head)
	}
	stranger := writeInput(t, "stranger.tle", strings.NewReplacer("LARK-1", "RUFF-8", "99901", "99910").Replace(larkSet))
	if head := sheet("--elements", stranger, "--pass", "1"); !strings.Contains(head, `"bird_from":"no plan: the transponder of LARK-1 stands in"`) {
		t.Errorf("without a plan: %.300s", head)
	}
}

func writeOwn(t *testing.T, folder, name, text string) {
	t.Helper()
	if err := os.MkdirAll(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// A file that cannot be taken is told in one line and leaves the others alone.
func TestBrokenOwnBird(t *testing.T) {
	folder := ownConfig(t)
	writeOwn(t, folder, "knot-5.toml", knot)
	writeOwn(t, folder, "a-broken.toml", strings.Replace(knot, "inverting = false", "inverting = maybe", 1))
	writeOwn(t, folder, "z-twice.toml", knot)
	status, out, errs := command(t, "birds", "list", "--out", "csv")
	if status != exitDone || !strings.Contains(out, "KNOT-5") || strings.Count(errs, "\n") != 2 || !strings.Contains(errs, "a-broken.toml:6:") || !strings.Contains(errs, "z-twice.toml: KNOT-5 is in knot-5.toml already") {
		t.Errorf("status %d, %s, said %q", status, out, errs)
	}
	if status, _, errs := command(t, "dial", "--bird", "a-broken", "--site", "50,8"); status != exitUsage || !strings.Contains(errs, "a-broken.toml:6:") {
		t.Errorf("asked for by name: status %d, said %q", status, errs)
	}
	if status, _, errs := command(t, "birds", "check", filepath.Join(folder, "a-broken.toml")); status != exitUsage || strings.Count(errs, "\n") != 1 {
		t.Errorf("check: status %d, said %q", status, errs)
	}
}

// The passes of a bird that nobody has the plan of carry no figures of another
// bird's; with the plan they do.
func TestPassesWithoutAPlan(t *testing.T) {
	folder := ownConfig(t)
	set := writeInput(t, "own.tle", larkSet+strings.NewReplacer("LARK-1", "KNOT-5", "99901", "99910").Replace(larkSet))
	args := []string{"passes", "--elements", set, "--site", "50,8", "--from", "2026-11-26T00:00:00Z", "--days", "1", "--out", "json"}
	lines := func(name string) (found []string) {
		t.Helper()
		status, out, errs := command(t, args...)
		if status != exitDone {
			t.Fatalf("status %d, said %q", status, errs)
		}
		for _, line := range strings.Split(out, "\n") {
			if strings.Contains(line, name) {
				found = append(found, line)
			}
		}
		if len(found) == 0 {
			t.Fatalf("no pass of %s: %s", name, out)
		}
		return found
	}
	for _, line := range lines("KNOT-5") {
		if !strings.Contains(line, `"net_drift_hz": null, "peak_rate_hz_s": null, "worth_getting_up": null, "worth_why": null, "difficulty": "no plan"`) {
			t.Errorf("without a plan: %s", line)
		}
	}
	for _, line := range lines("LARK-1") {
		if strings.Contains(line, "null") || strings.Contains(line, "no plan") {
			t.Errorf("with the plan in the program: %s", line)
		}
	}
	writeOwn(t, folder, "knot-5.toml", knot)
	for _, line := range lines("KNOT-5") {
		if strings.Contains(line, "null") || strings.Contains(line, "no plan") {
			t.Errorf("with one's own plan: %s", line)
		}
	}
	args[len(args)-1] = "csv"
	if _, out, _ := command(t, args...); strings.Contains(out, "net_drift_hz") {
		t.Error("the CSV form has other columns because a plan is known")
	}
	if _, out, _ := command(t, append(args, "--bird", "KNOT-5")...); !strings.Contains(out, "net_drift_hz") {
		t.Error("no drift of one's own bird that was named")
	}
}

// Bands are chosen by command for a bird of one's elements without a plan, listed
// as such, flown, and forgotten; a bird with a plan keeps it.
func TestBandsByHandCommand(t *testing.T) {
	ownConfig(t)
	if status, out, errs := command(t, "birds", "by-hand", "KNOT-5", "--uplink", "435.14", "--downlink", "145.93"); status != exitDone || out != "KNOT-5: uplink 435.140, downlink 145.930 MHz, inverting, chosen by hand\n" {
		t.Fatalf("status %d, %q, said %q", status, out, errs)
	}
	if _, out, _ := command(t, "birds", "list", "--out", "csv"); !strings.Contains(out, "KNOT-5,0,1,435.120-435.160,145.910-145.950,inverting") || !strings.Contains(out, "bands by hand\n") {
		t.Errorf("list: %s", out)
	}
	for want, args := range map[string][]string{
		"which bands?":       {"birds", "by-hand", "KNOT-5", "--uplink", "435.14"},
		"has a plan already": {"birds", "by-hand", "lark-1", "--uplink", "435.14", "--downlink", "145.93"},
		"uplink_low_hz":      {"birds", "by-hand", "KNOT-5", "--uplink", "5", "--downlink", "145.93"},
		"no bands were":      {"birds", "by-hand", "RUFF-8", "--forget"},
	} {
		if status, _, errs := command(t, args...); status != exitUsage || !strings.Contains(errs, want) {
			t.Errorf("%v: status %d, said %q", args, status, errs)
		}
	}
	if status, out, errs := command(t, "birds", "by-hand", "KNOT-5", "--forget"); status != exitDone || out != "KNOT-5: bands forgotten\n" {
		t.Errorf("forget: status %d, %q, said %q", status, out, errs)
	}
}

// What the window marks as worth getting up for, the table, the CSV and the JSON
// say too, by the same rule and with its words: the hours are those of the clock here.
func TestPassesWorthGettingUpFor(t *testing.T) {
	was := time.Local
	t.Cleanup(func() { time.Local = was })
	args := []string{"passes", "--bird", filepath.Join("..", "..", "assets", "birds", "lark-1.toml"), "--site", "50,8", "--days", "2", "--out"}
	for _, zone := range []*time.Location{time.UTC, time.FixedZone("east", 9*3600)} {
		time.Local = zone
		_, text, errs := command(t, append(args, "text")...)
		_, rows, _ := command(t, append(args, "csv")...)
		_, lines, _ := command(t, append(args, "json")...)
		all, err := csv.NewReader(strings.NewReader(rows)).ReadAll()
		if err != nil || len(all) < 5 {
			t.Fatalf("%v, %q, said %q", err, rows, errs)
		}
		column := func(name string) int { return slices.Index(all[0], name) }
		yes := 0
		for _, row := range all[1:] {
			get := func(name string) float64 { x, _ := strconv.ParseFloat(row[column(name)], 64); return x }
			at, err := time.Parse(time.RFC3339, row[column("max_elevation_utc")])
			if err != nil {
				t.Fatal(err)
			}
			h := at.In(zone).Hour()
			top, minutes, most := 25.0, 8.0, 130.0 // the rule as the page of passes tells it
			if h >= 23 || h < 6 {
				top, minutes, most = 50, 10, 75
			}
			want := get("max_elevation_deg") >= top && get("duration_s") >= 60*minutes && get("peak_rate_hz_s") < most
			why := row[column("worth_why")]
			if got := row[column("worth_getting_up")]; got != strconv.FormatBool(want) || why == "" {
				t.Errorf("%s: %s, want %t: %v", zone, got, want, row)
			}
			word := map[bool]string{true: "yes: ", false: "no: "}[want] + why
			if !strings.Contains(text, word) || !strings.Contains(lines, fmt.Sprintf(`"worth_getting_up": %t, "worth_why": %q`, want, why)) {
				t.Errorf("%s: %q is not in the text, or not in the JSON", zone, word)
			}
			if want {
				yes++
			}
		}
		if yes == 0 || yes == len(all)-1 {
			t.Errorf("%s: %d of %d are worth it", zone, yes, len(all)-1)
		}
	}
	if _, help, _ := command(t, "passes", "--help"); !strings.Contains(strings.Join(strings.Fields(help), " "), card.WorthRule) {
		t.Error("the help does not say the rule")
	}
}
