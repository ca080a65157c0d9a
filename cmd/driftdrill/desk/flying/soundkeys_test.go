//go:build !nodesk

package flying

import (
	"context"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
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
	s := newPilot(t, nil)
	on := func() int {
		n := 0
		for s.Fake.RefOn {
			s.Update(1)
			n++
		}
		return n
	}
	s.Press(t, "key:T")
	if n := on(); n < 55 || n > 65 || s.Fake.References != 1 {
		t.Errorf("a press is heard for %d updates, %d times", n, s.Fake.References)
	}
	s.Keys[keyOf(t, "key:T")] = 1
	s.Update(200)
	if !s.Fake.RefOn || s.f.state.Keyed {
		t.Error("while its key is held the reference is not heard, or it is on the air")
	}
	s.Keys[keyOf(t, "key:T")] = 0
	s.Update(1)
	if s.Fake.RefOn {
		t.Error("it goes on after a long press")
	}
	s.Press(t, "key:T")
	s.Press(t, "key:Escape")
	if s.Fake.RefOn {
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

// Who asked for silence is not told that the sound was lost.
func TestSilenceAsAskedIsNotALoss(t *testing.T) {
	for unwanted, want := range map[bool]string{true: "No sound, as asked.", false: "The sound device has gone: the run goes on silently."} {
		s := newPilot(t, nil)
		s.App.Voice = func(string) bool { return true }
		s.Fake.Silent, s.Fake.Unwanted = true, unwanted
		s.Update(2)
		if said := s.App.Said(); !strings.Contains(said, want) || strings.Contains(said, "goes on") == unwanted {
			t.Errorf("silence was asked for %v: said %q", unwanted, said)
		}
	}
}

// A run that cannot count for want of speed or sound says so as long as that is
// so: a triangle and words at the desk, one message, and in the pause a longer
// buffer where there is one.
func TestHaltingIsShownAndHelped(t *testing.T) {
	s := newPilot(t, nil)
	written := func() string {
		var all []string
		for _, b := range s.Texts() {
			all = append(all, b.Text)
		}
		return strings.Join(all, "\n")
	}
	if strings.Contains(written(), "does not count") {
		t.Fatal("the sign is up from the beginning")
	}
	s.App.Voice = func(string) bool { return true }
	s.Fake.Halting = "the sound breaks up"
	s.Update(1)
	if said := s.App.Said(); !strings.Contains(said, "The sound breaks up: this run is marked but does not count. Esc offers a longer sound buffer.") {
		t.Errorf("said: %q", said)
	}
	s.Update(1000)
	if !strings.Contains(written(), "the sound breaks up: does not count") {
		t.Errorf("the sign is not up:\n%s", written())
	}
	s.Press(t, "key:Escape")
	p := s.App.Scenes.Top().(*paused)
	b := p.longer(s.App)
	b.Do()
	if s.App.Set.BufferMS != 40 || !b.Off {
		t.Errorf("buffer %d ms", s.App.Set.BufferMS)
	}
	for ms, want := range map[int]int{0: 40, 20: 40, 40: 80, 80: 160} {
		if got, ok := longerBuffer(ms); got != want || !ok {
			t.Errorf("after %d ms: %d, %v", ms, got, ok)
		}
	}
	if s.App.Set.BufferMS = 160; p.longer(s.App) != nil {
		t.Error("there is a buffer longer than the longest")
	}
	s.Press(t, "key:Escape")
	s.Fake.Halting = ""
	s.Update(2)
	if strings.Contains(written(), "does not count") {
		t.Error("the sign stays up once the run counts again")
	}
}

// The pause sets the volume at once and begins the same pass again.
func TestPauseSetsVolumeAndBeginsAgain(t *testing.T) {
	s := newPilot(t, nil)
	s.App.Routes.Run = func(r port.RunRequest) screen.Scene { return Begin(r) }
	s.f.req = port.RunRequest{Drill: "come-back", Seed: 7}
	s.App.Scenes.Push(s.App, newPaused(s.f))
	s.Draw() // a window may draw before the first update
	s.Update(1)
	before := s.App.Set.Levels.MasterDB
	for range 4 {
		s.Press(t, "key:ArrowDown")
	}
	s.Press(t, "key:ArrowLeft")
	if got := s.App.Set.Levels.MasterDB; got >= before || s.Fake.Levels.MasterDB != got {
		t.Errorf("volume %g, before %g; the run has %g", got, before, s.Fake.Levels.MasterDB)
	}
	s.Press(t, "key:ArrowUp")
	s.Press(t, "key:ArrowUp")
	s.App.Cfg.NewSession = func(ctx context.Context, _ port.RunRequest) (port.Session, error) { // a pass that is looked for until it is given up
		<-ctx.Done()
		return nil, ctx.Err()
	}
	s.Press(t, "key:Enter")
	l, ok := s.App.Scenes.Top().(*loading)
	if !ok || !l.req.Same || l.req.Drill != "come-back" || !s.Fake.Closed {
		t.Fatalf("on top: %#v; the run before is closed: %v", s.App.Scenes.Top(), s.Fake.Closed)
	}
	l.cancel()
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
	s := newPilot(t, nil)
	s.f.state.Phase, s.f.state.Keyed, s.f.prompt.wrongKey, s.f.state.Tick = sim.PhaseListen, true, 0, 1000
	for latched, want := range map[bool]string{true: "You are still on the air: press Tab.", false: "You are still on the air: let go of Space."} {
		s.f.state.Latched = latched
		if got := s.f.prompt.coach(&s.f.state, s.f.about, s.App.Set.Bindings); got != want {
			t.Errorf("latched %v: %q", latched, got)
		}
	}
}
