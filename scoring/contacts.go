package scoring

import (
	"time"

	"driftdrill/sim"
)

// Contact is one that was completed in a run, as a logbook holds it. Times are
// UTC, of the simulated pass.
type Contact struct {
	From, To       time.Time // from the first word between the two to the one that completed it
	Call           string    // the other's
	Locator        string
	Report         string // that he gave, as digits: "59"
	Own            string // the operator's call
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
			OwnLocator: s.Site.Locator(6), Bird: s.Bird.Name, UplinkHz: st.UplinkHz, ReceiveHz: st.ReceiveHz, UplinkSideband: st.UplinkSideband, Voice: s.Drill.Voice})
		begun[with] = 0
	})
	return all, err
}
