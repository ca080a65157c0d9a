package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const (
	windowLibrary = "github.com/hajimehoshi/ebiten"
	oldSound      = "github.com/hajimehoshi/oto"
	newSound      = "github.com/ebitengine/oto"
)

// importRules say what a package may not reach, however far down: the arrows
// cmd -> scoring -> sim -> orbit and cmd -> audio -> sim run one way.
var importRules = []struct {
	packages string // import path; "/..." takes in what lies under it
	except   string
	never    []string
}{
	{"driftdrill/orbit/...", "", []string{windowLibrary, oldSound, newSound, "driftdrill/sim", "driftdrill/audio", "driftdrill/scoring", "driftdrill/cmd"}},
	{"driftdrill/sim/...", "", []string{windowLibrary, oldSound, newSound, "driftdrill/audio", "driftdrill/scoring", "driftdrill/cmd"}},
	{"driftdrill/scoring/...", "", []string{windowLibrary, oldSound, newSound, "driftdrill/audio", "driftdrill/cmd"}},
	{"driftdrill/audio/...", "driftdrill/audio/out", []string{windowLibrary, oldSound, newSound, "driftdrill/audio/out", "driftdrill/scoring", "driftdrill/cmd"}},
	{"driftdrill/audio/out", "", []string{windowLibrary, "driftdrill/scoring", "driftdrill/cmd"}},
	{"driftdrill/cmd/driftdrill/desk/...", "", []string{oldSound, newSound, windowLibrary + "/v2/audio", "driftdrill/audio/out"}},
	{"driftdrill/cmd/driftdrill/desk/kit/keys", "", []string{windowLibrary}},
	{"driftdrill/cmd/driftdrill/desk/port", "", []string{windowLibrary, oldSound, newSound, "driftdrill/audio"}},
	{"driftdrill/cmd/driftdrill/trainer/...", "", []string{windowLibrary, oldSound, newSound, "driftdrill/audio/out", "driftdrill/audio/mic", "driftdrill/cmd/driftdrill/desk", "github.com/spf13/cobra"}},
	{"driftdrill/cmd/driftdrill/outfile/...", "", []string{windowLibrary, "driftdrill/orbit", "driftdrill/sim", "driftdrill/audio", "driftdrill/scoring"}},
	{"driftdrill/cmd/driftdrill/radio", "", []string{windowLibrary, oldSound, newSound, "driftdrill/orbit", "driftdrill/sim", "driftdrill/audio", "driftdrill/scoring", "github.com/spf13/cobra"}},
	{"driftdrill/cmd/driftdrill/deskwire/...", "", []string{oldSound, newSound, "driftdrill/audio/out", "driftdrill/audio/mic", "github.com/spf13/cobra"}},
	{"driftdrill/cmd/...", "", []string{windowLibrary + "/v2/audio"}},
}

func TestImportsRunOneWay(t *testing.T) {
	imports := importGraph(t)
	checked := 0
	for _, rule := range importRules {
		for p := range imports {
			if !under(p, rule.packages) || p == rule.except {
				continue
			}
			checked++
			for _, never := range rule.never {
				if chain := reach(imports, p, never); chain != nil {
					t.Errorf("%s may not reach %s:\n\t%s", p, never, strings.Join(chain, "\n\t-> "))
				}
			}
		}
	}
	if checked < 5 {
		t.Fatalf("only %d packages checked", checked)
	}
	for _, rule := range importRules {
		if rule.packages != "driftdrill/cmd/..." && imports[strings.TrimSuffix(rule.packages, "/...")] == nil {
			t.Errorf("there is no package %s to hold a rule against", rule.packages)
		}
	}
}

// mayImport is the table of DEVELOPERS.md: which packages of ours a package may
// import itself. The screens have rules of their own, below; the two programs that
// join everything (package main here and browser) have none.
var mayImport = map[string][]string{
	"testdata/race":           {},
	"assets":                  {},
	"assets/licences":         {},
	"orbit":                   {"orbit/legible"},
	"orbit/legible":           {},
	"sim":                     {"orbit/...", "sim/morse"},
	"sim/birdform":            {"sim", "orbit/legible"},
	"sim/card":                {"sim", "orbit"},
	"sim/card/cardpdf":        {"sim/card"},
	"sim/morse":               {},
	"audio":                   {"audio/speech", "sim/...", "orbit"},
	"audio/mic":               {"audio"},
	"audio/out":               {"audio"},
	"audio/soundfile":         {},
	"audio/speech":            {},
	"audio/speech/record":     {"audio/speech/..."},
	"audio/speech/vocabulary": {"audio/speech"},
	"scoring":                 {"sim", "orbit"},
	"scoring/adif":            {"scoring", "sim"},
	"scoring/logbook":         {"scoring", "sim", "orbit/legible"},
	"scoring/recording":       {"scoring", "sim"},
	"scoring/report":          {"scoring/...", "sim", "orbit/legible"},
	"scoring/study":           {"scoring", "sim", "orbit", "assets"},
	cmdRoot + "/club":         {"scoring", "sim", "orbit", "assets"},
	cmdRoot + "/club/member":  {"sim"},
	cmdRoot + "/deskwire": {"assets", "audio", "audio/soundfile", "audio/speech", "orbit", "scoring/...", "sim/...",
		cmdRoot + "/desk", cmdRoot + "/desk/kit", cmdRoot + "/desk/port", cmdRoot + "/desk/screen", cmdRoot + "/outfile", cmdRoot + "/radio", cmdRoot + "/trainer/..."},
	cmdRoot + "/display":       {},
	cmdRoot + "/outfile":       {},
	cmdRoot + "/radio":         {},
	cmdRoot + "/trainer":       {"assets", "audio", cmdRoot + "/outfile", "orbit", "scoring", "scoring/logbook", "sim/..."},
	cmdRoot + "/trainer/onair": {"audio/soundfile", cmdRoot + "/trainer", "orbit", "scoring/...", "sim/..."},
	cmdRoot + "/trainer/shelf": {cmdRoot + "/trainer", "scoring", "scoring/logbook", "sim"},
}

const cmdRoot = "cmd/driftdrill"

func TestPackagesImportWhatTheTableSays(t *testing.T) {
	imports := importGraph(t)
	for p, list := range imports {
		name, ours := strings.CutPrefix(p, "driftdrill/")
		may, named := mayImport[name]
		switch {
		case !ours || name == cmdRoot || under(name, cmdRoot+"/browser/...") || under(p, deskRoot+"/..."):
			continue
		case !named:
			t.Errorf("%s: say in mayImport and in DEVELOPERS.md what it may import", p)
			continue
		}
		for _, q := range list {
			if to, ours := strings.CutPrefix(q, "driftdrill/"); ours && !allowed(to, may) {
				t.Errorf("%s imports %s", p, q)
			}
		}
	}
	for name := range mayImport {
		if imports["driftdrill/"+name] == nil {
			t.Errorf("there is no package %s", name)
		}
	}
}

// Sound devices and the microphone are opened by package main alone.
func TestOnlyTheWiringOpensDevices(t *testing.T) {
	for p, list := range importGraph(t) {
		for _, q := range list {
			if (q == "driftdrill/audio/out" || q == "driftdrill/audio/mic") && p != "driftdrill/cmd/driftdrill" && p != q {
				t.Errorf("%s imports %s", p, q)
			}
		}
	}
}

// What only slows tests down stays out of the program.
func TestOnlyTestsAskForTheRaceDetector(t *testing.T) {
	for p, list := range importGraph(t) {
		if slices.Contains(list, "driftdrill/testdata/race") && p != deskRoot+"/desktest" {
			t.Errorf("%s imports driftdrill/testdata/race", p)
		}
	}
}

// The toolkit knows no bird, no drill and no mark: it reaches nothing of ours but its own parts.
func TestToolkitReachesNothingOfOurs(t *testing.T) {
	const kit, tests = "driftdrill/cmd/driftdrill/desk/kit/...", "driftdrill/cmd/driftdrill/desk/kit/kittest"
	imports, checked := importGraph(t), 0
	for p := range imports {
		if !under(p, kit) || p == tests {
			continue
		}
		checked++
		for q := range imports {
			if !strings.HasPrefix(q, "driftdrill/") || under(q, kit) || strings.HasPrefix(p, q+"/") { // what imports it cannot be imported
				continue
			}
			if chain := reach(imports, p, q); chain != nil {
				t.Errorf("%s may not reach %s:\n\t%s", p, q, strings.Join(chain, "\n\t-> "))
			}
		}
	}
	if checked < 2 {
		t.Fatalf("only %d packages checked", checked)
	}
}

const deskRoot = "driftdrill/cmd/driftdrill/desk"

// deskMay are the packages of ours that parts of the desk may import themselves.
// What is not named here and lies under the desk is a screen.
var deskMay = map[string][]string{
	"kit":         {"kit/..."},
	"kit/keys":    {},
	"kit/kittest": {"driftdrill/cmd/driftdrill/display"},
	"port":        {"kit/keys", "driftdrill/scoring", "driftdrill/sim", "driftdrill/sim/morse"},
	"screen":      {"kit/...", "port", "driftdrill/scoring", "driftdrill/sim", "driftdrill/sim/morse"},
	"desktest":    {"kit/...", "port", "screen", "driftdrill/testdata/race", "driftdrill/scoring", "driftdrill/sim"},
}

// screenMay is what a screen may import of ours: never another screen.
var screenMay = []string{"kit/...", "port", "screen", "driftdrill/scoring", "driftdrill/sim", "driftdrill/sim/birdform", "driftdrill/sim/morse"}

// deskNever may no part of the desk import itself, though what it imports may:
// files are the program's, sounds and satellites are the session's.
var deskNever = []string{"os/...", "io/ioutil", "driftdrill/audio/...", "driftdrill/orbit/...", "driftdrill/scoring/logbook"}

// deskFaults are the imports within the desk that go against these rules, and how
// many screens there are.
func deskFaults(imports map[string][]string) (faults []string, screens int) {
	for p, list := range imports {
		part, inDesk := strings.CutPrefix(p, deskRoot+"/")
		tests := part == "desktest" || part == "kit/kittest"
		may, named := deskMay[part]
		if inDesk && !named {
			may = screenMay
			screens++
		}
		for _, q := range list {
			to, toDesk := strings.CutPrefix(q, deskRoot+"/")
			_, toNamed := deskMay[to]
			switch fault := p + " imports " + q; {
			case !tests && (to == "desktest" || to == "kit/kittest"):
				faults = append(faults, fault+": only tests may")
			case toDesk && !toNamed && p != deskRoot:
				faults = append(faults, fault+": only "+deskRoot+" knows the screens")
			case inDesk && strings.HasPrefix(q, "driftdrill/") && !allowed(to, may):
				faults = append(faults, fault)
			case (inDesk || p == deskRoot) && !tests && slices.ContainsFunc(deskNever, func(never string) bool { return under(q, never) }):
				faults = append(faults, fault)
			}
		}
	}
	return faults, screens
}

// allowed tells whether a package is one of some patterns.
func allowed(path string, patterns []string) bool {
	return slices.ContainsFunc(patterns, func(pattern string) bool { return under(path, pattern) })
}

func TestScreensKnowNoOtherScreen(t *testing.T) {
	faults, screens := deskFaults(importGraph(t))
	for _, f := range faults {
		t.Error(f)
	}
	if screens < 8 {
		t.Errorf("only %d screens checked", screens)
	}
}

// The check itself must see what it is there to see.
func TestBrokenArrowsOfTheDeskAreSeen(t *testing.T) {
	for _, c := range []struct{ from, to string }{
		{"flying", deskRoot + "/debrief"}, {"flying", "os"}, {"flying", "driftdrill/audio"}, {"start", "driftdrill/orbit"}, {"start", deskRoot}, {"start", "driftdrill/scoring/logbook"},
		{"start", "driftdrill/cmd/driftdrill/trainer"}, {"screen", deskRoot + "/start"}, {"port", deskRoot + "/screen"}, {"port", deskRoot + "/kit"},
		{"kit", deskRoot + "/port"}, {"kit", "driftdrill/sim"}, {"kit", "os"}, {"screen", deskRoot + "/desktest"},
	} {
		if faults, _ := deskFaults(map[string][]string{deskRoot + "/" + c.from: {c.to}}); len(faults) != 1 {
			t.Errorf("%s imports %s: %q", c.from, c.to, faults)
		}
	}
	for _, to := range []string{deskRoot + "/flying", deskRoot + "/desktest"} {
		if faults, _ := deskFaults(map[string][]string{"driftdrill/cmd/driftdrill/deskwire": {to}}); len(faults) != 1 {
			t.Errorf("the wiring imports %s: %q", to, faults)
		}
	}
	good := map[string][]string{deskRoot: {deskRoot + "/flying", deskRoot + "/screen", "context"}, deskRoot + "/flying": {deskRoot + "/kit/keys", deskRoot + "/screen", "driftdrill/sim", "math"}}
	if faults, screens := deskFaults(good); len(faults) != 0 || screens != 1 {
		t.Errorf("%q, %d screens", faults, screens)
	}
}

func TestOnlyOnePackageKnowsTheSoundLibrary(t *testing.T) {
	for p, list := range importGraph(t) {
		for _, q := range list {
			if (strings.HasPrefix(q, oldSound) || strings.HasPrefix(q, newSound)) && strings.HasPrefix(p, "driftdrill/") && p != "driftdrill/audio/out" {
				t.Errorf("%s imports %s", p, q)
			}
		}
	}
}

func TestEveryPackageHasAComment(t *testing.T) {
	for _, line := range goList(t, "-f", "{{.ImportPath}}\t{{.Doc}}", "driftdrill/...") {
		path, doc, _ := strings.Cut(line, "\t")
		if strings.TrimSpace(doc) == "" {
			t.Errorf("%s has no package comment", path)
		}
	}
}

// What the physics, the sound and the marks compute may not depend on the
// wall clock, on the machine or on an unseeded generator.
func TestNoClockNoSystemNoGlobalRandom(t *testing.T) {
	checked := 0
	for _, line := range goList(t, "-f", "{{.ImportPath}}\t{{.Dir}}\t{{.Name}}\t{{join .GoFiles \" \"}}", "driftdrill/...") {
		fields := strings.Split(line, "\t")
		path, dir, name, files := fields[0], fields[1], fields[2], strings.Fields(fields[3])
		pure := under(path, "driftdrill/orbit/...") || under(path, "driftdrill/sim/...") ||
			under(path, "driftdrill/audio/...") && path != "driftdrill/audio/out" ||
			under(path, "driftdrill/scoring/...") && path != "driftdrill/scoring/logbook"
		if !pure || name == "main" { // a tool for developers may read its arguments
			continue
		}
		for _, f := range files {
			checked++
			for _, fault := range impurities(t, filepath.Join(dir, f)) {
				t.Error(fault)
			}
		}
	}
	if checked < 10 {
		t.Fatalf("only %d files checked", checked)
	}
}

// clockFunctions of package time read or wait for the wall clock.
var clockFunctions = []string{"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker"}

// ownGenerators of math/rand/v2 make a generator of one's own; everything else
// there that is called draws from the global one.
var ownGenerators = []string{"New", "NewPCG", "NewChaCha8", "NewZipf"}

// impurities lists the uses of the wall clock, the operating system and the
// global random generator in one file.
func impurities(t *testing.T, file string) []string {
	t.Helper()
	set := token.NewFileSet()
	tree, err := parser.ParseFile(set, file, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]string{} // local name -> import path
	var faults []string
	for _, imp := range tree.Imports {
		path, _ := strconv.Unquote(imp.Path.Value)
		name := path[strings.LastIndex(path, "/")+1:]
		if path == "math/rand/v2" {
			name = "rand"
		}
		if imp.Name != nil {
			name = imp.Name.Name
		}
		names[name] = path
		if path == "os" || path == "math/rand" || strings.HasPrefix(path, "os/") {
			faults = append(faults, set.Position(imp.Pos()).String()+": imports "+path)
		}
	}
	ast.Inspect(tree, func(n ast.Node) bool {
		sel, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		id, ok := sel.X.(*ast.Ident)
		if !ok || id.Obj != nil { // a local variable of that name
			return true
		}
		switch path := names[id.Name]; {
		case path == "time" && slices.Contains(clockFunctions, sel.Sel.Name):
			faults = append(faults, set.Position(n.Pos()).String()+": reads the wall clock with time."+sel.Sel.Name)
		case path == "math/rand/v2" && !slices.Contains(ownGenerators, sel.Sel.Name) && !isRandomType(sel.Sel.Name):
			faults = append(faults, set.Position(n.Pos()).String()+": draws from the global generator with rand."+sel.Sel.Name)
		}
		return true
	})
	return faults
}

func isRandomType(name string) bool {
	return slices.Contains([]string{"Rand", "Source", "PCG", "ChaCha8", "Zipf"}, name)
}

// The check itself must see what it is there to see.
func TestImpuritiesAreSeen(t *testing.T) {
	faults := impurities(t, filepath.Join("testdata", "impure.go.txt"))
	for _, want := range []string{"imports os", "time.Now", "time.Since", "rand.IntN"} {
		if !slices.ContainsFunc(faults, func(f string) bool { return strings.Contains(f, want) }) {
			t.Errorf("%s not seen in %q", want, faults)
		}
	}
	if len(faults) != 4 {
		t.Errorf("%d faults seen, want 4: %q", len(faults), faults)
	}
}

// importGraph returns the direct imports of every package that the program needs.
func importGraph(t *testing.T) map[string][]string {
	t.Helper()
	graph := map[string][]string{}
	for _, line := range goList(t, "-deps", "-f", "{{.ImportPath}}\t{{join .Imports \" \"}}", "driftdrill/...") {
		path, list, _ := strings.Cut(line, "\t")
		graph[path] = strings.Fields(list)
	}
	return graph
}

// reach returns a shortest chain of imports from a package to one whose path
// begins with target, or nil.
func reach(imports map[string][]string, from, target string) []string {
	came := map[string]string{from: ""}
	for queue := []string{from}; len(queue) > 0; queue = queue[1:] {
		p := queue[0]
		if p != from && (p == target || strings.HasPrefix(p, target+"/")) {
			var chain []string
			for ; p != ""; p = came[p] {
				chain = append([]string{p}, chain...)
			}
			return chain
		}
		for _, q := range imports[p] {
			if _, seen := came[q]; !seen {
				came[q] = p
				queue = append(queue, q)
			}
		}
	}
	return nil
}

func under(path, pattern string) bool {
	root, tree := strings.CutSuffix(pattern, "/...")
	return path == root || tree && strings.HasPrefix(path, root+"/")
}

func goList(t *testing.T, args ...string) []string {
	t.Helper()
	cmd := exec.Command("go", append([]string{"list"}, args...)...)
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list %v: %v", args, err)
	}
	return strings.Split(strings.TrimSpace(string(out)), "\n")
}
