//go:build e2e && linux

package main

import (
	"bufio"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/orbit"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
)

var measure = flag.Bool("measure", false, "measure how fast the window is; nothing is judged")

// TestMeasureDesk prints what README.md says of the window: how soon it shows
// and sounds, its frames, its memory, and its worst frame while it works.
func TestMeasureDesk(t *testing.T) {
	if !*measure {
		t.Skip("only with -measure")
	}
	s := newStage(t)
	s.settings(practised)
	t.Run("start", func(t *testing.T) { s.t = t; s.measureStart(10) })
	t.Run("frames", func(t *testing.T) { s.t = t; s.measureFrames(time.Minute) })
	t.Run("rest", func(t *testing.T) { s.t = t; s.measureRest() })
	t.Run("pages", func(t *testing.T) { s.t = t; s.measurePages() })
	t.Run("logbook of 2000", func(t *testing.T) { s.t = t; s.measureLogbook(2000, true) })
	t.Run("logbook of 100000", func(t *testing.T) { s.t = t; s.measureLogbook(100_000, false) })
	t.Run("work", func(t *testing.T) { s.t = t; s.measureWork(1000) })
}

// measureStart starts the program anew so many times.
func (s *stage) measureStart(times int) {
	x, err := xgb.NewConnDisplay(s.value("DISPLAY"))
	if err != nil {
		s.t.Fatal(err)
	}
	defer x.Close()
	heard := s.listen()
	var frame, sound []float64
	for range times {
		s.until("a dark display", func() bool { return !lit(s.t, x) })
		from, begun := heard.frames(), time.Now()
		app := s.start(s.program, "fly", "--drill", "first-hold", "--seed", "4")
		app.begin()
		for !lit(s.t, x) {
			time.Sleep(4 * time.Millisecond)
		}
		frame = append(frame, time.Since(begun).Seconds()*1000)
		s.until("sound", func() bool {
			at := slices.IndexFunc(heard.ear(right, from, 48000*10), func(v float64) bool { return math.Abs(v) > 1e-5 })
			if at >= 0 {
				sound = append(sound, float64(at)/48)
			}
			return at >= 0
		})
		_ = app.Process.Kill()
		<-app.ended
		time.Sleep(time.Second) // until what it has sent is played
	}
	s.t.Logf("first frame on the display: %s ms after the start", spread(frame))
	s.t.Logf("first sound at the sound server: %s ms after the start", spread(sound))
}

// lit tells whether the display shows anything in its upper left part.
func lit(t *testing.T, x *xgb.Conn) bool {
	t.Helper()
	root := xproto.Setup(x).DefaultScreen(x).Root
	got, err := xproto.GetImage(x, xproto.ImageFormatZPixmap, xproto.Drawable(root), 0, 0, 200, 60, 0xffffffff).Reply()
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i+3 < len(got.Data); i += 4 {
		if got.Data[i] > 60 || got.Data[i+1] > 60 || got.Data[i+2] > 60 {
			return true
		}
	}
	return false
}

// measureFrames flies a busy drill by wheel and key.
func (s *stage) measureFrames(d time.Duration) {
	log := filepath.Join(s.dir, "flying.frames")
	app := s.start(s.program, "fly", "--drill", "busy-passband", "--seed", "3", "--frame-log", log)
	app.begin()
	s.window(app)
	from, begun := s.ticks(app), time.Now()
	for end := begun.Add(d); time.Now().Before(end); {
		s.do("keydown space")
		for range 6 {
			s.do("click 4")
			time.Sleep(500 * time.Millisecond)
		}
		s.do("keyup space")
		time.Sleep(2 * time.Second)
	}
	s.t.Logf("flying, six others: %.2f cores", float64(s.ticks(app)-from)/100/time.Since(begun).Seconds())
	s.t.Logf("resident after %v: %s", d, s.resident(app))
	s.ends(app)
	s.tellFrames("flying, six others", log)
}

// ends lets the window work for another two seconds and closes it.
func (s *stage) ends(app *background) {
	time.Sleep(2 * time.Second)
	s.closeWindow(s.windowOf(app))
	app.endedWell()
}

// speaking opens the program at its start page, with everything said aloud.
func (s *stage) speaking(change func(set *port.Settings), args ...string) (*listenerByWords, *background) {
	set := s.settingsNow()
	set.EarsOnly = true
	change(&set)
	s.settings(set)
	l := newListenerByWords(s)
	app, _ := l.opens(args...)
	l.hears("Start page")
	return l, app
}

// measureWork lets the window search the passes of many birds in a week, and
// fly the ladder of a run.
func (s *stage) measureWork(birds int) {
	file := filepath.Join(s.dir, "many.tle")
	s.write(file, manyBirds(s.t, birds))
	log := filepath.Join(s.dir, "work.frames")
	l, app := s.speaking(func(set *port.Settings) { set.Elements = file }, "--frame-log", log)
	l.goTo("Down", "The next passes")
	begun := time.Now()
	l.press("Return")
	said := l.hears(" passes. ")
	s.t.Logf("%d birds: the passes of a day after %.1f s: %.60q", birds, time.Since(begun).Seconds(), said)
	l.press("Up")
	l.goTo("Right", "7 days")
	begun = time.Now()
	said = l.hears(" passes. ")
	s.t.Logf("%d birds: the passes of a week after %.1f s: %.60q", birds, time.Since(begun).Seconds(), said)
	s.ends(app)
	s.tellFrames("while passes are searched", log)

	log = filepath.Join(s.dir, "ladder.frames")
	app, _ = l.opens("fly", "--drill", "low-overhead", "--seed", "2", "--frame-log", log)
	l.hears("Get ready")
	l.press("Tab")
	time.Sleep(15 * time.Second)
	l.asks("Escape", "Paused")
	l.asks("Down", "End the run")
	l.asks("Return", "Held")
	time.Sleep(6 * time.Second)
	s.ends(app)
	s.tellFrames("a run that ends and is rated", log)
}

// manyBirds are the bundled birds many times over, each a little further on its way.
func manyBirds(t *testing.T, n int) string {
	t.Helper()
	sets, _ := orbit.ReadElements(strings.NewReader(bundledFile(t, "elements/demo.tle")), "demo")
	var b strings.Builder
	for i := range n {
		e := sets[i%len(sets)]
		e.Name, e.Catalog = fmt.Sprintf("CHICK-%d", i+1), 99000+i%1000
		e.NodeDeg = math.Mod(e.NodeDeg+float64(i)*7.3, 360)
		e.AnomalyDeg = math.Mod(e.AnomalyDeg+float64(i)*31.7, 360)
		one, two := e.TLE()
		fmt.Fprintf(&b, "%s\n%s\n%s\n", e.Name, one, two)
	}
	return b.String()
}

// tellFrames sums a log of frames up, without the first second.
func (s *stage) tellFrames(what, path string) {
	f, err := os.Open(path)
	if err != nil {
		s.t.Fatal(err)
	}
	defer f.Close()
	var all []float64
	for sc := bufio.NewScanner(f); sc.Scan(); {
		if v, err := strconv.ParseFloat(sc.Text(), 64); err == nil {
			all = append(all, v)
		}
	}
	if len(all) < 120 {
		s.t.Fatalf("%s: only %d frames", what, len(all))
	}
	at := 0.0
	for i, v := range all {
		if at += v; i > 60 && v > 45 {
			s.t.Logf("    a frame of %.0f ms %.1f s after the first", v, at/1000)
		}
	}
	all = all[60:]
	s.t.Logf("%s: %d frames, interval %s ms, 95 %% within %.1f", what, len(all), spread(all), quantile(all, 0.95))
}

func spread(v []float64) string {
	return fmt.Sprintf("%.1f (median), %.1f (worst)", quantile(v, 0.5), slices.Max(v))
}

func quantile(v []float64, q float64) float64 {
	w := slices.Sorted(slices.Values(v))
	return w[int(q*float64(len(w)-1)+0.5)]
}
