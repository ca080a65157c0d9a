package trainer

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"driftdrill/orbit"
	"driftdrill/sim"
)

// A bird is added under its name and found by name, number and file; one that is
// there is overwritten only where that is wanted, and another file of it is put aside.
func TestABirdIsAdded(t *testing.T) {
	f := Flock{Folder: filepath.Join(t.TempDir(), "birds")}
	text, err := Flock{}.Text("LARK-1")
	if err != nil {
		t.Fatal(err)
	}
	own := func(name, catalog string) []byte {
		s := strings.Replace(string(text), `"LARK-1"`, `"`+name+`"`, 1)
		return []byte(strings.Replace(s, "99901", catalog, 1))
	}
	k, err := f.Add(own("Knot 5!", "99910"), "typed", false)
	if err != nil || k.Name != "Knot 5!" || filepath.Base(k.File) != "knot-5.toml" || k.From() != "own: knot-5.toml" {
		t.Fatalf("%+v, %v", k, err)
	}
	for _, name := range []string{"knot 5!", "99910", "KNOT-5", k.File} {
		if got, err := f.Find(name); err != nil || got.Name != "Knot 5!" || got.File != k.File {
			t.Errorf("%s: %q in %q, %v", name, got.Name, got.File, err)
		}
	}
	if _, err := f.Add(own("Knot 5!", "99910"), "typed", false); !InTheWay(err) {
		t.Errorf("added twice: %v", err)
	}
	if _, err := f.Add(own("knot-5", "99911"), "typed", false); !InTheWay(err) {
		t.Errorf("another bird's file is overwritten: %v", err)
	}
	if k, err := f.Add(own("Knot five", "99910"), "typed", true); err != nil || filepath.Base(k.File) != "knot-five.toml" {
		t.Fatalf("%+v, %v", k, err)
	}
	if _, err := os.Stat(k.File + ".replaced"); err != nil {
		t.Errorf("the file before it is not put aside: %v", err)
	}
	if _, err := f.Add(own("...", "99912"), "typed", false); err == nil || InTheWay(err) || !strings.Contains(err.Error(), "no letter and no digit") {
		t.Errorf("a name without a letter: %v", err)
	}
	if _, err := (Flock{}).Text("lark-1.toml"); err == nil || !strings.Contains(err.Error(), "is a file") {
		t.Error(err)
	}
}

// One's own bird stands in place of the program's of its name or number, before
// all others, and every bird is there once.
func TestOnesOwnBirdComesFirst(t *testing.T) {
	f := Flock{Folder: t.TempDir()}
	text, err := Flock{}.Text("99903")
	if err != nil || !strings.Contains(string(text), `"FULMAR-3"`) {
		t.Fatal(err)
	}
	for file, name := range map[string]string{"mine.TOML": "MY FULMAR", "note.txt": "NOT A BIRD"} {
		if err := os.WriteFile(filepath.Join(f.Folder, file), []byte(strings.Replace(string(text), "FULMAR-3", name, 1)), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	all, broken := f.All()
	var names []string
	for _, k := range all {
		names = append(names, k.Name)
	}
	if want := []string{"MY FULMAR", "DIPPER-2", "LARK-1", "STILT-4"}; !slices.Equal(names, want) || len(broken) != 0 {
		t.Errorf("%q, %v; want %q", names, broken, want)
	}
	if all[0].From() != "own: mine.TOML" || all[1].From() != "bundled" {
		t.Errorf("from %q and %q", all[0].From(), all[1].From())
	}
	if got := f.Names(); !slices.Equal(got, []string{"mine", "dipper-2", "fulmar-3", "lark-1", "stilt-4"}) {
		t.Errorf("%q", got)
	}
	if k := PlanNamed(all, "another", 99903); k == nil || k.Name != "MY FULMAR" {
		t.Errorf("by its number: %+v", k)
	}
	if k := PlanNamed(all, "lark-1", 0); k == nil || k.Name != "LARK-1" {
		t.Errorf("by its name: %+v", k)
	}
	if PlanNamed(all, "KNOT-5", 0) != nil {
		t.Error("a bird of which nobody has the plan")
	}
}

// The name of a file keeps letters and digits, all of them, and small.
func TestFileStem(t *testing.T) {
	for name, want := range map[string]string{"AZ-az 09": "az-az-09", "  LARK-1 (new) ": "lark-1--new", "!?": ""} {
		if got := FileStem(name); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
}

// A drill or a bird that is not there is told with those that are; for a bird it
// is said how it gets a plan, unless only a letter is wrong.
func TestWhatIsNotThereIsTold(t *testing.T) {
	_, err := FindDrill("frist-hold")
	if err == nil || !strings.Contains(err.Error(), `no drill "frist-hold"; did you mean first-hold? There are `) {
		t.Error(err)
	}
	for name, plan := range map[string]bool{"soup": true, "lark-2": false} {
		if _, err := (Flock{}).Find(name); err == nil || !strings.Contains(err.Error(), `no bird "`+name+`"; `) || strings.Contains(err.Error(), "birds add "+name+".toml") != plan || strings.Contains(err.Error(), "did you mean") == plan {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := FindDrill("soup"); err == nil || strings.Contains(err.Error(), "birds add") || !strings.Contains(err.Error(), "; there are ") {
		t.Error(err)
	}
	for _, name := range []string{"first-hold", "First-Hold", "0"} {
		if text, err := DrillText(name); err != nil || !strings.Contains(string(text), `name = "first-hold"`) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, name := range []string{"99", "first-hold.toml", "soup"} {
		if _, err := DrillText(name); err == nil {
			t.Errorf("%s has a text", name)
		}
	}
	if _, err := ReadBundledElements("soup"); err == nil || !strings.Contains(err.Error(), "demo") {
		t.Error(err)
	}
	drills, err := Drills()
	if err != nil || !slices.IsSortedFunc(drills, func(a, b sim.Drill) int { return a.Number - b.Number }) {
		t.Errorf("the drills are not in the order of the course: %v", err)
	}
}

// A bird's elements are found by its number before its name, and by its name where
// it has no number.
func TestElementsOfABird(t *testing.T) {
	sets := []orbit.Elements{setOf("LARK-1", 99930, 0), setOf("OTHER", 99901, 0), setOf("WREN", 1, 0), setOf("wren-2", 0, 0)}
	for _, c := range []struct {
		name    string
		catalog int
		want    string
	}{{"LARK-1", 99901, "OTHER"}, {"LARK-1", 0, "LARK-1"}, {"LARK-1", 99999, "LARK-1"}, {"FINCH", 1, "WREN"}} {
		e, err := ElementsOf(sets, sim.Bird{Name: c.name, Catalog: c.catalog})
		if err != nil || e.Name != c.want {
			t.Errorf("%+v: %q, %v", c, e.Name, err)
		}
	}
	if _, err := ElementsOf(sets, sim.Bird{Name: "FINCH", Catalog: 99999}); err == nil {
		t.Error("elements of a bird that is not there")
	}
}
