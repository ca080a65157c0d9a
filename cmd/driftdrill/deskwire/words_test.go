//go:build !nodesk

package deskwire

import (
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
)

// commandWords are words of a command line or of a library, which nobody at a
// window can do anything with.
var commandWords = regexp.MustCompile("--[a-z]|[A-Z]+,[A-Z]|\\[,|`|\\bdriftdrill [a-z]|RFC ?3339|\\bstrconv\\b|\\bparsing\\b|\\bdial tcp\\b|\\blookup\\b|\\bopen /|no such file or directory|\\binvalid\\b|\\bstdin\\b|\\bsyntax\\b|struct field|decode|%!|<nil>|\\bnil\\b|\\bEOF\\b")

// Whatever a person types into a field of the window or drops on it: what is
// wrong is said in words of the window. Source: our own list of such words.
func TestWhatIsWrongIsSaidInTheWindowsWords(t *testing.T) {
	w := aWiring(t, port.DefaultSettings())
	dir := t.TempDir()
	w.Dropped, w.Flock = filepath.Join(dir, "dropped"), trainer.Flock{Folder: filepath.Join(dir, "birds")}
	file := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	clean := func(what, typed, says string) {
		t.Helper()
		if found := commandWords.FindString(says); found != "" || says == "" || strings.Contains(says, "\n") || len(says) > 900 {
			t.Errorf("%s, %.60q: %q (%q)", what, typed, says, found)
		} else {
			t.Logf("%s, %.40q: %s", what, typed, says)
		}
	}
	places := []string{"nowhere", "JN", "ZZ99", "JN58zz", "50", "50,", "50,8,1,2", "fifty, eight", "91,8", "50,181", "50,8,99999", ",", "NaN,8", "50 8", strings.Repeat("x", 300),
		filepath.Join(dir, "none.toml"), file("bad.toml", "lat = \"north\"\n"), file("odd.toml", "latitude = 50\n"), file("cut.toml", "lat = \n"), file("far.toml", "lat = 95\nlon = 8\n")}
	for _, p := range places {
		says, ok := checkSite(p)
		if ok {
			t.Errorf("a place %q is taken", p)
		}
		clean("place", p, says)
		if len(says) > 100 && len(p) < 20 {
			t.Errorf("place, %q: %d letters do not fit under a field: %s", p, len(says), says)
		}
		_, err := w.passes(t.Context(), port.PassQuery{Site: p, Days: 1}, func(int, int) {})
		clean("passes there", p, errorOf(err))
	}
	for _, r := range []string{"localhost:", ":1:2", "a b", "localhost:99999", "localhost:x", "/dev/ttyUSB0", "localhost:-1"} {
		says, ok := new(radioProbes).check(r)
		if ok {
			t.Errorf("a radio %q is taken", r)
		}
		clean("radio", r, says)
	}
	for _, e := range []string{filepath.Join(dir, "none.tle"), dir, "-", file("empty.tle", ""), file("text.tle", "hello\nthere\n"), file("half.tle", "1 99901U 26001A   26325.50000000  .00000000  00000-0  00000-0 0  9990\n")} {
		if says, ok := w.checkElements(e); !ok {
			clean("elements", e, says)
		}
	}
	w.dropBadFiles(t, clean)
	set := w.set()
	for _, r := range []port.RunRequest{{Drill: "no-such"}, {Drill: "99"}, {Drill: filepath.Join(dir, "gone.toml")}, {Drill: "come-back", Pass: "LARK-1@tomorrow"}, {Drill: "come-back", Pass: "WREN@2026-11-25T18:30:00Z"},
		{Drill: "come-back", Pass: "LARK-1@1999-11-25T18:30:00Z"}, {Drill: "come-back", Pass: "0"}, {Drill: "come-back", Pass: "900"},
		{Drill: file("orbit.toml", strings.Replace(bundledDrill(t), "top_deg", "height_km = 9000\ntop_deg", 1))}, {Drill: file("elements.toml", "elements = \"mine\"\n"+bundledDrill(t))}, {Drill: file("bird.toml", strings.Replace(bundledDrill(t), "bird = \"", "bird = \"un", 1))}} {
		w.settings = set
		_, err := w.newSession(t.Context(), r)
		clean("run", r.Drill+" "+r.Pass, errorOf(err))
	}
}

// dropBadFiles drops files that cannot be taken.
func (w *wiring) dropBadFiles(t *testing.T, clean func(what, name, says string)) {
	bird, err := trainer.Flock{}.Text("lark-1")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.takeFile(context.Background(), "lark-1.toml", bird); err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string]string{"lark-1.toml": string(bird), "bird.toml": "name = \"X\"\n[[transponder]]\n", "broken.toml": "[[transponder]]\nuplink_low_hz = ", "drill.toml": "name = 3\n", "cut.toml": "name = ",
		"odd.toml": "colour = \"red\"\n", "quiet.wav": "RIFF", "none.wav": "", "text.tle": "hello\n", "picture.png": "\x89PNG\r\n", "empty": ""} {
		_, err := w.takeFile(context.Background(), name, []byte(data))
		clean("dropped", name, errorOf(err))
	}
}

func errorOf(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

func bundledDrill(t *testing.T) string {
	t.Helper()
	text, err := trainer.DrillText("come-back")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
