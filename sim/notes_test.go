package sim

import (
	"testing"
)

// noted sits at the desk while a caller is worked, with the receive dial off
// by so many hertz and the key up or down while he speaks, and returns the entry.
func noted(t *testing.T, offHz float64, again bool) (got Note, want [3]string) {
	t.Helper()
	r := airWith(t, 3, listeners, Situations{})
	var s State
	found(t, r, &s)
	callCQ(t, r, &s)
	i := int(s.ContactWith)
	off := func() { // the receive dial goes to where he sounds off by so much, the uplink to where he hears the operator true
		n := int64(s.Signals[1+i].OffsetHz-offHz) / 50
		r.Post(CommandStep, 50)
		r.Post(CommandReceive, n)
		r.Step(&s)
		r.Post(CommandStep, 10)
		r.Post(CommandUplink, int64(s.OffsetHz-s.Signals[1+i].OffsetHz)/10)
		r.Step(&s)
	}
	off()
	if again { // his answer once more
		until(t, r, &s, 20, "the end of his answer", func() bool { return !s.Signals[1+i].On })
		r.Post(CommandSay, SayAgain)
		over(r, &s, 3, offHz)
		until(t, r, &s, 5, "his answer again", func() bool { return s.Signals[1+i].On })
		off()
	}
	until(t, r, &s, 20, "the end of his answer", func() bool { return !s.Signals[1+i].On })
	for n := 0; n < 3 && s.Contacts == 0; n++ {
		r.Post(CommandSay, SayReport)
		over(r, &s, 5, offHz)
		until(t, r, &s, 5, "his words", func() bool { return s.Signals[1+i].On })
		if s.Contacts == 0 {
			until(t, r, &s, 20, "the end of them", func() bool { return !s.Signals[1+i].On })
		}
	}
	if s.Contacts != 1 {
		t.Fatal("no contact")
	}
	report, locator := r.setup.Gives(i)
	return s.Note, [3]string{r.setup.Others[i].Call, report, locator}
}

// holes is a word as it is noted after one over that was understood in part.
func holes(word string) string {
	b := []byte(word)
	for i := 1; i < len(b); i += 2 {
		b[i] = NoteUnheard
	}
	return string(b)
}

// What stands in the log is what was heard: all of it within 150 Hz, every other
// character at 150 to 350 and all after it was said again, nothing beyond (our choice,
// by the same measure as others understand the operator).
func TestNotesAreWhatWasHeard(t *testing.T) {
	for _, c := range []struct {
		name  string
		offHz float64
		again bool
		want  func(string) string
	}{
		{"true", 0, false, func(w string) string { return w }},
		{"250 Hz off", 250, false, holes},
		{"250 Hz off, and said again", 250, true, func(w string) string { return w }},
		{"700 Hz off", 700, false, func(string) string { return "" }},
	} {
		got, want := noted(t, c.offHz, c.again)
		for f := NoteReport; f < NoteFields; f++ {
			if got.Field(f) != c.want(want[f]) {
				t.Errorf("%s: noted %q, want %q", c.name, got.Field(f), c.want(want[f]))
			}
		}
	}
}

// Keys correct it character by character; what was corrected is not heard over.
func TestNotesAreCorrectedByHand(t *testing.T) {
	var n Note
	n.fill(NoteCall, "Q3FEN", understoodPart)
	n.fill(NoteLocator, "JO31", understoodNot)
	for _, v := range []int64{NoteValue(NoteCall, 1, '3'), NoteValue(NoteCall, 3, 'E'), NoteValue(NoteLocator, 1, 'O'), NoteValue(NoteLocator, 4, 'X'),
		NoteValue(NoteCall, 0, '!'), NoteValue(NoteFields, 0, 'A'), -1, 1 << 62} {
		n.Write(v)
	}
	n.fill(NoteCall, "Q7OWL", understoodWhole)
	n.fill(NoteReport, "59", understoodWhole)
	if n.Field(NoteCall) != "Q3FEN" || n.Field(NoteReport) != "59" || n.Field(NoteLocator) != "?O" || !n.ByHand(NoteCall) || n.ByHand(NoteReport) {
		t.Errorf("%q %q %q", n.Field(NoteCall), n.Field(NoteReport), n.Field(NoteLocator))
	}
	n.Write(NoteValue(NoteCall, 2, 0))
	if n.Field(NoteCall) != "Q3" || n.At(NoteCall, 0) != 'Q' || n.At(NoteCall, 2) != 0 {
		t.Errorf("shortened to %q", n.Field(NoteCall))
	}
}

// A correction is a command in the sheet, and the run replays to the same
// states with it; nothing on the air depends on it.
func TestNotesStandInTheSheet(t *testing.T) {
	fly := func(notes bool) (uint64, Note) {
		r := airWith(t, 3, listeners, Situations{})
		var s State
		for range 4 * TicksPerSecond {
			if notes && r.next == 300 {
				r.Post(CommandNote, NoteValue(NoteReport, 0, '5'))
			}
			r.Step(&s)
		}
		return r.hash, s.Note
	}
	with, note := fly(true)
	without, _ := fly(false)
	if with != without || note.Field(NoteReport) != "5" {
		t.Errorf("states %x and %x, noted %q", with, without, note.Field(NoteReport))
	}
}

// A quarter of the power comes back 6 dB weaker, at any time of a run (10 log 4 = 6.02).
func TestLowPowerComesBackWeaker(t *testing.T) {
	level := func(db int64) float64 {
		r := airWith(t, 3, DrillTraffic{}, Situations{})
		r.Post(CommandPower, db)
		r.Post(CommandKey, 1)
		var s State
		for range 8 * TicksPerSecond {
			r.Step(&s)
		}
		return s.SNRDB
	}
	if by := level(0) - level(-6); by < 5.9 || by > 6.1 {
		t.Errorf("weaker by %.2f dB", by)
	}
}
