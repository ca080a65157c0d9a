//go:build !nodesk

package desk

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

// keyOf is the key of a trigger.
func keyOf(t *testing.T, trigger keys.Trigger) (k ebiten.Key) {
	t.Helper()
	if err := k.UnmarshalText([]byte(strings.TrimPrefix(string(trigger), "key:"))); err != nil {
		t.Fatal(err)
	}
	return k
}

// The reference is heard for a second, or as long as its key is held; a pause
// lets go of it. Every set of keys has one, which does nothing else.
func TestReferenceKeyAtTheDesk(t *testing.T) {
	s := newSeat(t, nil)
	on := func() int {
		n := 0
		for s.fake.refOn {
			s.update(1)
			n++
		}
		return n
	}
	s.press(t, "key:T")
	if n := on(); n < 55 || n > 65 || s.fake.reference != 1 {
		t.Errorf("a press is heard for %d updates, %d times", n, s.fake.reference)
	}
	s.Keys[keyOf(t, "key:T")] = 1
	s.update(200)
	if !s.fake.refOn || s.f.state.Keyed {
		t.Error("while its key is held the reference is not heard, or it is on the air")
	}
	s.Keys[keyOf(t, "key:T")] = 0
	s.update(1)
	if s.fake.refOn {
		t.Error("it goes on after a long press")
	}
	s.press(t, "key:T")
	s.press(t, "key:Escape")
	if s.fake.refOn {
		t.Error("a pause does not let go of it")
	}
	for _, set := range port.BindingSets() {
		b := set.Make()
		if len(b[port.Reference]) == 0 {
			t.Errorf("%s: no reference key", set.Name)
		}
		for trigger, acts := range b.Conflicts(port.DeskActions()) {
			for _, a := range acts {
				if a == port.Reference {
					t.Errorf("%s: %s does something else too: %v", set.Name, trigger, acts)
				}
			}
		}
	}
}

// A run that cannot count for want of speed or sound says so as long as that is
// so: a triangle and words at the desk, one message, and in the pause a longer
// buffer where there is one.
func TestHaltingIsShownAndHelped(t *testing.T) {
	s := newSeat(t, nil)
	written := func() string {
		var all []string
		for _, b := range s.texts() {
			all = append(all, b.s)
		}
		return strings.Join(all, "\n")
	}
	if strings.Contains(written(), "does not count") {
		t.Fatal("the sign is up from the beginning")
	}
	s.app.Voice = func(string) bool { return true }
	s.fake.halting = "the sound breaks up"
	s.update(1)
	if said := s.app.Said(); !strings.Contains(said, "The sound breaks up: this run is marked but does not count. Esc offers a longer sound buffer.") {
		t.Errorf("said: %q", said)
	}
	s.update(1000)
	if !strings.Contains(written(), "the sound breaks up: does not count") {
		t.Errorf("the sign is not up:\n%s", written())
	}
	s.press(t, "key:Escape")
	p := s.app.Scenes.Top().(*paused)
	b := p.longer(s.app)
	b.Do()
	if s.app.Set.BufferMS != 40 || !b.Off {
		t.Errorf("buffer %d ms", s.app.Set.BufferMS)
	}
	for ms, want := range map[int]int{0: 40, 20: 40, 40: 80, 80: 160} {
		if got, ok := longerBuffer(ms); got != want || !ok {
			t.Errorf("after %d ms: %d, %v", ms, got, ok)
		}
	}
	if s.app.Set.BufferMS = 160; p.longer(s.app) != nil {
		t.Error("there is a buffer longer than the longest")
	}
	s.press(t, "key:Escape")
	s.fake.halting = ""
	s.update(2)
	if strings.Contains(written(), "does not count") {
		t.Error("the sign stays up once the run counts again")
	}
}

// The pause sets the volume at once and begins the same pass again.
func TestPauseSetsVolumeAndBeginsAgain(t *testing.T) {
	s := newSeat(t, nil)
	s.f.req = port.RunRequest{Drill: "come-back", Seed: 7}
	s.app.Scenes.Push(s.app, newPaused(s.f))
	s.draw() // a window may draw before the first update
	s.update(1)
	before := s.app.Set.Levels.MasterDB
	for range 4 {
		s.press(t, "key:ArrowDown")
	}
	s.press(t, "key:ArrowLeft")
	if got := s.app.Set.Levels.MasterDB; got >= before || s.fake.levels.MasterDB != got {
		t.Errorf("volume %g, before %g; the run has %g", got, before, s.fake.levels.MasterDB)
	}
	s.press(t, "key:ArrowUp")
	s.press(t, "key:ArrowUp")
	s.app.Cfg.NewSession = func(ctx context.Context, _ port.RunRequest) (port.Session, error) { // a pass that is looked for until it is given up
		<-ctx.Done()
		return nil, ctx.Err()
	}
	s.press(t, "key:Enter")
	l, ok := s.app.Scenes.Top().(*loading)
	if !ok || !l.req.Same || l.req.Drill != "come-back" || !s.fake.closed {
		t.Fatalf("on top: %#v; the run before is closed: %v", s.app.Scenes.Top(), s.fake.closed)
	}
	l.cancel()
}

// Who leaves a run, or is done with its marks, comes back to the page from which
// he began it, also after the same pass again; a run that the command line began
// leads to the start page.
func TestLeavingARunLeadsBack(t *testing.T) {
	for name, c := range map[string]struct {
		pages []Scene
		want  string
	}{
		"drills":       {[]Scene{newStart(), newDrills(), newDrillPage(fakePath()[2])}, "[*desk.start *desk.drillsPage *desk.drillPage]"},
		"pass":         {[]Scene{newStart(), newPasses(), newPassPage(fakePasses()[1]), newPickDrill(fakePasses()[1])}, "[*desk.start *desk.passesPage *desk.passPage]"},
		"start":        {[]Scene{newStart()}, "[*desk.start]"},
		"command line": {nil, "[*desk.start]"},
	} {
		t.Run(name, func(t *testing.T) {
			s := newStage(t, 1280, 720, 1, "night")
			for _, p := range c.pages {
				s.app.Scenes.Push(s.app, p)
			}
			stack := func() string {
				var names []string
				for _, p := range s.app.Scenes.All() {
					names = append(names, fmt.Sprintf("%T", p))
				}
				return fmt.Sprint(names)
			}
			for range 2 {
				s.app.fly(port.RunRequest{Drill: "come-back"})
				if got := stack(); got != "[*desk.loading]" {
					t.Fatal(got)
				}
			}
			s.app.goBack()
			if got := stack(); got != c.want {
				t.Errorf("%s, want %s", got, c.want)
			}
			s.app.Leave()
		})
	}
}

// Nothing is reset unless it is confirmed, and the first answer keeps all.
func TestResetAsksFirst(t *testing.T) {
	for i, want := range []float64{1.5, 1} {
		s := newStage(t, 1280, 720, 1, "night")
		s.app.Set.TextScale, s.app.Set.Operator = 1.5, "Q3FEN"
		page := newSettingsPage().(*settingsPage)
		s.app.Scenes.Push(s.app, page)
		page.askReset(s.app)
		p := s.app.Scenes.Top().(*pick)
		if p.list.At != 0 || s.app.Set.TextScale != 1.5 {
			t.Fatal("it is reset before it was confirmed")
		}
		p.list.Open(i)
		if got := s.app.Set.TextScale; got != want || s.app.Set.Operator != "Q3FEN" || s.app.Scenes.Top() != Scene(page) {
			t.Errorf("answer %d: text %g, want %g; operator %q", i, got, want, s.app.Set.Operator)
		}
	}
}

// Keys are called as they are engraved, and the advice names the key that is
// really in force: a latched transmitter is let go of by the latch.
func TestKeysAreCalledAsEngraved(t *testing.T) {
	for trigger, want := range map[keys.Trigger]string{"key:Digit1": "1", "shift+key:Digit9": "Shift+9", "key:Numpad0": "0 (number pad)", "key:NumpadEnter": "Enter (number pad)",
		"key:ControlRight": "right Ctrl", "key:T": "T"} {
		if got := trigger.Name(); got != want {
			t.Errorf("%s is called %q, want %q", trigger, got, want)
		}
	}
	s := newSeat(t, nil)
	s.f.state.Phase, s.f.state.Keyed, s.f.prompt.wrongKey, s.f.state.Tick = sim.PhaseListen, true, 0, 1000
	for latched, want := range map[bool]string{true: "You are still on the air: press Tab.", false: "You are still on the air: let go of Space."} {
		s.f.state.Latched = latched
		if got := s.f.prompt.coach(&s.f.state, s.f.about, s.app.Set.Bindings); got != want {
			t.Errorf("latched %v: %q", latched, got)
		}
	}
}

// A run that was cut short can be discarded as well as kept: the page goes on to
// the next one only once that has worked.
func TestDiscardBesideKeep(t *testing.T) {
	for _, fails := range []error{nil, errors.New("the disk is full")} {
		s := newStage(t, 1280, 720, 1, "night")
		var gone, kept []string
		s.showWith(newStart(), func(p *port.Pages) {
			p.DiscardLeft = func(key string) error { gone = append(gone, key); return fails }
			p.DropLeft = func(key string) error { kept = append(kept, key); return fails }
		})
		page := s.app.Scenes.Top().(*start)
		all := len(page.cut)
		if all == 0 {
			t.Fatal("no run was cut short")
		}
		key := page.cut[0].Key
		page.leftAway.Do()
		if fmt.Sprint(gone) != fmt.Sprint([]string{key}) || len(kept) != 0 {
			t.Errorf("discarded %v, kept %v", gone, kept)
		}
		if want := all - kit.Count(fails == nil); len(page.cut) != want {
			t.Errorf("%d runs are still offered, want %d", len(page.cut), want)
		}
	}
}

// A moment that is played where nothing can be heard says "no sound", and says
// "playing" again once the device has come back.
func TestReplayWithoutSoundSaysSo(t *testing.T) {
	s := newStage(t, 1280, 720, 1, "night")
	f := newFakeSession()
	f.flyWhole()
	unheard := true
	f.result.Unheard = func() bool { return unheard }
	d := newDebrief(&f.about, f.result, port.RunRequest{})
	s.app.Scenes.Push(s.app, d)
	s.step()
	d.run.play(s.app.Window)
	for _, c := range []struct {
		unheard  bool
		yes, not string
	}{{true, " · no sound", " · playing"}, {false, " · playing", " · no sound"}} {
		unheard = c.unheard
		var all string
		for _, b := range s.texts() {
			all += b.s + "\n"
		}
		if !strings.Contains(all, c.yes) || strings.Contains(all, c.not) {
			t.Errorf("unheard %v:\n%s", c.unheard, all)
		}
	}
}
