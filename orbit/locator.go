package orbit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Locators: a field of 20 by 10 degrees, a square of 2 by 1 degree, a
// sub-square of 5' by 2.5', then tenths of it, then twenty-fourths of those.
// Source: "Conversion Between Geodetic and Grid Locator Systems", QST, January
// 1989, pp. 29-30, 43; the fifth pair is common practice, no published source.

// locatorCells is how many cells each pair divides the one before into.
var locatorCells = [5]float64{18, 10, 24, 10, 24}

// ParseLocator returns the centre of a locator of 4, 6, 8 or 10 characters in
// any case, as degrees north and east.
func ParseLocator(s string) (latDeg, lonDeg float64, err error) {
	text := strings.ToUpper(strings.TrimSpace(s))
	if len(text) < 4 || len(text) > 10 || len(text)%2 != 0 {
		return 0, 0, fmt.Errorf("%s is no locator: it must have 4, 6, 8 or 10 characters", quote(s))
	}
	lonDeg, latDeg = -180, -90
	width, height := 360.0, 180.0
	for pair := range len(text) / 2 {
		cells := locatorCells[pair]
		base, kind := byte('A'), "letters A to "+string(byte('A')+byte(cells)-1)
		if cells == 10 {
			base, kind = '0', "digits"
		}
		x, y := text[2*pair]-base, text[2*pair+1]-base // what lies before the first one wraps to a great number
		if float64(x) >= cells || float64(y) >= cells {
			return 0, 0, fmt.Errorf("%s is no locator: characters %d and %d must be %s", quote(s), 2*pair+1, 2*pair+2, kind)
		}
		width, height = width/cells, height/cells
		lonDeg += float64(x) * width
		latDeg += float64(y) * height
	}
	return latDeg + height/2, lonDeg + width/2, nil
}

// Locator returns the locator of the site with 4, 6, 8 or 10 characters. The
// north pole and the date line from the west belong to the last cell.
func (s Site) Locator(characters int) string {
	lon := math.Mod(s.LonDeg+180, 360)
	if lon < 0 {
		lon += 360
	}
	lat := s.LatDeg + 90
	width, height := 360.0, 180.0
	var b strings.Builder
	for pair := range max(2, min(5, characters/2)) {
		cells := locatorCells[pair]
		width, height = width/cells, height/cells
		x := min(math.Floor(lon/width+1e-9), cells-1) // 1e-9 of a cell: a border that decimal degrees cannot hit
		y := min(math.Floor(lat/height+1e-9), cells-1)
		lon = max(0, lon-x*width)
		lat = max(0, lat-y*height)
		base := byte('A')
		switch {
		case cells == 10:
			base = '0'
		case pair > 0:
			base = 'a'
		}
		b.WriteByte(base + byte(x))
		b.WriteByte(base + byte(y))
	}
	return b.String()
}

// howPlaces says how a place is written, to people at a window and on a command line.
// It is short: a field shows one line of it.
const howPlaces = "write 50.0, 8.0, 150 (degrees, metres) or a locator, JO40aa"

// ParseSite reads "LAT,LON[,ALT_M]" in degrees and metres, or a locator. The
// name of a site given by a locator is that locator.
func ParseSite(s string) (Site, error) {
	text := strings.TrimSpace(s)
	if !strings.Contains(text, ",") {
		lat, lon, err := ParseLocator(text)
		if err != nil {
			if len(text) < 4 || len(text)%2 != 0 || len(text) > 10 {
				err = fmt.Errorf("%s is no place: "+howPlaces, quote(s))
			}
			return Site{}, err
		}
		return Site{Name: text, LatDeg: lat, LonDeg: lon}, nil
	}
	parts := strings.Split(text, ",")
	if len(parts) > 3 {
		return Site{}, fmt.Errorf("%s has %d parts; "+howPlaces, quote(s), len(parts))
	}
	var v [3]float64
	for i, p := range parts {
		x, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return Site{}, fmt.Errorf("%s: %s is not a number; "+howPlaces, quote(s), quote(strings.TrimSpace(p)))
		}
		v[i] = x
	}
	site := Site{LatDeg: v[0], LonDeg: v[1], AltM: v[2]}
	if err := site.Validate(); err != nil {
		return Site{}, fmt.Errorf("%s: %w", quote(s), err)
	}
	return site, nil
}

// Validate says whether the site is on the Earth.
func (s Site) Validate() error {
	switch {
	case !(s.LatDeg >= -90 && s.LatDeg <= 90):
		return fmt.Errorf("latitude %g is outside -90..90 degrees", s.LatDeg)
	case !(s.LonDeg >= -180 && s.LonDeg <= 180):
		return fmt.Errorf("longitude %g is outside -180..180 degrees (west is negative)", s.LonDeg)
	case !(s.AltM >= -500 && s.AltM <= 10000):
		return fmt.Errorf("height %g is outside -500..10000 metres", s.AltM)
	}
	return nil
}
