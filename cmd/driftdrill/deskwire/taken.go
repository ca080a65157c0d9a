//go:build !nodesk

package deskwire

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"
)

// takeElements takes a file of elements that was dropped on the window as one
// more source: those that there are stay.
func (w *wiring) takeElements(ctx context.Context, name string, data []byte) (port.Taken, error) {
	read, problems := orbit.ReadElements(bytes.NewReader(data), name)
	sets, _ := orbit.Newest(read)
	if len(sets) == 0 {
		why := "there are no elements in it"
		if len(problems) > 0 {
			why = problems[0].Error()
		}
		return port.Taken{}, fmt.Errorf("%s is no file that can be taken here (elements, a bird, a drill, a WAV file of a voice): %s", name, why)
	}
	if w.Sky == nil || w.Dropped == "" {
		return port.Taken{}, fmt.Errorf("%s: there is no folder to keep it in here", name)
	}
	before, err := w.Sky.Sources(ctx)
	if err != nil {
		return port.Taken{}, err
	}
	place, again := w.placeFor(before, filepath.Base(name), sets)
	if err := outfile.Write(place, data); err != nil {
		return port.Taken{}, err
	}
	short := trainer.ShortSource(place)
	says := short + " is one more of your sources now"
	if again {
		says = short + " takes the place of the file of that name that you dropped before"
	} else if _, err := w.Sky.Add(ctx, place); err != nil {
		return port.Taken{}, err
	}
	now := trainer.Source{Place: place, Sets: sets}
	says += ": " + skySource(&now, time.Now(), false).Says
	if n := len(problems); n > 0 {
		says += fmt.Sprintf("; %d of its sets cannot be read", n)
	}
	besides, all := w.besides(ctx, before, &now)
	return port.Taken{Says: sentences(says, besides), Birds: true, All: all}, nil
}

// sentences joins sentences; the last one is left without its full stop.
func sentences(says ...string) string {
	says = slices.DeleteFunc(says, func(s string) bool { return s == "" })
	return strings.Join(says, ". ")
}

// besides says what a new source changes beside those that there were: what is
// younger elsewhere, and what is no longer looked at. One that was chosen for the
// passes alone becomes a source like the others: all = it is to be chosen no more.
func (w *wiring) besides(ctx context.Context, before []trainer.Source, now *trainer.Source) (says string, all bool) {
	if chosen := atHome(strings.TrimSpace(w.set().Elements)); chosen != "" {
		if !slices.ContainsFunc(before, func(s trainer.Source) bool { return s.Place == chosen }) {
			if _, err := w.Sky.Add(ctx, chosen); err != nil {
				return "The passes still come from " + trainer.ShortSource(chosen) + " alone: Use all sources, on the page My sky, takes the new one", false
			}
		}
		return "The passes come from all your sources now; before, they came from " + trainer.ShortSource(chosen) + " alone, which is one of them", true
	}
	return beside(before, now), false
}

// beside says what a new source changes among all that count.
func beside(before []trainer.Source, now *trainer.Source) string {
	others := slices.DeleteFunc(slices.Clone(before), func(s trainer.Source) bool { return s.Place == now.Place })
	if len(others) == 0 {
		return "The passes are of its birds now, no longer of those in the program"
	}
	older := 0
	for _, b := range trainer.MergeSky(append(others, *now)) {
		if b.From != now.Place && slices.Contains(b.Also, now.Place) {
			older++
		}
	}
	switch {
	case older == 0:
		return "Your other sources stay"
	case older == len(now.Sets):
		return "Your other sources have younger elements of all of them, which count"
	}
	return fmt.Sprintf("Your other sources have younger elements of %d of them, which count", older)
}

// placeFor is where a file that was dropped is kept. again = it takes the place
// of one of the same name, because it has all of that one's birds and none of
// them older; otherwise both are kept.
func (w *wiring) placeFor(before []trainer.Source, name string, sets []orbit.Elements) (place string, again bool) {
	folder, ext := filepath.Join(w.Dropped, "elements"), filepath.Ext(name)
	place = filepath.Join(folder, name)
	for n := 2; ; n++ {
		i := slices.IndexFunc(before, func(s trainer.Source) bool { return s.Place == place })
		if i < 0 {
			return place, false
		}
		if covers(sets, before[i].Sets) {
			return place, true
		}
		place = filepath.Join(folder, fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, ext), n, ext))
	}
}

// covers tells whether all birds of the old sets are among the new ones, none of them older.
func covers(sets, old []orbit.Elements) bool {
	return !slices.ContainsFunc(trainer.MergeSky([]trainer.Source{{Place: "old", Sets: old}, {Place: "new", Sets: sets}}),
		func(b trainer.SkyBird) bool { return b.From == "old" })
}

// adoptDropped makes a file that an earlier version took as the only source,
// because it was dropped on the window, one of the sources.
func (w *wiring) adoptDropped(s *port.Settings) {
	if w.Sky == nil || w.Dropped == "" || filepath.Dir(s.Elements) != filepath.Join(w.Dropped, "elements") {
		return
	}
	sky, err := w.Sky.Kept()
	if err == nil && !slices.Contains(sky.Sources, s.Elements) {
		_, err = w.Sky.Add(context.Background(), s.Elements)
	}
	if err == nil {
		changed := *s
		changed.Elements = ""
		if err = storeSettings(w.Store, changed); err == nil {
			s.Elements = ""
		}
	}
	if err != nil {
		fmt.Fprintf(w.Stderr, "driftdrill: %v\n", err)
	}
}
