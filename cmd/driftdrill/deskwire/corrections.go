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
)

// correctionStore is where corrections are kept.
type correctionStore interface {
	Corrections() ([]trainer.Correction, error)
	KeepCorrection(c trainer.Correction) error
}

// notingStore keeps corrections and forgets them.
type notingStore interface {
	correctionStore
	ForgetCorrections(bird string) (int, error)
}

// correctionPages gives the page of corrections what it needs; nothing where
// the store keeps none.
func (w *wiring) correctionPages() port.CorrectionPages {
	store, ok := w.Store.(notingStore)
	if !ok {
		return port.CorrectionPages{}
	}
	return port.CorrectionPages{
		Corrections:    func() ([]port.CorrectionOf, error) { return w.correctionsOf(store) },
		CheckNote:      w.checkNote,
		NoteCorrection: func(bird, text string) (string, error) { return w.noteCorrection(store, bird, text) },
		ForgetCorrections: func(bird string) error {
			_, err := store.ForgetCorrections(bird)
			return err
		},
	}
}

// correctionsOf lists what is known of each bird.
func (w *wiring) correctionsOf(store notingStore) ([]port.CorrectionOf, error) {
	all, err := store.Corrections()
	if err != nil {
		return nil, err
	}
	var out []port.CorrectionOf
	known, _ := w.Flock.All()
	for _, k := range known {
		t := &k.Bird.Transponders[0]
		rule := t.HandRule()
		of := port.CorrectionOf{Bird: k.Name, Dial: rule}
		for i := range all {
			c := &all[i]
			if !strings.EqualFold(c.Bird, k.Name) || c.Transponder != 1 || c.Station != "" {
				continue
			}
			from := c.File
			if c.ByHand() {
				from = "noted by hand"
			}
			of.Points = append(of.Points, port.CorrectionPoint{When: c.Heard, Hz: trainer.InForce{ErrorHz: c.ErrorHz}.DialHz(t, rule), SD: c.SDHz, From: from})
		}
		if f, ok := trainer.Corrected(all, k.Name, 1, ""); ok {
			of.InForce, of.SpreadHz, of.Passes = f.DialHz(t, rule), f.SpreadHz, f.Passes
		}
		out = append(out, of)
	}
	slices.SortStableFunc(out, func(a, b port.CorrectionOf) int { return min(b.Passes, 1) - min(a.Passes, 1) })
	return out, nil
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

func (w *wiring) checkNote(bird, text string) (string, bool) {
	hz, err := hertz(text)
	if err != nil {
		return err.Error(), strings.TrimSpace(text) == ""
	}
	k, err := w.Flock.Find(bird)
	if err != nil {
		return err.Error(), false
	}
	where := "above"
	if hz < 0 {
		where = "below"
	}
	dial := k.Bird.Transponders[0].HandRule()
	return fmt.Sprintf("the %s dial stands %.0f Hz %s the card where you sound true", dial, math.Abs(hz), where), true
}

func (w *wiring) noteCorrection(store notingStore, bird, text string) (string, error) {
	hz, err := hertz(text)
	if err != nil {
		return "", err
	}
	k, err := w.Flock.Find(bird)
	if err != nil {
		return "", err
	}
	rule := k.Bird.Transponders[0].HandRule()
	c := trainer.Noted(&k.Bird, 1, rule, hz, time.Now())
	if err := store.KeepCorrection(c); err != nil {
		return "", err
	}
	all, err := store.Corrections()
	if err != nil {
		return "", err
	}
	f, _ := trainer.Corrected(all, k.Name, 1, "")
	return fmt.Sprintf("Noted. With %s your dial stands %+.0f Hz off the card, by the last %s; its dial cards and runs have it from now on",
		k.Name, f.DialHz(&k.Bird.Transponders[0], rule), passesWord(f.Passes)), nil
}

func passesWord(n int) string {
	if n == 1 {
		return "pass"
	}
	return fmt.Sprintf("%d passes", n)
}
