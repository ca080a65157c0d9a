//go:build !nodesk

package main

import (
	"context"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk"
	"driftdrill/orbit"
	"driftdrill/sim"
)

func TestReachedTwice(t *testing.T) {
	for tries, want := range map[string]bool{"": false, "+": false, "++": true, "+-+": true, "+--+": false, "-+-+": true, "--": false} {
		var list []desk.Try
		for _, c := range tries {
			list = append(list, desk.Try{Passed: c == '+'})
		}
		if got := reachedTwice(list); got != want {
			t.Errorf("%q: %v", tries, got)
		}
	}
}

func TestGoalShare(t *testing.T) {
	for _, c := range []struct {
		measure       string
		v, pass, want float64
	}{{"hold_index", 750, 750, 1}, {"hold_index", 375, 750, 0.5}, {"comeback_s", 8, 4, 0.5}, {"rms_hz", 30, 60, 2}, {"found_s", 0, 45, 2}} {
		if got := goalShare(c.measure, c.v, c.pass); got != c.want {
			t.Errorf("%s %g of %g: %g, want %g", c.measure, c.v, c.pass, got, c.want)
		}
	}
}

// What a drill's coach says of how often to turn is what the simulated pass asks
// where it is fastest, whichever pass is flown.
func TestRhythmOfTheCoach(t *testing.T) {
	all, err := bundledDrills()
	if err != nil {
		t.Fatal(err)
	}
	said := regexp.MustCompile(`one (\d+) Hz notch every (\d+(?:\.\d)?) s`)
	tested := 0
	check := func(f flight) {
		t.Helper()
		setup, err := f.prepare()
		if err != nil {
			t.Fatal(err)
		}
		about, err := aboutRun(&setup)
		if err != nil {
			t.Fatal(err)
		}
		if strings.ContainsAny(about.Coach, "{}") {
			t.Errorf("%s: the coach says %q", f.drill, about.Coach)
		}
		if !strings.Contains(setup.Drill.Coach, sim.RhythmMark) {
			return
		}
		m := said.FindStringSubmatch(about.Coach)
		if m == nil {
			t.Fatalf("%s: the coach says %q", f.drill, about.Coach)
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
			t.Errorf("%s: %q, but %.1f Hz/s ask for one notch of %d Hz every %.2f s", f.drill, about.Coach, fastest, setup.Drill.StepHz, want)
		}
		t.Logf("%s: %s (%.1f Hz/s)", f.drill, about.Coach, fastest)
	}
	for i := range all {
		check(flight{drill: all[i].Name})
	}
	check(flight{drill: "come-back", bird: "lark-1", pass: "1"})
	check(flight{drill: "come-back", bird: "fulmar-3", pass: "2"})
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
		set := desk.DefaultSettings()
		set.StepHz = 10
		w := &deskWiring{settings: set, sound: "silent", sheet: filepath.Join(t.TempDir(), "run.jsonl"), stderr: io.Discard}
		ses, err := w.newSession(t.Context(), desk.RunRequest{Drill: c.drill, Seed: 3})
		if err != nil {
			t.Fatal(err)
		}
		var s sim.State
		ses.Snapshot(&s)
		if s.StepHz != c.want || w.last.Drill.StepHz != c.want {
			t.Errorf("%s begins with a step of %d Hz (its setup says %d), want %d", c.drill, s.StepHz, w.last.Drill.StepHz, c.want)
		}
		ses.Close()
		w.saving.Wait()
	}
}

// Every drill of the path has words for what it trains, and a newcomer is
// sent to the first one.
func TestPathOfDrills(t *testing.T) {
	all, err := bundledDrills()
	if err != nil {
		t.Fatal(err)
	}
	var path []desk.DrillEntry
	for i := range all {
		e := drillEntry(&all[i], nil)
		if e.Trains == "" || e.Goal == "" || e.Brief == "" || e.Done {
			t.Errorf("drill %d: %+v", e.Number, e)
		}
		path = append(path, e)
	}
	if len(path) != 15 {
		t.Errorf("%d drills, fourteen and the first hold are wanted", len(path))
	}
	advise(path)
	if !path[0].Advised || path[0].Number != 0 {
		t.Errorf("a newcomer is sent to %q", path[0].Title)
	}
}

// The pages' search finds what the library's own search finds over the same
// place, and names each pass so that it is found again.
func TestPassesForTheDesk(t *testing.T) {
	w := &deskWiring{settings: desk.Settings{Site: "50,8,150"}}
	steps := 0
	found, err := w.passes(context.Background(), desk.PassQuery{Site: "50,8,150", Days: 2, AboveDeg: 10}, func(done, total int) { steps++ })
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
	setup, err := w.chosenPass(t.Context(), desk.RunRequest{Drill: "come-back", Pass: found[3].Key, Seed: 5})
	if err != nil {
		t.Fatal(err)
	}
	if d := setup.Pass.AOS.Sub(found[3].AOS); d.Abs() > 20*time.Millisecond || setup.Bird.Name != found[3].Bird {
		t.Errorf("%s rises %v off the one that was chosen, %s", setup.Bird.Name, d, found[3].Bird)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := w.passes(ctx, desk.PassQuery{Days: 1}, func(int, int) {}); err != context.Canceled {
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
	sets, err := birdSets(t.Context(), io.Discard, "")
	if err != nil {
		t.Fatal(err)
	}
	e := sets[0]
	e.Name, e.Catalog = "SISKIN-9", 99977
	b, err := birdFor(e)
	if err != nil {
		t.Fatal(err)
	}
	if b.Name == "" || b.Catalog != 99977 || len(b.Transponders) != 1 || !b.Transponders[0].Inverting {
		t.Errorf("%+v", b)
	}
}

// Old elements, and elements from the future, are told with each pass; the
// bundled birds never. By the rule of lateS 0.5 km a day at 7.45 km/s, the speed
// 800 km up, makes 2.7 s in 40 days.
func TestOldElementsOnThePage(t *testing.T) {
	sets, _, err := bundledElements(ownBirds)
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
			w := &deskWiring{stderr: io.Discard}
			found, err := w.passes(t.Context(), desk.PassQuery{Elements: path, Days: 2}, func(int, int) {})
			if err != nil || len(found) == 0 {
				t.Fatal(len(found), err)
			}
			if c.want == "" && found[0].Old != "" || !strings.Contains(found[0].Old, c.want) {
				t.Errorf("%q", found[0].Old)
			}
		})
	}
	w := &deskWiring{stderr: io.Discard}
	found, err := w.passes(t.Context(), desk.PassQuery{Days: 1}, func(int, int) {})
	if err != nil || len(found) == 0 || found[0].Old != "" {
		t.Errorf("the bundled birds: %d passes, %v", len(found), err)
	}
}
