//go:build e2e && linux

package main

import (
	"bufio"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring/logbook"
	"driftdrill/sim"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
	"github.com/pelletier/go-toml/v2"
)

// listenerByWords is a person who cannot see the window: what reaches him is
// what is said aloud, what he has is the keyboard.
type listenerByWords struct {
	*stage
	script string // what was said, a line an utterance
	read   int    // lines of it that were taken
}

// newListenerByWords puts a speech program into the stage that writes down
// what it is to say, under the name of the real one.
func newListenerByWords(s *stage) *listenerByWords {
	s.t.Helper()
	folder := filepath.Join(s.dir, "voice")
	if err := os.MkdirAll(folder, 0o755); err != nil {
		s.t.Fatal(err)
	}
	l := &listenerByWords{stage: s, script: filepath.Join(s.dir, "said.txt")}
	speaker := filepath.Join(folder, "espeak-ng")
	s.write(speaker, "#!/bin/sh\nwhile [ $# -gt 1 ]; do shift; done\necho \"$1\" >>"+l.script+"\n")
	if err := os.Chmod(speaker, 0o755); err != nil {
		s.t.Fatal(err)
	}
	for i, v := range s.env {
		if path, ok := strings.CutPrefix(v, "PATH="); ok {
			s.env[i] = "PATH=" + folder + ":" + path
		}
	}
	return l
}

// lines returns what was said and not taken yet.
func (l *listenerByWords) lines() []string {
	f, err := os.Open(l.script)
	if err != nil {
		return nil
	}
	defer f.Close()
	var all []string
	for sc := bufio.NewScanner(f); sc.Scan(); {
		all = append(all, sc.Text())
	}
	return all[min(l.read, len(all)):]
}

// hears waits until something is said that has these words in it, and returns all of it.
func (l *listenerByWords) hears(words string) string {
	l.t.Helper()
	said, ok := l.within(patience, words)
	if !ok {
		l.t.Fatalf("waited %v in vain to hear %q; since the last time was said:\n%s", patience, words, strings.Join(l.lines(), "\n"))
	}
	return said
}

// within waits, at most for d, until something is said that has these words in it.
func (l *listenerByWords) within(d time.Duration, words string) (string, bool) {
	for deadline := time.Now().Add(d); ; time.Sleep(20 * time.Millisecond) {
		for i, line := range l.lines() {
			if strings.Contains(line, words) {
				l.read += i + 1
				return line, true
			}
		}
		if time.Now().After(deadline) {
			return "", false
		}
	}
}

// press presses keys, one after the other.
func (l *listenerByWords) press(keys ...string) {
	l.t.Helper()
	for _, k := range keys {
		l.do("key %s", k)
		l.do("sleep 0.15")
	}
}

// asks presses a key and waits for an answer.
func (l *listenerByWords) asks(key, words string) string {
	l.t.Helper()
	l.press(key)
	return l.hears(words)
}

// tells asks by the guide key and waits for an answer. Where a new prompt came
// at the same moment that is said in place of the answer, so it asks again.
func (l *listenerByWords) tells(words string) string {
	l.t.Helper()
	for range 5 {
		l.press("F1")
		if said, ok := l.within(patience/6, words); ok {
			return said
		}
	}
	return l.asks("F1", words)
}

// goTo presses a key until something is said that has these words in it.
func (l *listenerByWords) goTo(key, words string) {
	l.t.Helper()
	for range 30 {
		l.press(key)
		for deadline := time.Now().Add(3 * time.Second); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
			if len(l.lines()) == 0 {
				continue
			}
			time.Sleep(400 * time.Millisecond) // on a slow machine a key may count twice
			said := l.lines()
			l.read += len(said)
			if strings.Contains(said[len(said)-1], words) {
				return
			}
			break
		}
	}
	l.t.Fatalf("%q was not come to by pressing %s", words, key)
}

// opens starts the program and gives its window the keyboard.
func (l *listenerByWords) opens(args ...string) (*background, xproto.Window) {
	l.t.Helper()
	l.read += len(l.lines())
	app := l.start(l.program, args...)
	app.begin()
	w := l.windowOf(app)
	l.do("windowfocus %d", w)
	return app, w
}

// windowOf waits for the window of one copy of the program.
func (s *stage) windowOf(app *background) (w xproto.Window) {
	s.t.Helper()
	s.until("the window", func() bool {
		if !app.running() {
			s.t.Fatalf("driftdrill ended at once: %v\n%s", app.err, app.output.String())
		}
		find := exec.Command("xdotool", "search", "--all", "--onlyvisible", "--pid", strconv.Itoa(app.Process.Pid), "--class", "driftdrill")
		find.Env = s.env
		out, _ := find.Output()
		id, _, _ := strings.Cut(strings.TrimSpace(string(out)), "\n")
		n, err := strconv.ParseUint(id, 10, 32)
		w = xproto.Window(n)
		return err == nil
	})
	return w
}

// closeWindow asks a window to close, as a person does with its frame.
func (s *stage) closeWindow(w xproto.Window) {
	s.t.Helper()
	display := ""
	for _, v := range s.env {
		if d, ok := strings.CutPrefix(v, "DISPLAY="); ok {
			display = d
		}
	}
	c, err := xgb.NewConnDisplay(display)
	if err != nil {
		s.t.Fatal(err)
	}
	defer c.Close()
	atom := func(name string) xproto.Atom {
		r, err := xproto.InternAtom(c, false, uint16(len(name)), name).Reply()
		if err != nil {
			s.t.Fatal(err)
		}
		return r.Atom
	}
	ev := xproto.ClientMessageEvent{Format: 32, Window: w, Type: atom("WM_PROTOCOLS"),
		Data: xproto.ClientMessageDataUnionData32New([]uint32{uint32(atom("WM_DELETE_WINDOW")), 0, 0, 0, 0})}
	if err := xproto.SendEventChecked(c, false, w, 0, string(ev.Bytes())).Check(); err != nil {
		s.t.Fatal(err)
	}
}

// sheets lists the run sheets in the program's own folder.
func (s *stage) sheets() []string {
	files, _ := filepath.Glob(filepath.Join(s.dir, "home", ".local", "share", "driftdrill", "sheets", "*.jsonl"))
	return files
}

// TestEndToEndPages goes through the window by its keys, and knows where it is
// by what is said aloud alone.
func TestEndToEndPages(t *testing.T) {
	s := newStage(t)
	l := newListenerByWords(s)
	t.Run("from the welcome over a pass to the logbook and again", func(t *testing.T) { s.t = t; allTheWay(l) })
	t.Run("a run that was cut short is offered", func(t *testing.T) { s.t = t; cutShort(l) })
	t.Run("a drill flown by what is said", func(t *testing.T) { s.t = t; flownByWords(l) })
	t.Run("birds from an address", func(t *testing.T) { s.t = t; fromAnAddress(l) })
	t.Run("two windows at once", func(t *testing.T) { s.t = t; twoWindows(l) })
}

// allTheWay is a first evening: welcome, a pass over one's own place, a run,
// its marks, the logbook, the same run again.
func allTheWay(l *listenerByWords) {
	t := l.t
	app, window := l.opens()
	l.hears("Welcome to drift drill")
	l.tells("Everything is said aloud")
	l.do("type --delay 80 q3fen")
	l.asks("Return", "Step 2 of 3")
	l.do("type --delay 80 JO40aa")
	l.asks("Return", "Step 3 of 3")
	l.goTo("Tab", "Ready")
	l.asks("Return", "Start page")
	l.goTo("Down", "The next passes")
	l.asks("Return", " passes. ")
	row := l.asks("Down", "degrees high")
	l.asks("Return", "Press Enter to practise it")
	l.asks("Return", "With which drill?")
	l.goTo("Down", "Drill 6, Come back")
	l.asks("Return", "Come back on ")
	l.hears("Your over")
	l.do("keydown space")
	time.Sleep(4 * time.Second)
	l.press("Up", "Up", "Up", "Down")
	l.do("keyup space")
	l.asks("Escape", "Paused")
	l.asks("Down", "End the run")
	l.asks("Return", "Held")
	l.asks("Escape", "Passes") // where the run was begun
	l.asks("Escape", "Start page")
	l.goTo("Down", "Logbook")
	l.asks("Return", "1 run")
	l.asks("Return", "Held")
	l.goTo("Tab", "Again")
	l.asks("Return", "Get ready")
	l.closeWindow(window)
	app.endedWell()

	set := l.settingsNow()
	if set.Call != "Q3FEN" || set.Site != "JO40aa" || !set.Welcomed || !set.EarsOnly {
		t.Errorf("the welcome kept call %q, place %q, welcomed %v, aloud %v", set.Call, set.Site, set.Welcomed, set.EarsOnly)
	}
	sheets := l.sheets()
	if len(sheets) != 2 {
		t.Fatalf("%d run sheets, two runs were flown", len(sheets))
	}
	first, err := trainer.ReadSheet(sheets[0])
	if err != nil {
		t.Fatal(err)
	}
	again, err := trainer.ReadSheet(sheets[1])
	if err != nil {
		t.Fatal(err)
	}
	// The middle of the square JO40aa is 50 N + 1/48, 8 E + 1/24 degrees.
	if site := first.Setup.Site; math.Abs(site.LatDeg-50.0208) > 0.001 || math.Abs(site.LonDeg-8.0417) > 0.001 {
		t.Errorf("flown at %.4f, %.4f, not in JO40aa", site.LatDeg, site.LonDeg)
	}
	if bird := first.Setup.Bird.Name; !strings.HasPrefix(row, bird) {
		t.Errorf("%q was chosen, %s was flown", row, bird)
	}
	if first.Setup.Seed != again.Setup.Seed || !first.Setup.Pass.AOS.Equal(again.Setup.Pass.AOS) {
		t.Errorf("again is another run: seed %d then %d", first.Setup.Seed, again.Setup.Seed)
	}
}

// settingsNow reads the settings that the program keeps.
func (s *stage) settingsNow() port.Settings {
	s.t.Helper()
	text, err := os.ReadFile(filepath.Join(s.dir, "home", ".config", "driftdrill", "settings.toml"))
	if err != nil {
		s.t.Fatal(err)
	}
	var set port.Settings
	if err := toml.Unmarshal(text, &set); err != nil {
		s.t.Fatal(err)
	}
	return set
}

// cutShort closes the window in the middle of a run: it is offered at the next start.
func cutShort(l *listenerByWords) {
	t := l.t
	app, window := l.opens()
	l.hears("Start page")
	l.asks("Return", "Get ready")
	l.do("keydown space")
	l.until("twelve seconds of the run", func() bool { // a machine whose sound runs dry takes longer
		all := l.sheets()
		sh, err := trainer.ReadSheet(all[len(all)-1])
		return err == nil && sh.End > 12*sim.TicksPerSecond
	})
	l.do("keyup space")
	l.closeWindow(window)
	app.endedWell()
	before := len(l.sheets())
	app, window = l.opens()
	said := l.hears("A run was cut short")
	if !strings.Contains(said, "First hold") {
		t.Errorf("offered was %q", said)
	}
	l.goTo("Up", "See its marks")
	l.asks("Return", "Held")
	l.closeWindow(window)
	app.endedWell()
	if after := len(l.sheets()); after != before {
		t.Errorf("%d sheets before, %d after: a run was lost or made", before, after)
	}
	app, window = l.opens()
	if said := l.hears("Start page"); strings.Contains(said, "cut short") {
		t.Errorf("offered again: %q", said)
	}
	l.closeWindow(window)
	app.endedWell()
}

// flownByWords flies the first drill by keyboard and by what is said: the
// guide key tells how far off the voice is, the arrow keys turn by it.
func flownByWords(l *listenerByWords) {
	t := l.t
	app, window := l.opens()
	l.hears("Start page")
	l.goTo("Down", "Drills")
	// What comes next depends on what was flown.
	if !strings.Contains(l.asks("Return", "fly this one next"), "First hold") {
		l.goTo("Up", "First hold")
	}
	l.asks("Return", "Press Enter to fly it")
	l.asks("Return", "Get ready")
	l.hears("Find yourself")
	l.press("Tab") // latches the key
	hertz := regexp.MustCompile(`(\d+) hertz too (high|low)`)
	trueFor := 0
	for begun := time.Now(); time.Since(begun) < 40*time.Second || trueFor < 3; {
		if time.Since(begun) > 4*time.Minute {
			t.Fatal("the voice did not become true in four minutes")
		}
		said := l.tells("The run ends in")
		m := hertz.FindStringSubmatch(said)
		if m == nil {
			trueFor++
			continue
		}
		trueFor = 0
		off, _ := strconv.Atoi(m[1])
		key := "Up"
		if m[2] == "low" {
			key = "Down"
		}
		for range max(1, min(off/25, 12)) {
			l.do("key %s", key)
			l.do("sleep 0.08")
		}
	}
	l.asks("Escape", "Paused")
	l.asks("Down", "End the run")
	said := l.asks("Return", "Held")
	m := regexp.MustCompile(`Held[: ]+(\d+)`).FindStringSubmatch(said)
	if m == nil {
		t.Fatalf("the marks were told as %q", said)
	}
	held, _ := strconv.Atoi(m[1])
	t.Logf("flown by ear and keyboard alone: held %d", held)
	if held < 500 {
		t.Errorf("held %d by what was said; 500 is little", held)
	}
	l.closeWindow(window)
	app.endedWell()
}

// fromAnAddress types the address of an element file where the passes are
// listed: a wrong one is told and changes nothing, a right one lists its birds.
func fromAnAddress(l *listenerByWords) {
	t := l.t
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.URL.Path {
		case "/birds.txt":
			fmt.Fprint(w, strings.ReplaceAll(bundledFile(t, "elements/demo.tle"), "LARK-1", "DUNLIN-9"))
		case "/page.html":
			fmt.Fprint(w, "<html><body>Come in</body></html>")
		default:
			http.NotFound(w, r)
		}
	}))
	defer server.Close()
	app, window := l.opens()
	l.hears("Start page")
	l.goTo("Down", "The next passes")
	l.asks("Return", " passes. ")
	address := func(path string) {
		t.Helper()
		l.goTo("Tab", "Change place or birds")
		l.asks("Return", "Place and birds")
		l.goTo("Tab", "Birds: a file of elements")
		l.goTo("shift+Tab", "Your place")
		l.goTo("Tab", "Birds: a file of elements")
		if n := len(l.settingsNow().Elements); n > 0 {
			l.do("key --repeat %d --delay 70 BackSpace", n+5)
			l.do("sleep 0.3")
		}
		l.do("type --delay 40 %s", server.URL+path)
		l.do("sleep 0.3")
		l.asks("ctrl+a", "chosen "+server.URL+path)
		l.asks("ctrl+x", "deleted") // it is the system's clipboard now that has it
		l.asks("ctrl+v", server.URL+path)
		l.asks("Return", "Look for passes")
		l.press("Return")
	}
	address("/missing.txt")
	if said := l.hears("cannot be found"); !strings.Contains(said, "404") {
		t.Errorf("a missing file is told as %q", said)
	}
	address("/page.html")
	if said := l.hears("cannot be found"); !strings.Contains(said, "page.html") && !strings.Contains(said, "element") {
		t.Errorf("a page without elements is told as %q", said)
	}
	address("/birds.txt")
	l.hears(" passes. ")
	l.goTo("Down", "DUNLIN-9")
	l.closeWindow(window)
	app.endedWell()
	set := l.settingsNow()
	if set.Elements != server.URL+"/birds.txt" {
		t.Errorf("kept is %q", set.Elements)
	}
	set.Elements = ""
	l.settings(set)
}

// twoWindows keeps two copies of the program open at once, flies in both, and
// finds both runs in the logbook.
func twoWindows(l *listenerByWords) {
	t := l.t
	book := filepath.Join(l.dir, "home", ".local", "share", "driftdrill")
	before := runsIn(t, book)
	var apps [2]*background
	var windows [2]xproto.Window
	for i := range apps {
		apps[i], windows[i] = l.opens("fly", "--drill", "first-hold", "--seed", strconv.Itoa(40+i), "--audio", "silent", "--quit-at-end")
		l.hears("Find yourself")
		time.Sleep(3 * time.Second)
		l.asks("Escape", "Paused")
		l.asks("Down", "End the run")
	}
	for i, app := range apps {
		l.do("windowfocus %d", windows[i])
		l.press("Return")
		app.endedWell()
	}
	if after := runsIn(t, book); after != before+2 {
		t.Errorf("%d runs in the logbook before, %d after two were flown in two windows", before, after)
	}
}

// TestPicturesOfPages photographs the pages round the desk.
func TestPicturesOfPages(t *testing.T) {
	if !*takePictures {
		t.Skip("only with -pictures")
	}
	s := newStage(t)
	l := newListenerByWords(s)
	folder := filepath.Join("..", "..", "assets", "pictures")
	if err := os.MkdirAll(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	app, window := l.opens()
	l.hears("Welcome to drift drill")
	picture := func(name string) {
		time.Sleep(1500 * time.Millisecond)
		l.photograph(filepath.Join(folder, name+".png"))
	}
	picture("welcome")
	l.tells("Everything is said aloud")
	l.goTo("Tab", "Skip all this")
	l.asks("Return", "Start page")
	l.do("mousemove 1200 700")
	picture("start")
	l.goTo("Down", "The next passes")
	l.asks("Return", " passes. ")
	l.asks("Down", "degrees high")
	picture("passes")
	l.asks("Escape", "Start page")
	l.goTo("Down", "Drills")
	l.asks("Return", "First hold")
	l.goTo("Down", "Drill 6, Come back")
	picture("drills")
	l.asks("Escape", "Start page")
	l.goTo("Down", "Settings")
	l.asks("Return", "sound")
	picture("settings")
	l.goTo("Right", "knob")
	l.goTo("Tab", "Keys and buttons")
	l.asks("Return", "turn up")
	picture("keys")
	l.closeWindow(window)
	app.endedWell()

	app, window = l.opens("fly", "--drill", "hear-the-shift", "--seed", "3")
	l.hears("Get ready")
	for _, key := range []string{"1", "3", "2", "1"} {
		time.Sleep(5 * time.Second)
		l.press(key)
	}
	time.Sleep(3 * time.Second)
	picture("exercise")
	l.closeWindow(window)
	app.endedWell()

	app, window = l.opens("fly", "--drill", "both-hands", "--seed", "5")
	l.hears("Get ready")
	l.do("keydown space")
	time.Sleep(20 * time.Second)
	picture("antenna")
	l.do("keyup space")
	l.asks("Escape", "Paused")
	picture("pause")
	l.asks("Down", "End the run")
	l.asks("Return", "Held")
	l.closeWindow(window)
	app.endedWell()

	s.practises()
	l.opens()
	l.hears("Start page")
	l.goTo("Down", "Logbook")
	l.asks("Return", "runs")
	picture("logbook")
}

// runsIn counts the runs of the logbook in a data folder.
func runsIn(t *testing.T, folder string) int {
	t.Helper()
	b, err := logbook.Open(logbook.Path(folder))
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	n, err := b.Count(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return n
}
