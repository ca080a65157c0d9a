//go:build !nodesk

package flying

import (
	"slices"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// noted is an entry of a call, a report and a locator; a blank is what was not
// heard, what is not there was never reached.
func noted(call, report, locator string) *sim.Note {
	n := &sim.Note{}
	for f, text := range map[sim.NoteField]string{sim.NoteCall: call, sim.NoteReport: report, sim.NoteLocator: locator} {
		for i, c := range text {
			if c == ' ' {
				c = rune(sim.NoteUnheard)
			}
			n.Write(sim.NoteValue(f, i, byte(c)))
		}
	}
	return n
}

// The keys begin where something is missing.
func TestTheFirstGap(t *testing.T) {
	for _, c := range []struct {
		note  *sim.Note
		field sim.NoteField
		place int
	}{
		{noted("", "59", "JN48"), sim.NoteCall, 0},
		{noted("Q3FEN", "59", "JN48"), sim.NoteCall, 0},
		{noted("Q3 EN", "5", "JN48"), sim.NoteCall, 2},
		{noted("Q3FEN", "", ""), sim.NoteReport, 0},
		{noted("Q3FEN", "5", "JN48"), sim.NoteReport, 1},
		{noted("Q3FEN", "59", "JN4"), sim.NoteLocator, 3},
		{noted("Q3FEN", "59", "J 48"), sim.NoteLocator, 1},
	} {
		if f, p := firstGap(c.note); f != c.field || p != c.place {
			t.Errorf("%q: %d, %d, want %d, %d", spokenNote(c.note), f, p, c.field, c.place)
		}
	}
}

// One goes through a call and one place beyond it, and through all of the rest.
func TestPlacesOfAnEntry(t *testing.T) {
	full := strings.Repeat("Q", sim.NoteLengths[sim.NoteCall])
	for _, c := range []struct {
		note  *sim.Note
		field sim.NoteField
		want  int
	}{{noted("", "", ""), sim.NoteCall, 1}, {noted("Q3FEN", "", ""), sim.NoteCall, 6}, {noted(full, "", ""), sim.NoteCall, len(full)}, {noted("", "", ""), sim.NoteReport, 2}, {noted("", "", "J"), sim.NoteLocator, 4}} {
		if got := places(c.note, c.field); got != c.want {
			t.Errorf("%q, field %d: %d places, want %d", spokenNote(c.note), c.field, got, c.want)
		}
	}
}

// A letter is turned among those that its place can hold, round their end, and
// from nothing to the first or the last (locators: IARU Region 1, Maidenhead 1980:
// two letters A to R, two figures).
func TestLettersAreTurned(t *testing.T) {
	for _, c := range []struct {
		field sim.NoteField
		place int
		from  byte
		by    int
		want  byte
	}{
		{sim.NoteCall, 0, 'A', 1, 'B'}, {sim.NoteCall, 0, 'Z', 1, '0'}, {sim.NoteCall, 3, '9', 1, 'A'}, {sim.NoteCall, 3, 'A', -1, '9'}, {sim.NoteCall, 0, 0, 1, 'A'}, {sim.NoteCall, 0, 0, -1, '9'},
		{sim.NoteReport, 0, '9', 1, '1'}, {sim.NoteReport, 1, '1', -1, '9'}, {sim.NoteReport, 1, sim.NoteUnheard, 1, '1'}, {sim.NoteReport, 1, sim.NoteUnheard, -1, '9'},
		{sim.NoteLocator, 0, 'R', 1, 'A'}, {sim.NoteLocator, 1, 'A', -1, 'R'}, {sim.NoteLocator, 2, '9', 1, '0'}, {sim.NoteLocator, 3, 0, -1, '9'}, {sim.NoteLocator, 2, 0, 1, '0'},
	} {
		if got := turnedLetter(c.field, c.place, c.from, c.by); got != c.want {
			t.Errorf("field %d, place %d, %q by %d: %q, want %q", c.field, c.place, c.from, c.by, got, c.want)
		}
	}
}

// logged is the desk with a log and a run that takes no corrections by itself.
func logged(t *testing.T) *pilot {
	s := newPilot(t, inContact)
	s.App.Set.EarsOnly = true
	return s
}

// When an entry comes: as soon as the contact is over, another one has begun, or 8 s
// have gone by with the last words; and for how long it stays, to the tick.
func TestWhenAnEntryComesAndGoes(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(st *sim.State)
		comes  bool
	}{
		{"he still says thanks", func(st *sim.State) {}, false},
		{"he has gone", func(st *sim.State) { st.ContactWith = -1 }, true},
		{"somebody else calls", func(st *sim.State) { st.ContactWith = 3 }, true},
		{"8 s later", func(st *sim.State) { st.Tick += logLastWords }, false},
		{"more than 8 s later", func(st *sim.State) { st.Tick += logLastWords + 1 }, true},
		{"another contact is made at once", func(st *sim.State) { st.ContactWith, st.Contacts = 3, 2 }, false},
	} {
		s := logged(t)
		said := desktest.Hearing(s.Stage)
		st := &s.f.state
		st.Contacts, st.ContactWith = 1, 2
		s.f.log.follow(s.App, s.f)
		c.change(st)
		s.f.log.follow(s.App, s.f)
		came := slices.ContainsFunc(*said, func(w string) bool { return strings.HasPrefix(w, "In the log") })
		if came != c.comes || s.f.log.waiting == c.comes || c.comes != (s.f.log.until == st.Tick+logShownTicks) {
			t.Errorf("%s: came %v, waits %v, until %d", c.name, came, s.f.log.waiting, s.f.log.until)
		}
		*said = nil
		if s.f.log.follow(s.App, s.f); len(*said) > 0 {
			t.Errorf("%s: it is read twice", c.name)
		}
	}
	l := contactLog{until: 5000}
	for _, c := range []struct {
		st   sim.State
		open bool
		want bool
	}{
		{sim.State{Tick: 4999, ContactWith: -1}, false, true}, {sim.State{Tick: 5000, ContactWith: -1}, false, false}, {sim.State{Tick: 100, ContactWith: -1, Keyed: true}, false, false},
		{sim.State{Tick: 100, ContactWith: 0}, false, false}, {sim.State{Tick: 9000, Keyed: true, ContactWith: 1}, true, true},
	} {
		if l.open = c.open; l.shown(&c.st) != c.want {
			t.Errorf("%+v, corrected %v: shown %v", c.st.Tick, c.open, !c.want)
		}
	}
}

// A correction is shown at once and as long as the run may not have taken it: half a
// second. A new contact's entry knows nothing of corrections to the one before, and
// an entry that is being corrected makes room for it.
func TestCorrectionsOnTheirWay(t *testing.T) {
	s := logged(t)
	heardInPart(s.Fake)
	s.Update(2)
	l := &s.f.log
	s.Press(t, "key:Enter")
	taken := s.Fake.State.Note
	s.Press(t, "key:Home")
	s.Fake.State.Note = taken // the run has not taken it yet
	st := &s.f.state
	*st = s.Fake.State
	at := l.sent[0].at
	for _, c := range []struct {
		after sim.Tick
		want  byte
	}{{0, '1'}, {logOnItsWay, '1'}, {logOnItsWay + 1, 0}} {
		st.Tick = at + c.after
		l.update(s.App, s.f)
		if got := l.note.At(sim.NoteReport, 1); got != c.want {
			t.Errorf("%d ticks later: %q, want %q", c.after, got, c.want)
		}
	}
	l.put(s.App, s.f, '7')
	st.Contacts, st.ContactWith = st.Contacts+1, 2
	l.follow(s.App, s.f)
	if l.open || len(l.sent) > 0 || !l.waiting {
		t.Errorf("a new contact: open %v, %d corrections", l.open, len(l.sent))
	}
	l.open, l.field, l.place = true, sim.NoteLocator, 3
	if l.next(s.App, &l.note); l.open || l.until != 0 {
		t.Errorf("behind the last place: open %v, shown until %d", l.open, l.until)
	}
}

// Without a contact there is nothing to correct, and letters that are typed stay what they are.
func TestNothingToCorrect(t *testing.T) {
	s := logged(t)
	s.Press(t, "key:Enter")
	s.Press(t, "key:Home")
	if s.f.log.open || s.Count(sim.CommandNote) > 0 {
		t.Errorf("open %v, posted %v", s.f.log.open, s.Fake.Posts)
	}
	heardInPart(s.Fake)
	s.Update(2)
	s.Fake.Posts = nil
	s.Press(t, "key:Home") // it is not open
	s.Text = []rune("Q")
	if s.Update(1); len(s.Fake.Posts) > 0 {
		t.Errorf("closed: posted %v", s.Fake.Posts)
	}
	s.Press(t, "key:Enter")
	for typed, want := range map[rune]int64{'z': 'Z', 'A': 'A', '0': '0', '9': '9', '/': 0, ':': 0, '@': 0, '[': 0, 'é': 0} {
		s.f.log.field, s.f.log.place, s.Fake.Posts = sim.NoteCall, 0, nil
		s.Text = []rune{typed}
		s.Update(1)
		if n := s.Count(sim.CommandNote); n != min(int(want), 1) || n == 1 && s.Fake.Posts[0].Value != sim.NoteValue(sim.NoteCall, 0, byte(want)) {
			t.Errorf("%q: posted %v", typed, s.Fake.Posts)
		}
	}
	b := port.DefaultBindings()
	if b.Bind(port.DeskActions(), port.FastDown, "key:Digit0"); typesLog(b) {
		t.Error("a key that turns is typed")
	}
}
