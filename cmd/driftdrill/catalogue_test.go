package main

import (
	"encoding/csv"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"driftdrill/assets"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"

	"github.com/adrg/xdg"
)

// ownData gives a test a data folder of its own.
func ownData(t *testing.T) {
	t.Helper()
	old := xdg.DataHome
	xdg.DataHome = t.TempDir()
	t.Cleanup(func() { xdg.DataHome = old })
}

func TestCatalogues(t *testing.T) {
	for folder, name := range map[string]string{"drills": "come-back", "birds": "LARK-1"} {
		files, err := fs.Glob(assets.FS, folder+"/*.toml")
		if err != nil {
			t.Fatal(err)
		}
		status, out, errs := command(t, folder, "list")
		rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
		// A bird has a row for each of its transponders.
		if status != exitDone || errs != "" || err != nil || len(rows) < 1+len(files) || len(files) == 0 || !strings.Contains(out, name) {
			t.Errorf("%s: status %d, %v, %d rows, %s", folder, status, err, len(rows), errs)
		}
	}
	folder := t.TempDir()
	for what, name := range map[string]string{"drills": "come-back", "birds": "dipper-2"} {
		status, out, _ := command(t, what, "print", name)
		if status != exitDone || out != bundledFile(t, what+"/"+name+".toml") {
			t.Errorf("%s %s: status %d, %.60q", what, name, status, out)
		}
		if err := os.WriteFile(filepath.Join(folder, what+".toml"), []byte(out), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if _, out, _ := command(t, "drills", "print", "6"); out != bundledFile(t, "drills/come-back.toml") {
		t.Errorf("drill 6 is %.60q", out)
	}
	if status, _, errs := command(t, "rehearse", "--hand", "none", "--drill", filepath.Join(folder, "drills.toml"), "--bird", filepath.Join(folder, "birds.toml")); status != exitDone {
		t.Errorf("what was printed cannot be flown: %s", errs)
	}
	for args, want := range map[string]string{
		"drills print come-bakc": "did you mean come-back?", "birds print larks-1": "did you mean lark-1?", "drills": "list or print",
		"drills print": "say `driftdrill drills print NAME`", "birds print ./x.toml": "is a file", "drils list": "did you mean drills?",
		"rehearse --drill frist-hold": "did you mean first-hold?", "rehearse --bird LARK": "did you mean lark-1?", "rehearse --haand good": "did you mean --hand?",
		"dial --site": "--site needs a value", "place JO40 JO41 JO42": "3 words", "rehearse first-hold": "one word too many", "passes -x": "no option -x",
	} {
		status, out, errs := command(t, strings.Fields(args)...)
		if status != exitUsage || out != "" || !strings.Contains(errs, want) || strings.Count(errs, "\n") != 1 {
			t.Errorf("%s: status %d, %q, said %q, want %q", args, status, out, errs, want)
		}
	}
}

func TestCompletionOfValues(t *testing.T) {
	for args, want := range map[string]string{
		"rehearse --hand reg": "regular", "fly --drill come": "come-back", "dial --bird la": "lark-1", "drills print two-r": "two-rules", "birds print": "",
	} {
		_, out, _ := command(t, append([]string{"__complete"}, append(strings.Fields(args), map[bool][]string{true: {""}}[want == ""]...)...)...)
		if !strings.HasPrefix(out, want) || want == "" && !strings.Contains(out, "dipper-2\n") {
			t.Errorf("%s: %q", args, out)
		}
	}
}

// One rule for every command: a file that is given, else what was fetched where
// the bird is in it, else the bundled elements; and the source is named.
func TestOneRuleForElements(t *testing.T) {
	ownData(t)
	source := func(args ...string) (out, errs string) {
		t.Helper()
		status, out, errs := command(t, args...)
		if status != exitDone {
			t.Fatalf("%v: status %d, %s", args, status, errs)
		}
		return out, errs
	}
	dial := []string{"dial", "--site", "50,8", "--bird", "lark-1", "--out", "text", "--from", "2026-11-26T00:00:00Z"}
	passes := []string{"passes", "--site", "50,8", "--days", "1", "--from", "2026-11-26T00:00:00Z"}
	start := func(more ...string) string {
		out, _ := source(append([]string{"rehearse", "--hand", "none", "--drill", "low-overhead", "--from", "2026-11-26T00:00:00Z", "--out", "json"}, more...)...)
		_, start, ok := strings.Cut(out, `"start_utc":"`)
		if !ok {
			t.Fatal(out)
		}
		return start[:20]
	}
	if out, _ := source(dial...); !strings.Contains(out, "bundled with the program") {
		t.Errorf("nothing was fetched, but the card says\n%s", out)
	}
	if out, errs := source(passes...); !strings.Contains(errs, "elements: bundled") || !strings.Contains(out, "FULMAR-3") {
		t.Errorf("nothing was fetched: %s", errs)
	}
	bundled := start()
	fetched := fetchedLark(t)
	if out, _ := source(dial...); !strings.Contains(out, fetched) {
		t.Errorf("LARK-1 was fetched, but the card says\n%s", out)
	}
	if out, errs := source(passes...); !strings.Contains(errs, fetched) || strings.Contains(out, "FULMAR-3") {
		t.Errorf("LARK-1 was fetched: %s\n%s", errs, out)
	}
	if _, errs := source(append(passes, "--bird", "fulmar-3")...); !strings.Contains(errs, "elements: bundled") {
		t.Errorf("FULMAR-3 is in the program alone: %s", errs)
	}
	if out, _ := source("dial", "--site", "50,8", "--bird", "fulmar-3", "--out", "text"); !strings.Contains(out, "bundled with the program") {
		t.Errorf("FULMAR-3 is in the program alone, but the card says\n%s", out)
	}
	if now := start(); now == bundled {
		t.Error("rehearse flies the bundled elements though LARK-1 was fetched")
	}
	own := writeInput(t, "own.tle", bundledFile(t, "elements/demo.tle"))
	if out, _ := source(append(dial, "--elements", own)...); !strings.Contains(out, own) {
		t.Errorf("a file was given, but the card says\n%s", out)
	}
	if out, _ := source(append(passes, "--elements", own, "--out", "text")...); !strings.HasSuffix(out, "\nElements: "+own+"\n") {
		t.Errorf("a file was given, but the table ends with %q", out[max(0, len(out)-80):])
	}
}

// fetchedLark puts another LARK-1 than the bundled one where fetched elements lie.
func fetchedLark(t *testing.T) (fetched string) {
	t.Helper()
	fetched = fetchedElements()
	if err := os.MkdirAll(filepath.Dir(fetched), 0o755); err != nil {
		t.Fatal(err)
	}
	sets, err := trainer.ReadBundledElements(trainer.BundledElements)
	if err != nil {
		t.Fatal(err)
	}
	lark, err := orbit.Find(sets, "LARK-1")
	if err != nil {
		t.Fatal(err)
	}
	lark.AnomalyDeg = math.Mod(lark.AnomalyDeg+90, 360)
	line1, line2 := lark.TLE()
	if err := os.WriteFile(fetched, []byte("LARK-1\n"+line1+"\n"+line2+"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	return fetched
}

// What a bird, a site or an operator is called cannot steer a terminal.
func TestTerminalIsNotSteered(t *testing.T) {
	elements := writeInput(t, "bad.tle", "EVIL\x1b[2J\u009b31m\u202e\n"+larkSet[strings.Index(larkSet, "\n")+1:])
	_, out, errs := command(t, "elements", "check", elements)
	status, _, more := command(t, "rehearse", "--drill", "x\u009b31m\u202e")
	if all := out + errs + more; status != exitUsage || strings.ContainsAny(all, "\x1b\u009b\u202e") || !strings.Contains(all, "EVIL?") {
		t.Errorf("printed %q", all)
	}
}

// One set of one's own flies as itself: with its own plan where there is one,
// and where there is none the program says whose stands in, and how to begin one.
func TestOwnElementsFlyAsThemselves(t *testing.T) {
	own := strings.NewReplacer("LARK-1", "KNOT-5", "99901", "99910").Replace(larkSet)
	for name, c := range map[string]struct{ set, told, flown string }{
		"a bird with a plan": {larkSet, "", "on LARK-1"},
		"a bird without":     {own, "birds print fulmar-3 >knot-5.toml", "on KNOT-5"},
	} {
		t.Run(name, func(t *testing.T) {
			status, out, errs := command(t, "rehearse", "--hand", "none", "--pass", "1", "--elements", writeInput(t, "own.tle", c.set))
			if status != exitDone || !strings.Contains(out, c.flown) {
				t.Errorf("status %d, %.80q, said %q", status, out, errs)
			}
			if strings.Contains(errs, "no plan of") != (c.told != "") || !strings.Contains(errs, c.told) {
				t.Errorf("said %q", errs)
			}
		})
	}
}
