//go:build !nodesk

package deskwire

import (
	"context"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/desk/port"
	_ "driftdrill/cmd/driftdrill/display" // before the window library
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"
	"driftdrill/sim"
)

// aWiring keeps its data in a folder of the test and is silent.
func aWiring(t *testing.T, set port.Settings) *wiring {
	t.Helper()
	w := newWiring(Config{Program: "test", Stderr: io.Discard, Store: trainer.Disk{Data: t.TempDir(), Config: t.TempDir()}, Hardware: silence{},
		ReadElements: func(_ context.Context, name string) ([]orbit.Elements, []orbit.Problem, error) {
			f, err := os.Open(name)
			if err != nil {
				return nil, nil, err
			}
			defer f.Close()
			sets, problems := orbit.ReadElements(f, name)
			return sets, problems, nil
		}})
	w.settings = set
	return w
}

// silence is hardware that is not wanted.
type silence struct{}

func (silence) Wanted() bool                                    { return false }
func (silence) Run(int) trainer.Output                          { return quiet{} }
func (silence) Sound(int) audio.Sink                            { return quiet{} }
func (silence) Microphone(*audio.Microphone) (io.Closer, error) { return nil, errors.New("none") }
func (silence) NoMicrophone() string                            { return "this build has none" }

// quiet is an output that never pulls.
type quiet struct{}

func (quiet) Start(audio.Source) error { return nil }
func (quiet) Stats() audio.Stats       { return audio.Stats{} }
func (quiet) Err() error               { return nil }
func (quiet) Close() error             { return nil }
func (quiet) Silent() bool             { return true }
func (quiet) Message() string          { return "" }

// What a drill's coach says of how often to turn is what the simulated pass asks
// where it is fastest, whichever pass is flown.
func TestRhythmOfTheCoach(t *testing.T) {
	all, err := trainer.Drills()
	if err != nil {
		t.Fatal(err)
	}
	said := regexp.MustCompile(`one (\d+) Hz notch every (\d+(?:\.\d)?) s`)
	tested := 0
	check := func(f trainer.Flight) {
		t.Helper()
		setup, err := f.Prepare()
		if err != nil {
			t.Fatal(err)
		}
		about, err := aboutRun(&setup)
		if err != nil {
			t.Fatal(err)
		}
		if strings.ContainsAny(about.Coach, "{}") {
			t.Errorf("%s: the coach says %q", f.Drill, about.Coach)
		}
		if !strings.Contains(setup.Drill.Coach, sim.RhythmMark) {
			return
		}
		m := said.FindStringSubmatch(about.Coach)
		if m == nil {
			t.Fatalf("%s: the coach says %q", f.Drill, about.Coach)
		}
		tested++
		hand, err := sim.NewHand("none", 1, &setup)
		if err != nil {
			t.Fatal(err)
		}
		fastest, at, was := 0.0, sim.Tick(-1), 0.0
		if err := sim.Rehearse(setup, hand, func(s *sim.State) {
			passed := s.Tick - at
			if at >= 0 && passed >= 5*sim.TicksPerSecond {
				fastest = max(fastest, math.Abs(s.OffsetHz-was)/passed.Seconds())
			}
			if at < 0 || passed >= 5*sim.TicksPerSecond {
				at, was = s.Tick, s.OffsetHz
			}
		}); err != nil {
			t.Fatal(err)
		}
		step, _ := strconv.ParseFloat(m[1], 64)
		every, _ := strconv.ParseFloat(m[2], 64)
		if want := step / fastest; int(step) != setup.Drill.StepHz || !(math.Abs(every-want) <= 0.05+0.03*want) {
			t.Errorf("%s: %q, but %.1f Hz/s ask for one notch of %d Hz every %.2f s", f.Drill, about.Coach, fastest, setup.Drill.StepHz, want)
		}
		t.Logf("%s: %s (%.1f Hz/s)", f.Drill, about.Coach, fastest)
	}
	for i := range all {
		check(trainer.Flight{Drill: all[i].Name})
	}
	check(trainer.Flight{Drill: "come-back", Bird: "lark-1", Pass: "1"})
	check(trainer.Flight{Drill: "come-back", Bird: "fulmar-3", Pass: "2"})
	if tested < 6 {
		t.Errorf("%d lines of the coach speak of a rhythm; six are wanted", tested)
	}
}

// A run begins with the drill's own step, and where the drill leaves it to the
// operator with that of the settings.
func TestStepOfARun(t *testing.T) {
	for _, c := range []struct {
		drill string
		want  int
	}{{"low-overhead", 50}, {"slow-climb", 20}, {"come-back", 10}, {"real-afternoon", 10}} {
		set := port.DefaultSettings()
		set.StepHz = 10
		w := aWiring(t, set)
		ses, err := w.newSession(t.Context(), port.RunRequest{Drill: c.drill, Seed: 3})
		if err != nil {
			t.Fatal(err)
		}
		var s sim.State
		ses.Snapshot(&s)
		if s.StepHz != c.want || w.last.Drill.StepHz != c.want {
			t.Errorf("%s begins with a step of %d Hz (its setup says %d), want %d", c.drill, s.StepHz, w.last.Drill.StepHz, c.want)
		}
		ses.Close()
		w.trainer.Wait()
	}
}

// Every drill of the path has words for what it trains, and a newcomer is
// sent to the first one.
func TestPathOfDrills(t *testing.T) {
	path, err := aWiring(t, port.Settings{}).drills(t.Context(), "")
	if err != nil || len(path) == 0 {
		t.Fatal(len(path), err)
	}
	advised := ""
	for i, e := range path {
		if e.Trains == "" || e.Goal == "" || e.Brief == "" || e.Done {
			t.Errorf("drill %d: %+v", e.Number, e)
		}
		if i > 0 && e.Number < path[i-1].Number {
			t.Errorf("drill %d stands behind drill %d", e.Number, path[i-1].Number)
		}
		if e.Advised {
			advised += e.Name + " " + e.Why
		}
	}
	if !strings.HasPrefix(advised, "first-hold Your first five minutes.") {
		t.Errorf("a newcomer is sent to %q", advised)
	}
}

// The pages' search finds what the library's own search finds over the same
// place, and names each pass so that it is found again.
func TestPassesForTheDesk(t *testing.T) {
	w := aWiring(t, port.Settings{Site: "50,8,150"})
	steps := 0
	found, err := w.passes(context.Background(), port.PassQuery{Site: "50,8,150", Days: 2, AboveDeg: 10}, func(done, total int) { steps++ })
	if err != nil {
		t.Fatal(err)
	}
	if len(found) < 10 || steps < 4 {
		t.Fatalf("%d passes in two days of four birds, %d words on the way", len(found), steps)
	}
	for i, p := range found {
		if p.MaxElevationDeg < 10 || !p.AOS.Before(p.Top) || !p.Top.Before(p.LOS) {
			t.Errorf("pass %d: %+v", i, p)
		}
		if i > 0 && p.AOS.Before(found[i-1].AOS) {
			t.Errorf("pass %d rises before the one ahead of it", i)
		}
		top := 0.0
		for _, h := range p.Hill {
			top = max(top, h.ElevationDeg)
		}
		if p.MaxElevationDeg-top > 0.05 {
			t.Errorf("pass %d: the hill is %.2f degrees high, the pass %.2f", i, top, p.MaxElevationDeg)
		}
	}
	setup, err := w.chosenPass(t.Context(), port.RunRequest{Drill: "come-back", Pass: found[3].Key, Seed: 5})
	if err != nil {
		t.Fatal(err)
	}
	if d := setup.Pass.AOS.Sub(found[3].AOS); d.Abs() > 20*time.Millisecond || setup.Bird.Name != found[3].Bird {
		t.Errorf("%s rises %v off the one that was chosen, %s", setup.Bird.Name, d, found[3].Bird)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := w.passes(ctx, port.PassQuery{Days: 1}, func(int, int) {}); err != context.Canceled {
		t.Errorf("a search that was stopped gave %v", err)
	}
}

func TestPlacesInWords(t *testing.T) {
	for _, c := range []struct {
		text, has string
		ok        bool
	}{{"", "Quern Hill", true}, {"JO40aa", "locator JO40aa", true}, {"-33.9, 18.4", "33.900° S, 18.400° E", true}, {"95,8", "95", false}, {"the garden", "garden", false}} {
		says, ok := checkSite(c.text)
		if ok != c.ok || !strings.Contains(says, c.has) {
			t.Errorf("%q: %q, %v", c.text, says, ok)
		}
	}
}

// A bird without a bird file can be flown too.
func TestBirdWithoutAFile(t *testing.T) {
	sets, err := aWiring(t, port.Settings{}).skyBirds(t.Context(), "")
	if err != nil {
		t.Fatal(err)
	}
	e := sets[0].Elements
	e.Name, e.Catalog = "SISKIN-9", 99977
	b, from, err := trainer.Flock{}.For(e)
	if err != nil {
		t.Fatal(err)
	}
	if b.Name == "" || b.Catalog != 99977 || len(b.Transponders) != 1 || !b.Transponders[0].Inverting || !strings.HasPrefix(from, "no plan") {
		t.Errorf("%+v", b)
	}
}

// Old elements, and elements from the future, are told with each pass; the
// bundled birds never. By the rule of lateS 0.5 km a day at 7.45 km/s, the speed
// 800 km up, makes 2.7 s in 40 days.
func TestOldElementsOnThePage(t *testing.T) {
	sets, err := trainer.ReadBundledElements(trainer.BundledElements)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		days float64
		want string
	}{{"old", 40, "days old: up to 3 s early or late"}, {"of today", 0.2, ""}, {"from the future", -20, "later, or the clock is wrong: up to"}} {
		t.Run(c.name, func(t *testing.T) {
			e, err := orbit.Find(sets, "DIPPER-2")
			if err != nil {
				t.Fatal(err)
			}
			e.Epoch = time.Now().UTC().Add(-time.Duration(c.days * 24 * float64(time.Hour)))
			path := filepath.Join(t.TempDir(), "birds.txt")
			line1, line2 := e.TLE()
			if err := os.WriteFile(path, []byte(e.Name+"\n"+line1+"\n"+line2+"\n"), 0o644); err != nil {
				t.Fatal(err)
			}
			w := aWiring(t, port.Settings{})
			found, err := w.passes(t.Context(), port.PassQuery{Elements: path, Days: 2}, func(int, int) {})
			if err != nil || len(found) == 0 {
				t.Fatal(len(found), err)
			}
			if c.want == "" && found[0].Old != "" || !strings.Contains(found[0].Old, c.want) {
				t.Errorf("%q", found[0].Old)
			}
		})
	}
	w := aWiring(t, port.Settings{})
	found, err := w.passes(t.Context(), port.PassQuery{Days: 1}, func(int, int) {})
	if err != nil || len(found) == 0 || found[0].Old != "" {
		t.Errorf("the bundled birds: %d passes, %v", len(found), err)
	}
}

// Where no elements are chosen the desk takes what every command takes: those
// that were fetched, and before any were the bundled ones.
func TestDeskTakesTheUsualElements(t *testing.T) {
	w := aWiring(t, port.DefaultSettings())
	w.Fetched = filepath.Join(t.TempDir(), "fetched.txt")
	birds := func() map[string]bool {
		found, err := w.passes(t.Context(), port.PassQuery{Days: 1}, func(int, int) {})
		if err != nil {
			t.Fatal(err)
		}
		names := map[string]bool{}
		for _, p := range found {
			names[p.Bird] = true
		}
		return names
	}
	if got := birds(); !got["LARK-1"] || !got["FULMAR-3"] {
		t.Errorf("nothing was fetched: %v", got)
	}
	set, err := trainer.ReadBundledElements(trainer.BundledElements)
	if err != nil {
		t.Fatal(err)
	}
	set[0].Name, set[0].Catalog = "KNOT-5", 99955
	f, err := os.Create(w.Fetched)
	if err != nil {
		t.Fatal(err)
	}
	if err := orbit.WriteElements(f, orbit.FormatTLE, set[:1], time.Now()); err != nil {
		t.Fatal(err)
	}
	f.Close()
	if got := birds(); len(got) != 1 || !got["KNOT-5"] {
		t.Errorf("one bird was fetched: %v", got)
	}
	if words, ok := w.checkElements(""); !ok || words != "those that were fetched" {
		t.Errorf("the page says %q", words)
	}
}
