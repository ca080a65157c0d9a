package licences

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write texts.txt anew")

// builds are the ways in which the program is given to people.
var builds = []struct{ goos, goarch, cgo, tags string }{
	{"linux", "amd64", "1", ""},
	{"linux", "arm64", "1", ""},
	{"linux", "amd64", "0", "nodesk"},
	{"windows", "amd64", "1", ""},
	{"darwin", "arm64", "1", ""},
	{"darwin", "amd64", "0", "nodesk"},
	{"js", "wasm", "0", ""},
}

// inside are licence texts that stand inside another file of a module: from
// the line that begins with from to the end, or to the end of that comment.
var inside = []struct{ module, name, file, from string }{
	{"github.com/gen2brain/malgo", "miniaudio", "miniaudio.h", "This software is available as a choice"},
	{"golang.org/x/image", "the Go fonts", "font/gofont/ttfs/README", "These fonts were created by"},
}

// licenceFile matches the names under which licence texts lie.
var licenceFile = regexp.MustCompile(`(?i)^(un)?(licen[sc]e|copying|copyright|notice|patents)([-.].*)?$`)

// pkg is what `go list -json` tells of one package.
type pkg struct {
	Dir      string
	Standard bool
	Module   *struct {
		Path, Dir string
		Main      bool
	}
}

// part is one text and whose it is.
type part struct{ name, text string }

// deps lists the packages of one build.
func deps(t *testing.T, goos, goarch, cgo, tags string) []pkg {
	t.Helper()
	program := "driftdrill/cmd/driftdrill"
	if goos == "js" {
		program += "/browser"
	}
	cmd := exec.Command("go", "list", "-deps", "-json=Dir,Standard,Module", "-tags", tags, program)
	cmd.Env = append(os.Environ(), "GOOS="+goos, "GOARCH="+goarch, "CGO_ENABLED="+cgo, "GOFLAGS=-buildvcs=false")
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var all []pkg
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p pkg
		if err := dec.Decode(&p); err == io.EOF {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

// collect gathers every licence text of everything that is built in.
func collect(t *testing.T) []part {
	t.Helper()
	files := map[string]string{}   // path of a text -> whose it is
	modules := map[string]string{} // module -> its folder
	for _, b := range builds {
		for _, p := range deps(t, b.goos, b.goarch, b.cgo, b.tags) {
			if p.Standard || p.Module == nil || p.Module.Main {
				continue
			}
			modules[p.Module.Path] = p.Module.Dir
			found := 0
			for dir := p.Dir; ; dir = filepath.Dir(dir) {
				for _, f := range licencesIn(t, dir) {
					files[f] = p.Module.Path
					found++
				}
				if dir == p.Module.Dir {
					break
				}
			}
			if found == 0 {
				t.Errorf("%s has no licence file that this test knows by its name", p.Module.Path)
			}
		}
	}
	parts := []part{{"driftdrill", read(t, "../../LICENSE")}}
	for _, f := range []string{"LICENSE", "PATENTS"} {
		parts = append(parts, part{"the Go language and its library", read(t, filepath.Join(goroot(t), f))})
	}
	for f, module := range files {
		parts = append(parts, part{module, read(t, f)})
	}
	own := parts[0]
	rest := append(parts[1:], others(t, modules)...)
	slices.SortFunc(rest, func(a, b part) int { return strings.Compare(a.name+"\n"+a.text, b.name+"\n"+b.text) })
	return append([]part{own}, rest...)
}

// others are the texts that no file of a module's own holds.
func others(t *testing.T, modules map[string]string) []part {
	t.Helper()
	var parts []part
	for _, i := range inside {
		file := filepath.Join(modules[i.module], i.file)
		_, text, ok := strings.Cut("\n"+read(t, file), "\n"+i.from)
		if !ok {
			t.Errorf("%s: no line that begins with %q", file, i.from)
		}
		text, _, _ = strings.Cut(text, "\n*/")
		parts = append(parts, part{i.name, i.from + text})
	}
	for file, name := range map[string]string{"glfw.txt": "GLFW and the table of game controllers", "mingw.txt": "mingw-w64 (Windows only)", "voices.txt": "the recorded voices"} {
		parts = append(parts, part{name, read(t, filepath.Join("other", file))})
	}
	return parts
}

func licencesIn(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		if licenceFile.MatchString(e.Name()) && e.Type().IsRegular() && !strings.HasSuffix(e.Name(), ".go") {
			out = append(out, filepath.Join(dir, e.Name()))
		}
	}
	return out
}

func goroot(t *testing.T) string {
	t.Helper()
	out, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimSpace(string(out))
}

// read returns a text with plain line ends and no space at either end.
func read(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimSpace(strings.ReplaceAll(strings.TrimPrefix(string(data), "\ufeff"), "\r\n", "\n"))
}

// write lays the texts out: the same text once, under all whose it is.
func write(parts []part) string {
	var texts []string
	whose := map[string][]string{}
	for _, p := range parts {
		if whose[p.text] == nil {
			texts = append(texts, p.text)
		}
		if !slices.Contains(whose[p.text], p.name) {
			whose[p.text] = append(whose[p.text], p.name)
		}
	}
	var b strings.Builder
	b.WriteString("driftdrill is under the licence that comes first here. Built into it are works\nof others, each under the licence below its name.\n")
	for _, text := range texts {
		fmt.Fprintf(&b, "\n%s%s\n\n%s\n", Mark, strings.Join(whose[text], ", "), text)
	}
	return b.String()
}

// Outside check: the modules' own files, over every build that is given away.
func TestNoLicenceIsMissing(t *testing.T) {
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("needs the go command")
	}
	want := write(collect(t))
	if *update && !t.Failed() {
		if err := os.WriteFile("texts.txt", []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if want != Text {
		t.Error("texts.txt is not what the modules of today say; run: go test ./assets/licences -update")
	}
}

func TestNames(t *testing.T) {
	names := Names()
	for _, want := range []string{"driftdrill", "github.com/hajimehoshi/ebiten/v2", "the Go fonts", "miniaudio", "the recorded voices", "modernc.org/sqlite", "codeberg.org/go-fonts/liberation"} {
		if !slices.Contains(names, want) {
			t.Errorf("%q is not among %q", want, names)
		}
	}
	if names[0] != "driftdrill" {
		t.Errorf("first comes %q", names[0])
	}
}
