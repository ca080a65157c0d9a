//go:build !nodesk

package flying

import (
	"slices"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

// inContact makes the fake a drill of contacts, with somebody on the line.
func inContact(f *desktest.Session) {
	f.Facts.Free, f.State.Found, f.State.ContactWith = true, true, 2
	f.Facts.DrillTitle, f.Facts.DrillNumber, f.Facts.Brief, f.Facts.Coach = "Call CQ", 11, "", ""
}

// heardInPart completes the fake's contact, of which only the call was heard whole.
func heardInPart(f *desktest.Session) {
	f.State.Contacts++
	f.State.ContactWith = -1
	f.State.Note = sim.Note{}
	for i, c := range "Q3FEN" {
		f.State.Note.Write(sim.NoteValue(sim.NoteCall, i, byte(c)))
	}
	f.State.Note.Write(sim.NoteValue(sim.NoteReport, 0, '5'))
	f.State.Note.Write(sim.NoteValue(sim.NoteLocator, 2, '3'))
	f.Refresh()
}

// written is everything that stands on the window, one after another.
func written(s *pilot) string {
	var all []string
	for _, b := range s.Texts() {
		all = append(all, b.Text)
	}
	return strings.Join(all, " ")
}

// A contact's entry comes when its last words have been said, lies over the prompt
// and nothing else, and goes by itself or when the operator sends.
func TestContactSlidesInAndAway(t *testing.T) {
	s := newPilot(t, inContact)
	said := desktest.Hearing(s.Stage)
	s.App.Set.EarsOnly = true
	s.Fake.State.Contacts = 1 // his report was taken; he says thanks
	s.Update(30)
	if s.f.log.in != 0 {
		t.Error("it came before his thanks were over")
	}
	s.Fake.State.Contacts = 0
	heardInPart(s.Fake)
	s.Update(30)
	if s.f.log.in != 1 || !strings.Contains(written(s), "Contact 1") || !strings.Contains(written(s), "Q 3 F E N") || strings.Contains(written(s), "Listen, or call") {
		t.Errorf("in %.2f: %s", s.f.log.in, written(s))
	}
	if n := len(*said); n == 0 || !slices.ContainsFunc(*said, func(w string) bool {
		return strings.Contains(w, "call Q 3 F E N, report 5, locator not heard not heard 3") && strings.Contains(w, "Enter corrects it")
	}) {
		t.Errorf("said %q", *said)
	}
	s.Fake.State.Keyed = true
	s.Update(30)
	if s.f.log.in != 0 {
		t.Error("it stays while the operator sends")
	}
	s.Fake.State.Keyed = false
	s.Update(30)
	s.Fake.State.Tick += logShownTicks
	s.Update(30)
	if s.f.log.in != 0 {
		t.Error("it does not go by itself")
	}
}

// Keys go through what is missing and change it, in each set of bindings, while
// the knob goes on turning; where letters turn nothing they are typed.
func TestEntriesAreCorrectedByKeys(t *testing.T) {
	for _, set := range port.BindingSets() {
		s := newPilot(t, inContact)
		s.App.Set.Bindings = set.Make()
		s.App.Apply(s.App.Set)
		heardInPart(s.Fake)
		s.Update(30)
		s.Fake.Posts = nil
		press := func(a keys.Action) { s.Press(t, s.App.Set.Bindings[a][0]) }
		press(port.LogNext) // the report's second figure
		if !s.f.log.open || s.f.log.field != sim.NoteReport || s.f.log.place != 1 {
			t.Fatalf("%s: open %v at %d, %d", set.Name, s.f.log.open, s.f.log.field, s.f.log.place)
		}
		press(port.LogDown)
		press(port.LogDown)
		press(port.LogUp)
		press(port.TurnUp)
		press(port.LogNext)
		press(port.LogUp) // A
		press(port.LogUp) // B
		press(port.LogNext)
		if typesLog(s.App.Set.Bindings) != (set.Name != "Left hand alone") {
			t.Errorf("%s: types %v", set.Name, typesLog(s.App.Set.Bindings))
		}
		if typesLog(s.App.Set.Bindings) {
			s.Text, s.Keys[ebiten.KeyR] = []rune("p21r"), 1
			s.Update(1)
			s.Text, s.Keys[ebiten.KeyR] = nil, 0
		} else {
			press(port.LogDown) // R
			press(port.LogNext)
			press(port.LogNext)
			press(port.LogUp) // 0
			press(port.LogNext)
		}
		s.Update(5)
		n := &s.Fake.State.Note
		want := "BP21"
		if set.Name == "Left hand alone" {
			want = "BR30"
		}
		if n.Field(sim.NoteCall) != "Q3FEN" || n.Field(sim.NoteReport) != "59" || n.Field(sim.NoteLocator) != want || s.f.log.open {
			t.Errorf("%s: %q %q %q, open %v", set.Name, n.Field(sim.NoteCall), n.Field(sim.NoteReport), n.Field(sim.NoteLocator), s.f.log.open)
		}
		if s.Posted(sim.CommandKnob) != 1 || s.Count(sim.CommandReceive) != 0 || s.Count(sim.CommandSay) != 0 {
			t.Errorf("%s: posted %v", set.Name, s.Fake.Posts)
		}
	}
}

// Low power is a key under either hand, shown and said.
func TestLowPower(t *testing.T) {
	for _, set := range port.BindingSets() {
		s := newPilot(t, func(f *desktest.Session) { f.State.PowerW = 5 })
		said := desktest.Hearing(s.Stage)
		s.App.Set.Bindings = set.Make()
		s.App.Set.EarsOnly = true
		s.App.Apply(s.App.Set)
		s.Update(2)
		if strings.Contains(written(s), "5 W") || strings.Contains(written(s), "low power") {
			t.Errorf("%s: the power is told although it is the usual one", set.Name)
		}
		s.Press(t, s.App.Set.Bindings[port.Power][0])
		s.Update(2)
		if s.Posted(sim.CommandPower) != lowPowerDB || !strings.Contains(written(s), "low power 1.3 W") || !slices.ContainsFunc(*said, func(w string) bool { return strings.HasPrefix(w, "Low power") }) {
			t.Errorf("%s: posted %v, said %q, %s", set.Name, s.Fake.Posts, *said, written(s))
		}
		s.Press(t, s.App.Set.Bindings[port.Power][0])
		s.Update(2)
		if s.Posted(sim.CommandPower) != lowPowerDB || s.Count(sim.CommandPower) != 2 || strings.Contains(written(s), "5 W") {
			t.Errorf("%s: full power again: %v", set.Name, s.Fake.Posts)
		}
	}
	if powerWords(5, false, true) != "5 W" || powerWords(0, true, true) != "" {
		t.Error("who searches is told of his power")
	}
}
