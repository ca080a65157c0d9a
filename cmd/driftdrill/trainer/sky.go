package trainer

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/orbit"
)

// Sky is which birds the operator looks at: where their elements come from, and
// which of them he likes best.
type Sky struct {
	Sources    []string    `json:"sources"` // files and addresses, in the order in which they were added
	Favourites []Favourite `json:"favourites,omitempty"`
}

// Favourite is a bird by its catalogue number or, where it has none, its name.
type Favourite struct {
	Bird    string `json:"bird"`
	Catalog int    `json:"catalog,omitempty"`
}

// Bounds of a sky: our choice, far above what anybody has.
const (
	mostSources    = 40
	mostFavourites = 1000
	mostPlaceBytes = 2000
)

func (d Disk) skyFile() string { return filepath.Join(d.Config, "sky.json") }

// Sky returns the sky that is kept; an empty one where nothing was chosen.
func (d Disk) Sky() (Sky, error) {
	text, err := readKept(d.skyFile())
	if text == nil {
		return Sky{}, err
	}
	return parseSky(text, d.skyFile())
}

func parseSky(text []byte, name string) (Sky, error) {
	var s Sky
	if err := json.Unmarshal(text, &s); err != nil {
		return Sky{}, fmt.Errorf("%s cannot be read: %w; put it aside and add your sources anew", name, err)
	}
	if len(s.Sources) > mostSources || len(s.Favourites) > mostFavourites {
		return Sky{}, fmt.Errorf("%s holds %d sources and %d favourites; at most %d and %d are taken", name, len(s.Sources), len(s.Favourites), mostSources, mostFavourites)
	}
	for i, place := range s.Sources {
		if err := CheckSource(place); err != nil {
			return Sky{}, fmt.Errorf("%s: source %d: %w; put the file aside and add your sources anew", name, i+1, err)
		}
	}
	return s, nil
}

// CheckSource tells what is wrong with the name of a source of elements.
func CheckSource(place string) error {
	switch {
	case strings.TrimSpace(place) == "" || place == "-":
		return errors.New("give a file, or an address that begins with https:// or http://")
	case len(place) > mostPlaceBytes || strings.ContainsAny(place, "\n\r\x00"):
		return errors.New("that is too long for a file or an address")
	case IsURL(place):
		if u, err := url.Parse(place); err != nil || u.Host == "" {
			return fmt.Errorf("%q is no address; it looks like https://elements.example/birds.txt", place)
		}
	}
	return nil
}

// KeepSky puts a sky in the place of the one before.
func (d Disk) KeepSky(s Sky) error {
	text, err := json.MarshalIndent(s, "", "  ")
	if err != nil {
		return err
	}
	if _, err := parseSky(text, d.skyFile()); err != nil {
		return err
	}
	return outfile.Write(d.skyFile(), append(text, '\n'))
}

// Likes tells whether a bird is a favourite.
func (s *Sky) Likes(e orbit.Elements) bool {
	return slices.ContainsFunc(s.Favourites, func(f Favourite) bool { return f.of(e.Label(), e.Catalog) })
}

func (f *Favourite) of(bird string, catalog int) bool {
	if f.Catalog != 0 && catalog != 0 {
		return f.Catalog == catalog
	}
	return strings.EqualFold(f.Bird, bird)
}

// Favour makes a bird a favourite, or no longer one.
func (s *Sky) Favour(bird string, catalog int, on bool) {
	s.Favourites = slices.DeleteFunc(slices.Clone(s.Favourites), func(f Favourite) bool { return f.of(bird, catalog) })
	if on {
		s.Favourites = append(s.Favourites, Favourite{bird, catalog})
	}
}

// Source is what one source of elements holds now.
type Source struct {
	Place string // file or address
	Sets  []orbit.Elements
	Err   error     // why it holds none, or why some are left out
	Asked time.Time // when its server was last reached; zero = it is a file, or never
	Says  string    // how that went, a few words; ""
}

// Short is the name of a source for people: the last part of it.
func (s *Source) Short() string { return ShortSource(s.Place) }

// ShortSource is a file or an address by the last part of its name; of an
// address without one the server.
func ShortSource(place string) string {
	if IsURL(place) {
		if u, err := url.Parse(place); err == nil {
			if base := path.Base(u.Path); base != "." && base != "/" {
				return base
			}
			return u.Host
		}
	}
	return path.Base(filepath.ToSlash(place))
}

// SkyBird is a bird with the youngest elements that any source has of it.
type SkyBird struct {
	orbit.Elements
	From string   // the source's place
	Also []string // the places of others that have it, with older elements
}

// MergeSky takes of each bird the youngest elements; of equally old ones those
// of the source that comes later. Birds come in the order of the sources.
func MergeSky(all []Source) []SkyBird {
	type key struct {
		catalog int
		name    string
	}
	at := map[key]int{}
	var birds []SkyBird
	for _, s := range all {
		for _, e := range s.Sets {
			k := key{catalog: e.Catalog}
			if e.Catalog == 0 {
				k.name = strings.ToLower(e.Name)
			}
			i, seen := at[k]
			if !seen {
				at[k] = len(birds)
				birds = append(birds, SkyBird{Elements: e, From: s.Place})
				continue
			}
			b := &birds[i]
			other := s.Place
			if !e.Epoch.Before(b.Epoch) {
				other, b.From, b.Elements = b.From, s.Place, e
			}
			if other != b.From && !slices.Contains(b.Also, other) {
				b.Also = append(b.Also, other)
			}
			b.Also = slices.DeleteFunc(b.Also, func(p string) bool { return p == b.From })
		}
	}
	return birds
}
