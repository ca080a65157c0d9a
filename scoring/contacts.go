package scoring

import (
	"fmt"
	"strings"
	"time"

	"driftdrill/sim"
)

// Contact is one that was completed in a run, as a logbook holds it. Times are
// UTC, of the simulated pass.
type Contact struct {
	From, To       time.Time // from the first word between the two to the one that completed it
	Call           string    // the other's
	Locator        string
	Report         string                 // that he gave, as digits: "59"
	Noted          [sim.NoteFields]string // what stood in the contact log at the end of it: call, report, locator
	Own            string                 // the operator's call
	OwnLocator     string
	Bird           string
	UplinkHz       int64 // as dialled when it was completed
	ReceiveHz      int64
	UplinkSideband sim.Sideband
	Voice          string // how the operator was heard, as the drill says; "cw" = Morse
}

// Contacts replays a sheet and returns the contacts of its run in their order.
func Contacts(sh *sim.Sheet) ([]Contact, error) {
	var all []Contact
	s := &sh.Setup
	begun, done := [sim.MaxOthers]sim.Tick{}, 0
	at := func(t sim.Tick) time.Time { return s.Start.Add(time.Duration(t) * sim.TickLength).UTC() }
	_, err := sim.ReplayFrom(sh, SampleTicks/2, SampleTicks, func(st *sim.State) {
		if st.Contacts == done && done > 0 {
			all[done-1].note(&st.Note)
		}
		with := int(st.ContactWith)
		if with < 0 || with >= len(s.Others) {
			return
		}
		if begun[with] == 0 {
			begun[with] = st.Tick
		}
		if st.Contacts == done {
			return
		}
		done = st.Contacts
		report, locator := s.Gives(with)
		all = append(all, Contact{From: at(begun[with]), To: at(st.Tick), Call: s.Others[with].Call, Locator: locator, Report: report, Own: s.Call,
			OwnLocator: s.Site.Locator(6), Bird: s.Bird.Name, UplinkHz: st.UplinkHz, ReceiveHz: st.ReceiveHz, UplinkSideband: st.UplinkSideband, Voice: s.Voice()})
		all[done-1].note(&st.Note)
		begun[with] = 0
	})
	return all, err
}

func (c *Contact) note(n *sim.Note) {
	for f := range sim.NoteFields {
		c.Noted[f] = n.Field(f)
	}
}

// Given is what the other station gave, in the order of the log's fields.
func (c *Contact) Given() [sim.NoteFields]string {
	return [sim.NoteFields]string{c.Call, c.Report, c.Locator}
}

// NoteState is how a field of the contact log stands against what was given.
type NoteState uint8

// A field is right, missing in whole or in part, or wrong.
const (
	NoteRight NoteState = iota
	NoteMissing
	NoteWrong
)

// Stands marks the fields of a contact's entry. What is not understood is
// missing; a character that was not given is wrong.
func (c *Contact) Stands() (s [sim.NoteFields]NoteState) {
	for f, given := range c.Given() {
		noted := c.Noted[f]
		if noted == given {
			continue
		}
		s[f] = NoteMissing
		for i := range len(noted) {
			if noted[i] != sim.NoteUnheard && (i >= len(given) || noted[i] != given[i]) {
				s[f] = NoteWrong
			}
		}
	}
	return s
}

// NoteNames are the fields in everyday words.
var NoteNames = [sim.NoteFields]string{"call", "report", "locator"}

// NotesInWords sums up the entries of some contacts: "2 contacts, all noted
// right", "3 contacts; 1 locator missing, 1 call wrong". "" where there is no contact.
func NotesInWords(all []Contact) string {
	if len(all) == 0 {
		return ""
	}
	var n [NoteWrong + 1][sim.NoteFields]int
	for i := range all {
		for f, s := range all[i].Stands() {
			n[s][f]++
		}
	}
	words := fmt.Sprintf("%d contacts", len(all))
	if len(all) == 1 {
		words = "1 contact"
	}
	var faults []string
	for s, is := range []string{NoteMissing: "missing", NoteWrong: "wrong"} {
		if is == "" {
			continue
		}
		for f, k := range n[s] {
			switch {
			case k == 1:
				faults = append(faults, fmt.Sprintf("1 %s %s", NoteNames[f], is))
			case k > 1:
				faults = append(faults, fmt.Sprintf("%d %ss %s", k, NoteNames[f], is))
			}
		}
	}
	if len(faults) == 0 {
		return words + ", all noted right"
	}
	return words + "; " + strings.Join(faults, ", ")
}
