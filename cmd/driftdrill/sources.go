package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"
)

// skyKeeper keeps the operator's sources of elements: it reads them, and asks
// those that are addresses once a day at the most. It is safe from any
// goroutine.
type skyKeeper struct {
	disk    trainer.Disk
	folder  string          // where what was fetched from addresses lies
	fetched string          // the file of `elements fetch`: a source like others where it is there
	fetcher func() *fetcher // makes one for each refresh
	mu      sync.Mutex      // one change or refresh at a time
}

// mySky is the operator's own.
func mySky() *skyKeeper {
	return &skyKeeper{disk: disk(), folder: filepath.Join(dataFolder(), "elements"), fetched: fetchedElements(), fetcher: func() *fetcher { return newFetcher(nil) }}
}

// file is where the elements of a source lie.
func (k *skyKeeper) file(place string) string {
	if !trainer.IsURL(place) {
		return place
	}
	sum := sha256.Sum256([]byte(place))
	return filepath.Join(k.folder, hex.EncodeToString(sum[:8])+".txt")
}

// Kept implements deskwire.Sky.
func (k *skyKeeper) Kept() (trainer.Sky, error) { return k.disk.Sky() }

// places are the sources with the file of `elements fetch`, which is the first
// where it is there.
func (k *skyKeeper) places() ([]string, error) {
	sky, err := k.disk.Sky()
	if err != nil {
		return nil, err
	}
	if fileExists(k.fetched) && !slices.Contains(sky.Sources, k.fetched) {
		return append([]string{k.fetched}, sky.Sources...), nil
	}
	return sky.Sources, nil
}

// Sources implements deskwire.Sky: what each source holds now. Nothing is fetched.
func (k *skyKeeper) Sources(ctx context.Context) ([]trainer.Source, error) {
	places, err := k.places()
	if err != nil {
		return nil, err
	}
	var all []trainer.Source
	for _, place := range places {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		all = append(all, k.read(place))
	}
	return all, nil
}

// read reads one source.
func (k *skyKeeper) read(place string) trainer.Source {
	s := trainer.Source{Place: place}
	file := k.file(place)
	if trainer.IsURL(place) {
		o := readOrigin(file)
		s.Asked, s.Says = o.Asked, o.words()
	}
	f, err := os.Open(file)
	if err != nil {
		if s.Err = trainer.PlainFileError(err); trainer.IsURL(place) {
			s.Err = errors.New("nothing has come from there yet")
		}
		return s
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		s.Err = fmt.Errorf("%s is a folder; give a file", place)
		return s
	}
	var newest orbit.NewestSets
	_, problems := orbit.ReadElementsWith(f, place, orbit.ReadOptions{Each: newest.Add})
	s.Sets = newest.Kept
	for _, p := range problems {
		if !p.Warning && s.Err == nil {
			s.Err = p
		}
	}
	if len(s.Sets) == 0 && s.Err == nil {
		s.Err = errors.New("there are no elements in it")
	}
	return s
}

// words say how the last visit to a server went.
func (o origin) words() string {
	switch {
	case o.Missed > 0:
		return "its server could not be reached"
	case o.Failed:
		return "what its server answered is of no use"
	}
	return ""
}

// Refresh implements deskwire.Sky: it asks each address that has not been asked
// for a day; asked = the operator wants it now, and two hours are enough. A
// failure of one leaves the others alone, and what it held stays.
func (k *skyKeeper) Refresh(ctx context.Context, asked bool) ([]trainer.Refreshed, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	sky, err := k.disk.Sky()
	if err != nil {
		return nil, err
	}
	var all []trainer.Refreshed
	for _, place := range sky.Sources {
		if trainer.IsURL(place) && ctx.Err() == nil {
			all = append(all, k.ask(ctx, place, asked))
		}
	}
	return all, ctx.Err()
}

// ask asks one address. mu is held.
func (k *skyKeeper) ask(ctx context.Context, place string, asked bool) trainer.Refreshed {
	f := k.fetcher()
	f.daily, f.tried = !asked, true
	got, err := f.fetch(ctx, place, k.file(place))
	r := trainer.Refreshed{Place: place, Err: err}
	switch {
	case err != nil:
		r.Says = err.Error()
	case got.tooSoon > 0:
		r.Says = "not asked: it was asked a short while ago; wait " + roughly(got.tooSoon)
	case got.unchanged:
		r.Asked, r.Says = true, "nothing newer"
	default:
		kept, _ := orbit.Newest(got.sets)
		r.Asked, r.Changed, r.Says = true, true, plural(len(kept), "bird")
	}
	return r
}

// roughly is a length of time in words.
func roughly(d time.Duration) string {
	if d > 2*time.Hour {
		return plural(int(d.Hours()+0.5), "hour")
	}
	return plural(max(1, int(d.Minutes()+0.5)), "minute")
}

// Add implements deskwire.Sky: it takes a source in. A file must hold elements.
// An address is asked at once; where there is no network it is taken in all the
// same and asked later, and where the server answers nonsense it is not.
func (k *skyKeeper) Add(ctx context.Context, place string) (says string, err error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if place = strings.TrimSpace(place); !trainer.IsURL(place) && place != "" && place != "-" {
		if place, err = filepath.Abs(place); err != nil {
			return "", err
		}
	}
	if err := trainer.CheckSource(place); err != nil {
		return "", err
	}
	sky, err := k.disk.Sky()
	if err != nil {
		return "", err
	}
	if slices.Contains(sky.Sources, place) {
		return "", fmt.Errorf("%s is one of your sources already", place)
	}
	if trainer.IsURL(place) {
		if r := k.ask(ctx, place, true); r.Err != nil {
			if readOrigin(k.file(place)).Missed == 0 {
				return "", r.Err
			}
			says = "; nothing has come yet, it is asked again later: " + r.Says
		}
	}
	s := k.read(place)
	if len(s.Sets) == 0 && says == "" {
		return "", fmt.Errorf("%s: %w", place, s.Err)
	}
	sky.Sources = append(sky.Sources, place)
	if err := k.disk.KeepSky(sky); err != nil {
		return "", err
	}
	if len(s.Sets) > 0 {
		says = ": " + plural(len(s.Sets), "bird")
	}
	return s.Short() + " is one of your sources now" + says, nil
}

// Drop implements deskwire.Sky: it takes a source out. A file stays where it
// is; what was fetched from an address is thrown away.
func (k *skyKeeper) Drop(place string) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	sky, err := k.disk.Sky()
	if err != nil {
		return err
	}
	i := slices.Index(sky.Sources, place)
	if abs, e := filepath.Abs(place); i < 0 && e == nil {
		i = slices.Index(sky.Sources, abs)
	}
	if i < 0 {
		return fmt.Errorf("%s is none of your sources", place)
	}
	place = sky.Sources[i]
	sky.Sources = slices.Delete(sky.Sources, i, i+1)
	if err := k.disk.KeepSky(sky); err != nil {
		return err
	}
	if trainer.IsURL(place) { // when it was asked last stays known: who adds it again does not ask again
		for _, end := range []string{"", ".before"} {
			if err := os.Remove(k.file(place) + end); err != nil && !errors.Is(err, os.ErrNotExist) {
				return trainer.PlainFileError(err)
			}
		}
	}
	return nil
}

// Favour implements deskwire.Sky.
func (k *skyKeeper) Favour(bird string, catalog int, on bool) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	sky, err := k.disk.Sky()
	if err != nil {
		return err
	}
	sky.Favour(bird, catalog, on)
	return k.disk.KeepSky(sky)
}
