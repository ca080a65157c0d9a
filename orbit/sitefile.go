package orbit

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

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
	fail := func(line, column int, format string, args ...any) (Site, HorizonMask, error) {
		return Site{}, nil, Problem{File: file, Line: line, Column: column, Message: fmt.Sprintf(format, args...)}
	}
	var f siteFile
	if len(data) > 1<<20 {
		return fail(0, 0, "is larger than 1 MiB, too much for a site")
	}
	decoder := toml.NewDecoder(bytes.NewReader(data))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&f); err != nil {
		var unknown *toml.StrictMissingError
		if errors.As(err, &unknown) && len(unknown.Errors) > 0 {
			row, column := unknown.Errors[0].Position()
			return fail(row, column, "unknown key %s; a site has name, locator or lat and lon, alt_m and horizon",
				quote(strings.Join(unknown.Errors[0].Key(), ".")))
		}
		var wrong *toml.DecodeError
		if errors.As(err, &wrong) {
			row, column := wrong.Position()
			return fail(row, column, "%s", strings.TrimPrefix(wrong.Error(), "toml: "))
		}
		return fail(0, 0, "%s", strings.TrimPrefix(err.Error(), "toml: "))
	}
	site := Site{Name: f.Name, AltM: f.AltM}
	switch {
	case f.Locator != "" && (f.Lat != nil || f.Lon != nil):
		return fail(0, 0, "gives a locator and lat, lon as well; keep one of them")
	case f.Locator != "":
		var err error
		if site.LatDeg, site.LonDeg, err = ParseLocator(f.Locator); err != nil {
			return fail(0, 0, "%v", err)
		}
	case f.Lat == nil || f.Lon == nil:
		return fail(0, 0, "needs lat and lon, or a locator")
	default:
		site.LatDeg, site.LonDeg = *f.Lat, *f.Lon
	}
	if err := site.Validate(); err != nil {
		return fail(0, 0, "%v", err)
	}
	var points []MaskPoint
	for _, p := range f.Horizon {
		points = append(points, MaskPoint{AzimuthDeg: p[0], ElevationDeg: p[1]})
	}
	mask, err := NewHorizonMask(points)
	if err != nil {
		return fail(0, 0, "%v", err)
	}
	return site, mask, nil
}
