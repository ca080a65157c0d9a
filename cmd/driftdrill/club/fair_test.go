package club

import (
	"encoding/json"
	"fmt"
	"net/http"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"driftdrill/sim"
)

// A sheet flown by hand on the night's own run is taken, with the marks that a
// replay gives, and sent again it is answered again.
func TestASheetIsTakenOnce(t *testing.T) {
	n := newNight(t, nightText)
	n.open(1)
	sheet := sheetOf(t, n.setup(1, "no aids"), "regular", 3)
	a := n.send("q1abc", sheet)
	if a.status != http.StatusCreated {
		t.Fatalf("status %d: %s", a.status, a.body)
	}
	var got SheetAnswer
	if err := json.Unmarshal([]byte(a.body), &got); err != nil {
		t.Fatal(err)
	}
	sh, err := readSheet(sheet)
	if err != nil {
		t.Fatal(err)
	}
	var own struct {
		HoldIndex float64 `json:"hold_index"`
	}
	if err := json.Unmarshal(sh.Marks, &own); err != nil || own.HoldIndex == 0 {
		t.Fatal(err, own)
	}
	if got.Call != "Q1ABC" || got.Heat != 1 || got.Marks.HoldIndex != own.HoldIndex {
		t.Errorf("answered %+v, the sheet has hold index %g", got, own.HoldIndex)
	}
	if b := n.send("Q1ABC", sheet); b.status != http.StatusCreated || b.body != a.body {
		t.Errorf("sent again: %d %s", b.status, b.body)
	}
	if n := len(n.evening.runs); n != 1 {
		t.Errorf("%d runs are kept, not 1", n)
	}
}

// lines edits a sheet line by line: "" leaves one out.
func lines(sheet []byte, edit func(i int, line string) string) []byte {
	var out []string
	for i, line := range strings.Split(strings.TrimSuffix(string(sheet), "\n"), "\n") {
		if line = edit(i, line); line != "" {
			out = append(out, line)
		}
	}
	return []byte(strings.Join(out, "\n") + "\n")
}

// header edits a sheet's first line with a regular expression.
func header(sheet []byte, what, with string) []byte {
	re := regexp.MustCompile(what)
	return lines(sheet, func(i int, line string) string {
		if i == 0 {
			return re.ReplaceAllString(line, with)
		}
		return line
	})
}

// What does not hold is refused with its reason.
func TestWhatDoesNotHoldIsRefused(t *testing.T) {
	n := newNight(t, nightText)
	n.open(1)
	setup := n.setup(1, "no aids")
	good := sheetOf(t, setup, "regular", 3)
	other := func(edit func(*sim.Setup)) []byte {
		s := setup
		edit(&s)
		return sheetOf(t, s, "regular", 4)
	}
	seeded := func(seed uint64) []byte {
		s, err := n.cfg.Fly(seed)
		if err != nil {
			t.Fatal(err)
		}
		s.Drill.Aids = setup.Drill.Aids
		return sheetOf(t, s, "regular", 4)
	}
	robot := func(every sim.Tick, notches int64) []byte {
		return fly(t, setup, func(s *sim.State, post func(sim.CommandKind, int64)) {
			if s.Tick%every == 0 {
				post(sim.CommandKnob, notches)
				post(sim.CommandKnob, -notches)
			}
		}, true)
	}
	last := func(sheet []byte, edit func(string) string) []byte {
		all := strings.Split(strings.TrimSuffix(string(sheet), "\n"), "\n")
		all[len(all)-1] = edit(all[len(all)-1])
		return []byte(strings.Join(all, "\n") + "\n")
	}
	cases := []struct {
		name, reason string
		sheet        []byte
		more         []string
	}{
		{"empty", "is no run sheet", nil, nil},
		{"no sheet", "is no run sheet", []byte("GIF89a\n"), nil},
		{"cut", "cut short", good[:len(good)*2/3], nil},
		{"a simulated hand", "A simulated hand flew", other(func(s *sim.Setup) { s.Hand = "regular" }), nil},
		{"one hash changed", "does not agree with its commands", lines(good, func(i int, line string) string {
			return regexp.MustCompile(`("second":20,"hash":")[0-9a-f]{2}`).ReplaceAllString(line, "${1}00")
		}), nil},
		{"one command left out", "does not agree", lines(good, func(i int, line string) string {
			if i == 40 && strings.Contains(line, "tick") || i > 40 && i < 60 && strings.Contains(line, "knob") {
				return ""
			}
			return line
		}), nil},
		{"hashes left out", "The sheet has the states of", lines(good, func(i int, line string) string {
			if strings.HasPrefix(line, `{"second"`) {
				return ""
			}
			return line
		}), nil},
		{"better marks", "does not agree", last(good, func(l string) string {
			return regexp.MustCompile(`"hold_index":[0-9.]+`).ReplaceAllString(l, `"hold_index":999`)
		}), nil},
		{"shorter than its run", "does not agree with its commands", cutAt(good, 30), nil},
		{"ended early", "was ended early", fly(t, setup, func(s *sim.State, post func(sim.CommandKind, int64)) {
			post(sim.CommandKnob, int64(s.Tick%3)-1)
			if s.Tick == 20*sim.TicksPerSecond {
				post(sim.CommandStop, 0)
			}
		}, true), nil},
		{"another seed", "another seed", seeded(8), nil},
		{"the seed's number alone changed", "does not agree|another seed", header(good, `"seed":7,"station"`, `"seed":8,"station"`), nil},
		{"an easier start", "began otherwise", other(func(s *sim.Setup) { s.UnknownHz = 0 }), nil},
		{"a stronger station", "another station", other(func(s *sim.Setup) { s.Station.PowerW = 50 }), nil},
		{"another place", "from another place", other(func(s *sim.Setup) { s.Site.LatDeg = 51 }), nil},
		{"another pass", "another pass", other(func(s *sim.Setup) { s.Pass.AOS = s.Pass.AOS.Add(time.Hour) }), nil},
		{"other elements", "other elements", other(func(s *sim.Setup) { s.Elements.BStar += 0.001 }), nil},
		{"another drill", "tonight it is", other(func(s *sim.Setup) { s.Drill.Name = "easy" }), nil},
		{"an easier plan", "drill of this run is not", other(func(s *sim.Setup) { s.Drill.Plan.ListenS = 1 }), nil},
		{"with aids", "aids that the class", other(func(s *sim.Setup) { s.Drill.Aids.Ribbon = true }), nil},
		{"with a picture", "aids that the class", good, []string{"class=ears+only"}},
		{"faster than a hand", "no hand does", robot(20, 90), nil},
		{"more at once than a hand", "notches at once", robot(200, 101), nil},
		{"to and fro faster than a hand", "changed its direction", robot(10, 1), nil},
		{"paused", "was paused", fly(t, setup, func(s *sim.State, post func(sim.CommandKind, int64)) {
			if s.Tick%200 == 0 {
				post(sim.CommandKnob, 1)
			}
			if s.Tick == 30*sim.TicksPerSecond {
				post(sim.CommandPause, 1)
			}
		}, true), nil},
		{"with the noise turned down", "less noise", fly(t, setup, func(s *sim.State, post func(sim.CommandKind, int64)) {
			if s.Tick%200 == 0 {
				post(sim.CommandKnob, 1)
				post(sim.CommandAid, sim.AidNoise)
			}
		}, true), nil},
		{"flown twice as fast", "2.00 times as fast", lines(good, func(i int, line string) string {
			return regexp.MustCompile(`^\{"second":(\d+),`).ReplaceAllStringFunc(line, func(m string) string {
				second, _ := strconv.Atoi(regexp.MustCompile(`\d+`).FindString(m))
				return fmt.Sprintf(`%s"wall_ms":%d,`, m, 500*second)
			})
		}), nil},
		{"nobody there", "Nobody touched", fly(t, setup, func(*sim.State, func(sim.CommandKind, int64)) {}, true), nil},
		{"a class that is none", "There is no class", good, []string{"class=best"}},
	}
	for i, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			a := n.send(fmt.Sprintf("Q2A%d", i), c.sheet, c.more...)
			if a.status != http.StatusUnprocessableEntity || !regexp.MustCompile(c.reason).MatchString(a.reason()) {
				t.Errorf("status %d, reason %q; wanted 422 with %q", a.status, a.reason(), c.reason)
			}
		})
	}
	if k := len(n.evening.runs); k != 0 {
		t.Errorf("%d of them were taken", k)
	}
	if k := len(n.evening.refused); k != len(cases) {
		t.Errorf("the trainer is shown %d of %d refusals", k, len(cases))
	}
}

// cutAt ends a sheet properly after so many seconds, as if the run were over.
func cutAt(sheet []byte, seconds int) []byte {
	out := lines(sheet, func(_ int, line string) string {
		var l struct {
			Tick, Second *int64
			End          *int64
		}
		_ = json.Unmarshal([]byte(line), &l)
		if l.End != nil || l.Tick != nil && *l.Tick >= int64(seconds)*sim.TicksPerSecond || l.Second != nil && *l.Second >= int64(seconds) {
			return ""
		}
		return line
	})
	return append(out, fmt.Sprintf("{\"end\":%d}\n", seconds*sim.TicksPerSecond)...)
}

// In the class for one hand a notch while the key is held down by hand is refused; latched it is not.
func TestOneHandDoesOneThing(t *testing.T) {
	n := newNight(t, nightText)
	n.open(1)
	keyed := func(kind sim.CommandKind) []byte {
		return fly(t, n.setup(1, "one hand"), func(s *sim.State, post func(sim.CommandKind, int64)) {
			switch {
			case s.Tick == 1000:
				post(kind, 1)
			case s.Tick > 1000 && s.Tick%150 == 0:
				post(sim.CommandKnob, 1)
			}
		}, true)
	}
	if a := n.send("Q1ABC", keyed(sim.CommandKey), "class=one+hand"); a.status != 422 || !strings.Contains(a.reason(), "one or the other") {
		t.Errorf("held: %d %s", a.status, a.body)
	}
	if a := n.send("Q1ABC", keyed(sim.CommandLatch), "class=one+hand"); a.status != 201 {
		t.Errorf("latched: %d %s", a.status, a.body)
	}
}

// Nobody sends what another has flown, be it shifted or changed a little, nor his own again.
func TestNobodySendsAnothersRun(t *testing.T) {
	n := newNight(t, nightText)
	n.open(1)
	setup := n.setup(1, "no aids")
	first := sheetOf(t, setup, "regular", 3)
	if a := n.send("Q1ABC", first); a.status != 201 {
		t.Fatal(a.status, a.body)
	}
	renamed := header(first, `"call":"[^"]*"`, `"call":"Q7DEF"`)
	again := func(change func(i int, c sim.Command) (sim.Command, bool)) []byte {
		sh, err := readSheet(first)
		if err != nil {
			t.Fatal(err)
		}
		var commands []sim.Command
		for i, c := range sh.Commands {
			if c, keep := change(i, c); keep {
				commands = append(commands, c)
			}
		}
		return fly(t, setup, func(s *sim.State, post func(sim.CommandKind, int64)) {
			for len(commands) > 0 && commands[0].Tick <= s.Tick+1 {
				post(commands[0].Kind, commands[0].Value)
				commands = commands[1:]
			}
		}, true)
	}
	const sent = "Q1ABC has sent"
	for _, c := range []struct {
		name, reason string
		sheet        []byte
	}{
		{"as it is", sent, first},
		{"under another name", "does not agree", renamed},
		{"written again", sent, again(func(i int, c sim.Command) (sim.Command, bool) { return c, true })},
		{"a third of a second later", sent, again(func(i int, c sim.Command) (sim.Command, bool) { c.Tick += 66; return c, true })},
		{"every tenth left out", sent, again(func(i int, c sim.Command) (sim.Command, bool) { return c, i%10 != 9 })},
	} {
		if a := n.send("Q7DEF", c.sheet); a.status != 422 || !strings.Contains(a.reason(), c.reason) {
			t.Errorf("%s: %d %s", c.name, a.status, a.body)
		}
	}
	if a := n.send("Q1ABC", again(func(i int, c sim.Command) (sim.Command, bool) { return c, i != 50 })); a.status != 422 || !strings.Contains(a.reason(), "earlier ones") {
		t.Errorf("his own with a change: %d %s", a.status, a.body)
	}
	// Two honest hands of the same make are not copies of each other.
	for seed := uint64(10); seed < 13; seed++ {
		if a := n.send(fmt.Sprintf("Q9M%d", seed), sheetOf(t, setup, "regular", seed)); a.status != 201 {
			t.Errorf("an honest run: %d %s", a.status, a.body)
		}
	}
	n.close(1)
	n.open(2)
	if a := n.send("Q1ABC", first); a.status != 422 || !strings.Contains(a.reason(), "counts there") {
		t.Errorf("in the next heat: %d %s", a.status, a.body)
	}
}

// Runs cannot have taken longer than the heat has been open, all of one member's together.
func TestNobodyFliesFasterThanTheClock(t *testing.T) {
	n := newNight(t, nightText)
	setup := n.setup(1, "no aids")
	first, second := sheetOf(t, setup, "regular", 3), sheetOf(t, setup, "regular", 4)
	sh, err := readSheet(first)
	if err != nil {
		t.Fatal(err)
	}
	length := time.Duration(sh.End) * sim.TickLength
	if a := n.send("Q1ABC", first); a.status != 422 || !strings.Contains(a.reason(), "No heat is open") {
		t.Errorf("before the heat: %d %s", a.status, a.body)
	}
	if err := n.evening.openHeat(1); err != nil {
		t.Fatal(err)
	}
	n.clock.pass(length - clockSlack - time.Second)
	if a := n.send("Q1ABC", first); a.status != 422 || !strings.Contains(a.reason(), "faster than the clock") {
		t.Errorf("too early: %d %s", a.status, a.body)
	}
	n.clock.pass(3 * time.Second)
	if a := n.send("Q1ABC", first); a.status != 201 {
		t.Errorf("in time: %d %s", a.status, a.body)
	}
	if a := n.send("Q1ABC", second); a.status != 422 || !strings.Contains(a.reason(), "faster than the clock") {
		t.Errorf("two at once: %d %s", a.status, a.body)
	}
	n.clock.pass(length + time.Second)
	if a := n.send("Q1ABC", second); a.status != 201 {
		t.Errorf("the second in time: %d %s", a.status, a.body)
	}
	n.clock.pass(time.Hour)
	if a := n.send("Q1ABC", sheetOf(t, setup, "regular", 5)); a.status != 422 || !strings.Contains(a.reason(), "2 tries") {
		t.Errorf("a third: %d %s", a.status, a.body)
	}
}
