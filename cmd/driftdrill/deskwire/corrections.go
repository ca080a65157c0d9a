//go:build !nodesk

package deskwire

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
	"driftdrill/sim/birdform"
)

// correctionStore is where corrections are kept.
type correctionStore interface {
	Corrections() ([]trainer.Correction, error)
	KeepCorrection(c trainer.Correction) error
}

// notingStore keeps corrections and forgets them.
type notingStore interface {
	correctionStore
	ForgetCorrections(bird string, transponder int, station string) (int, error)
}

// correctionPages gives the page of corrections what it needs; nothing where
// the store keeps none.
func (w *wiring) correctionPages() port.CorrectionPages {
	store, ok := w.Store.(notingStore)
	if !ok {
		return port.CorrectionPages{}
	}
	return port.CorrectionPages{
		Corrections: func() ([]port.CorrectionOf, error) { return w.correctionsOf(store) },
		CheckNote:   w.checkNote,
		NoteCorrection: func(bird string, number int, text string) (string, error) {
			return w.noteCorrection(store, bird, number, text)
		},
		ForgetCorrections: func(bird string, number int) error {
			_, err := store.ForgetCorrections(bird, number, w.set().Station)
			return err
		},
		Stations: func() []port.Station { return w.stations(store) }, CheckStation: checkStation, UsualStation: trainer.UsualStation,
	}
}

// correctionsOf lists what is known of each bird's transponders at the operator's station.
func (w *wiring) correctionsOf(store notingStore) ([]port.CorrectionOf, error) {
	all, err := store.Corrections()
	if err != nil {
		return nil, err
	}
	station := w.set().Station
	var out []port.CorrectionOf
	known, _ := w.Flock.All()
	for _, k := range known {
		for i := range k.Bird.Transponders {
			t := &k.Bird.Transponders[i]
			of := knownOf(all, k.Name, i+1, station, t)
			if len(k.Bird.Transponders) > 1 {
				of.Which = birdform.Bands(t)
			}
			out = append(out, of)
		}
	}
	slices.SortStableFunc(out, func(a, b port.CorrectionOf) int { return min(b.Passes, 1) - min(a.Passes, 1) })
	return out, nil
}

// knownOf is what is known of a transponder, at the dial that its rule turns.
func knownOf(all []trainer.Correction, bird string, number int, station string, t *sim.Transponder) port.CorrectionOf {
	rule := t.HandRule()
	of := port.CorrectionOf{Bird: bird, Transponder: number, Dial: rule}
	for i := range all {
		c := &all[i]
		if !c.Of(bird, number, station) {
			continue
		}
		from := c.File
		if c.ByHand() {
			from = "noted by hand"
		}
		of.Points = append(of.Points, port.CorrectionPoint{When: c.Heard, Hz: trainer.InForce{ErrorHz: c.ErrorHz}.DialHz(t, rule), SD: c.SDHz, From: from})
	}
	if f, ok := trainer.Corrected(all, bird, number, station); ok {
		of.InForce, of.SpreadHz, of.Passes = f.DialHz(t, rule), f.SpreadHz, f.Passes
	}
	return of
}

// stations are those that there are.
func (w *wiring) stations(store notingStore) []port.Station {
	all, _ := store.Corrections() // what cannot be read is told on the page of corrections
	set := w.set()
	var out []port.Station
	for _, name := range trainer.Stations(all, append(slices.Clone(set.Stations), set.Station)...) {
		s := port.Station{Name: name}
		for i := range all {
			if strings.EqualFold(all[i].Station, name) {
				s.Notes++
			}
		}
		out = append(out, s)
	}
	return out
}

func checkStation(text string) (string, bool) {
	name, err := trainer.CheckStation(text)
	if err != nil {
		return err.Error(), false
	}
	return trainer.StationWords(name), true
}

// checkStations takes no name of a station from the settings that is none, and says so.
func (w *wiring) checkStations(s *port.Settings) {
	name, err := trainer.CheckStation(s.Station)
	if err != nil {
		fmt.Fprintf(w.Stderr, "driftdrill: settings: Station: %v; you are at %s\n", err, trainer.UsualStation)
	}
	s.Station, s.Stations = name, trainer.SaneStations(s.Stations)
}

var errNoHertz = errors.New("hertz: 640 where your dial stands above the card, -640 where it stands below")

// hertz reads what was typed as a note.
func hertz(text string) (float64, error) {
	text = strings.TrimSuffix(strings.TrimSpace(strings.ReplaceAll(text, "\u2212", "-")), "Hz")
	hz, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil || math.IsInf(hz, 0) || math.IsNaN(hz) {
		return 0, errNoHertz
	}
	return hz, nil
}

// linkOf is a bird and one of its transponders, counted from 1.
func (w *wiring) linkOf(bird string, number int) (*sim.Bird, *sim.Transponder, error) {
	k, err := w.Flock.Find(bird)
	if err != nil {
		return nil, nil, err
	}
	if number < 1 || number > len(k.Bird.Transponders) {
		return nil, nil, fmt.Errorf("%s has no transponder %d", bird, number)
	}
	return &k.Bird, &k.Bird.Transponders[number-1], nil
}

func (w *wiring) checkNote(bird string, number int, text string) (string, bool) {
	hz, err := hertz(text)
	if err != nil {
		return err.Error(), strings.TrimSpace(text) == ""
	}
	_, t, err := w.linkOf(bird, number)
	if err != nil {
		return err.Error(), false
	}
	where := "above"
	if hz < 0 {
		where = "below"
	}
	return fmt.Sprintf("the %s dial stands %.0f Hz %s the card where you sound true", t.HandRule(), math.Abs(hz), where), true
}

func (w *wiring) noteCorrection(store notingStore, bird string, number int, text string) (string, error) {
	hz, err := hertz(text)
	if err != nil {
		return "", err
	}
	b, t, err := w.linkOf(bird, number)
	if err != nil {
		return "", err
	}
	rule := t.HandRule()
	c := trainer.Noted(b, number, rule, hz, time.Now())
	c.Station = w.set().Station
	if err := store.KeepCorrection(c); err != nil {
		return "", err
	}
	all, err := store.Corrections()
	if err != nil {
		return "", err
	}
	f, _ := trainer.Corrected(all, b.Name, number, c.Station)
	return fmt.Sprintf("Noted. With %s your dial stands %+.0f Hz off the card, by the last %s; its dial cards and runs have it from now on",
		b.Name, f.DialHz(t, rule), passesWord(f.Passes)), nil
}

func passesWord(n int) string {
	if n == 1 {
		return "pass"
	}
	return fmt.Sprintf("%d passes", n)
}
