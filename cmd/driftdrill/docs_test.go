package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"driftdrill/sim"
)

var (
	docLink    = regexp.MustCompile(`\]\(([^)#\s]*)(?:#([^)\s]*))?\)`)
	docHeading = regexp.MustCompile(`(?m)^#+ (.*)$`)
	notAnchor  = regexp.MustCompile(`[^\p{L}\p{N} _-]`)
)

// anchors are the names by which links reach the headings of a page: lower case,
// a hyphen for each blank, without other signs (common practice of the places
// that show such pages, no published source).
func anchors(page string) map[string]bool {
	names := map[string]bool{}
	for _, h := range docHeading.FindAllStringSubmatch(page, -1) {
		names[strings.ReplaceAll(notAnchor.ReplaceAllString(strings.ToLower(h[1]), ""), " ", "-")] = true
	}
	return names
}

// Each link and picture of a page leads to a file, and to a heading in it.
func TestLinksOfPagesLeadSomewhere(t *testing.T) {
	const root = "../.."
	links := 0
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) != ".md" {
			return err
		}
		page, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		for _, l := range docLink.FindAllStringSubmatch(string(page), -1) {
			if strings.Contains(l[1], "://") {
				continue
			}
			links++
			to, target := path, page
			if l[1] != "" {
				to = filepath.Join(filepath.Dir(path), filepath.FromSlash(l[1]))
				if info, err := os.Stat(to); err != nil {
					t.Errorf("%s: no file %s", path, l[1])
					continue
				} else if info.IsDir() {
					continue
				}
				if target, err = os.ReadFile(to); err != nil {
					return err
				}
			}
			if l[2] != "" && !anchors(string(target))[l[2]] {
				t.Errorf("%s: no heading %s in %s", path, l[2], to)
			}
		}
		return nil
	})
	if err != nil || links < 20 {
		t.Fatalf("%v, %d links", err, links)
	}
}

// The README names every command.
func TestEveryCommandStandsInTheReadme(t *testing.T) {
	page, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, table, _ := strings.Cut(string(page), "\n## Commands\n")
	for _, c := range newRootCommand().Commands() {
		if !c.Hidden && c.Name() != "help" && c.Name() != "completion" && !strings.Contains(table, "`"+c.Name()) {
			t.Errorf("%s is not in the table of commands", c.Name())
		}
	}
}

// fileKeys collects the keys of a TOML file from what it is read into.
func fileKeys(t reflect.Type, keys map[string]bool) {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
		fileKeys(t.Elem(), keys)
	case reflect.Struct:
		for i := range t.NumField() {
			key, _, _ := strings.Cut(t.Field(i).Tag.Get("toml"), ",")
			if key == "-" || !t.Field(i).IsExported() {
				continue
			}
			if key != "" {
				keys[key] = true
			}
			fileKeys(t.Field(i).Type, keys)
		}
	}
}

// Whoever writes a bird or a drill finds each key that the program reads.
func TestEveryKeyOfAFileIsWrittenDown(t *testing.T) {
	page, err := os.ReadFile("../../assets/FILES.md")
	if err != nil {
		t.Fatal(err)
	}
	keys := map[string]bool{}
	fileKeys(reflect.TypeFor[sim.Bird](), keys)
	fileKeys(reflect.TypeFor[sim.Drill](), keys)
	if len(keys) < 80 {
		t.Errorf("only %d keys", len(keys))
	}
	for _, m := range sim.Measures() {
		keys[m] = true
	}
	for key := range keys {
		if !regexp.MustCompile("[`.\\[]" + regexp.QuoteMeta(key) + "[`\\] ]").Match(page) {
			t.Errorf("%s stands nowhere", key)
		}
	}
}
