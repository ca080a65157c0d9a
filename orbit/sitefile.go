package orbit

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"driftdrill/orbit/legible"

	"github.com/pelletier/go-toml/v2"
)

// siteFile is a site on disk: TOML with these keys and no others.
type siteFile struct {
	Name    string       `toml:"name"`
	Locator string       `toml:"locator"` // instead of lat and lon
	Lat     *float64     `toml:"lat"`     // degrees north
	Lon     *float64     `toml:"lon"`     // degrees east
	AltM    float64      `toml:"alt_m"`   // metres above the ellipsoid
	Horizon [][2]float64 `toml:"horizon"` // pairs of azimuth and elevation, degrees
}

// mostSiteLists bounds the lists of a site file: the reader's time grows with
// their square.
const mostSiteLists = 2000

// ParseSiteFile reads a site and its local horizon from TOML:
//
//	name = "Quern Hill"
//	lat = 50.0
//	lon = 8.0
//	alt_m = 150
//	horizon = [[0, 2], [90, 5], [200, 12], [260, 3]]
//
// or locator = "JO40aa" instead of lat and lon. The error is a Problem.
func ParseSiteFile(data []byte, file string) (Site, HorizonMask, error) {
	var f siteFile
	if len(data) > 1<<20 {
		return Site{}, nil, Problem{File: file, Message: "is larger than 1 MiB, too much for a site"}
	}
	if bytes.Count(data, []byte("[")) > mostSiteLists {
		return Site{}, nil, Problem{File: file, Message: fmt.Sprintf("has more than %d lists, too many for a site", mostSiteLists)}
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	decoder := toml.NewDecoder(bytes.NewReader(data))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&f); err != nil {
		return Site{}, nil, siteProblem(err, file)
	}
	site, key, err := f.site()
	if err != nil {
		return Site{}, nil, Problem{File: file, Line: lineOfKey(data, key), Message: err.Error()}
	}
	var points []MaskPoint
	for _, p := range f.Horizon {
		points = append(points, MaskPoint{AzimuthDeg: p[0], ElevationDeg: p[1]})
	}
	mask, err := NewHorizonMask(points)
	if err != nil {
		return Site{}, nil, Problem{File: file, Line: lineOfKey(data, "horizon"), Message: err.Error()}
	}
	return site, mask, nil
}

// siteProblem says in one line where a site file cannot be read.
func siteProblem(err error, file string) Problem {
	p := Problem{File: file, Message: printable(legible.TOML(err.Error()), 200)}
	var unknown *toml.StrictMissingError
	var wrong *toml.DecodeError
	switch {
	case errors.As(err, &unknown) && len(unknown.Errors) > 0:
		p.Line, p.Column = unknown.Errors[0].Position()
		p.Message = fmt.Sprintf("unknown key %s; a site has name, locator or lat and lon, alt_m and horizon",
			quote(strings.Join(unknown.Errors[0].Key(), ".")))
	case errors.As(err, &wrong):
		p.Line, p.Column = wrong.Position()
		p.Message = printable(legible.TOML(wrong.Error()), 200)
	}
	return p
}

// site checks where the file says the site is; key is what an error is about.
func (f *siteFile) site() (site Site, key string, err error) {
	site = Site{Name: printable(f.Name, 64), AltM: f.AltM}
	switch {
	case f.Locator != "" && (f.Lat != nil || f.Lon != nil):
		return site, "locator", errors.New("gives a locator and lat, lon as well; keep one of them")
	case f.Locator != "":
		if site.LatDeg, site.LonDeg, err = ParseLocator(f.Locator); err != nil {
			return site, "locator", err
		}
	case f.Lat == nil || f.Lon == nil:
		return site, "", errors.New("needs lat and lon, or a locator")
	default:
		site.LatDeg, site.LonDeg = *f.Lat, *f.Lon
	}
	switch {
	case (Site{LatDeg: site.LatDeg}).Validate() != nil:
		key = "lat"
	case (Site{LonDeg: site.LonDeg}).Validate() != nil:
		key = "lon"
	default:
		key = "alt_m"
	}
	return site, key, site.Validate()
}

// lineOfKey finds the line on which a key of a site file stands, from 1; 0 = nowhere.
func lineOfKey(data []byte, key string) int {
	if key == "" {
		return 0
	}
	for i, line := range bytes.Split(data, []byte("\n")) {
		name, _, _ := bytes.Cut(line, []byte("="))
		if string(bytes.Trim(name, " \t\"'")) == key {
			return i + 1
		}
	}
	return 0
}
