package orbit

import (
	"math"
	"strings"
	"testing"
	"testing/quick"
	"time"
)

// Davidoff, The Satellite Experimenter's Handbook, p. 96 (quoted, recomputed),
// and the same formula at round heights; slant ranges by the formula.
func TestPublishedFootprints(t *testing.T) {
	for height, want := range map[float64]float64{1459: 7904, 1440: 7861, 400: 4402, 500: 4891, 800: 6076, 1000: 6715, 1500: 7997} {
		near(t, "two stations", TwoStationKm(height), want, 1) // the book drops the fraction
	}
	near(t, "slant range", HorizonRangeKm(800), 3291, 0.6)
	near(t, "slant range", HorizonRangeKm(1500), 4622, 0.6)
	near(t, "back", LeastHeightKm(TwoStationKm(800)), 800, 1e-6)
	near(t, "footprint at 90 degrees", FootprintRadiusKm(800, 90), 0, 1e-9)
	for _, km := range []float64{19990, 20003.931459, 20015.087} { // opposite: no bird is seen from both
		if h := LeastHeightKm(km); !math.IsInf(h, 1) {
			t.Errorf("a bird at %g km is seen from both of two places %g km apart", h, km)
		}
	}
}

// "Conversion Between Geodetic and Grid Locator Systems", QST, January 1989,
// pp. 29-30, 43 (quoted, recomputed); FN31pr quoted, recomputed.
func TestPublishedLocators(t *testing.T) {
	cases := []struct {
		locator  string
		lat, lon float64
	}{
		{"JN58td", 48.14666, 11.60833}, {"GF15vc", -34.91, -56.21166}, {"FM18lw", 38.92, -77.065},
		{"RE78ir", -41.28333, 174.745}, {"FN31pr", 41.714775, -72.727260},
	}
	for _, c := range cases {
		if got := (Site{LatDeg: c.lat, LonDeg: c.lon}).Locator(6); got != c.locator {
			t.Errorf("%g, %g is %s, want %s", c.lat, c.lon, got, c.locator)
		}
		lat, lon, err := ParseLocator(c.locator)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.locator+" latitude", lat, c.lat, 2.5/60/2+1e-9)
		near(t, c.locator+" longitude", lon, c.lon, 5.0/60/2+1e-9)
	}
}

// The centre of every locator has that locator, at every length.
func TestLocatorRoundTrip(t *testing.T) {
	check := func(a, b uint32, size uint8) bool {
		s := Site{LatDeg: float64(a)/math.MaxUint32*180 - 90, LonDeg: float64(b)/math.MaxUint32*360 - 180}
		n := 4 + 2*int(size%4)
		locator := s.Locator(n)
		lat, lon, err := ParseLocator(locator)
		if err != nil {
			t.Log(locator, err)
			return false
		}
		if (Site{LatDeg: lat, LonDeg: lon}).Locator(n) != locator {
			t.Log(locator, "came back otherwise")
			return false
		}
		cells := []float64{1, 24, 240, 5760}[n/2-2] // of the square of 2 by 1 degree
		return math.Abs(lat-s.LatDeg) <= 0.5/cells+1e-6 && math.Abs(lon-s.LonDeg) <= 1/cells+1e-6
	}
	if err := quick.Check(check, &quick.Config{MaxCount: 20000}); err != nil {
		t.Error(err)
	}
	for place, want := range map[Site]string{
		{LatDeg: 90, LonDeg: 180}: "AR09", {LatDeg: -90, LonDeg: -180}: "AA00", {LatDeg: 90, LonDeg: 179.99}: "RR99", {}: "JJ00",
	} {
		if got := place.Locator(4); got != want {
			t.Errorf("%v is %s, want %s", place, got, want)
		}
	}
}

func TestSitesThatAreNowhere(t *testing.T) {
	for text, says := range map[string]string{
		"": "is no place: write", "JN": "or a locator", "JN5": "is no place", "ZZ00": "letters A to R", "JNxx": "digits", "JN58zz": "letters A to X",
		"91,0": "latitude 91", "0,181": "longitude 181", "1,2,3,4": "4 parts", "a,b": "not a number", "NaN,0": "not a number",
		"1,2,99999": "height", "Inf,0": "not a number", "JN58tdéé": "locator",
	} {
		if s, err := ParseSite(text); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q gave %v, %v; want %q", text, s, err, says)
		}
	}
	s, err := ParseSite(" 50.0, -8.5, 150 ")
	if err != nil || s != (Site{LatDeg: 50, LonDeg: -8.5, AltM: 150}) {
		t.Errorf("read %v, %v", s, err)
	}
}

// A quarter of the meridian and of the equator of WGS84: 10001.965729 km (from
// memory) and a pi/2 (exact). The worked example of Flinders Peak and Buninyong,
// GDA Technical Manual (from memory; on GRS80, the same within a tenth of a millimetre).
func TestGroundDistance(t *testing.T) {
	km, there, _ := (Site{LatDeg: 0, LonDeg: 7}).To(Site{LatDeg: 90})
	near(t, "quarter meridian", km, 10001.965729, 1e-5)
	near(t, "north", there, 0, 1e-9)
	km, there, back := Site{}.To(Site{LonDeg: 90})
	near(t, "quarter equator", km, wgs84RadiusKm*math.Pi/2, 1e-6)
	near(t, "east", there, 90, 1e-9)
	near(t, "west", back, 270, 1e-9)
	dms := func(d, m, s float64) float64 { return d + m/60 + s/3600 }
	peak := Site{LatDeg: -dms(37, 57, 3.72030), LonDeg: dms(144, 25, 29.52440)}
	other := Site{LatDeg: -dms(37, 39, 10.15610), LonDeg: dms(143, 55, 35.38390)}
	km, there, back = peak.To(other)
	near(t, "worked example", km, 54.972271, 1e-6)
	near(t, "bearing", there, dms(306, 52, 5.37), 1e-5)
	near(t, "bearing back", back, dms(127, 10, 25.07), 1e-5)
	if km, _, _ := peak.To(peak); km != 0 {
		t.Errorf("a site is %g km from itself", km)
	}
	km, _, _ = (Site{LatDeg: -16.85, LonDeg: 179.999}).To(Site{LatDeg: -16.85, LonDeg: -179.999})
	near(t, "across the date line", km, 0.213, 0.001)
}

// Meeus, Astronomical Algorithms, example 25.a (quoted): 1992-10-13 0h TD.
func TestPublishedSun(t *testing.T) {
	at := time.Date(1992, 10, 13, 0, 0, 0, 0, time.UTC).Add(-69184 * time.Millisecond) // SunAt adds this to UTC
	s := SunAt(at)
	near(t, "true longitude", s.TrueLongitudeDeg, 199.90987, 2e-5) // of the book, which rounds on its way
	near(t, "apparent longitude", s.ApparentLongitudeDeg, 199.90895, 2e-5)
	near(t, "distance", s.DistanceAU, 0.99766, 5e-6)
	near(t, "right ascension", s.RightAscensionDeg, 15*(13+13.0/60+31.4/3600), 15*0.1/3600)
	near(t, "declination", s.DeclinationDeg, -(7 + 47.0/60 + 6.0/3600), 1.0/3600)
}

// Julian dates of Meeus, example 7.a and p. 62 (quoted).
func TestPublishedJulianDates(t *testing.T) {
	for _, c := range []struct {
		at   time.Time
		want float64
	}{
		{time.Date(1957, 10, 4, 19, 26, 24, 0, time.UTC), 2436116.31},
		{time.Date(2000, 1, 1, 12, 0, 0, 0, time.UTC), 2451545.0},
		{time.Date(1987, 1, 27, 0, 0, 0, 0, time.UTC), 2446822.5},
		{time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC), 2415020.5},
	} {
		near(t, c.at.String(), JulianDate(c.at), c.want, 1e-9)
	}
}

// The shadow, by geometry alone: opposite the Sun a bird is dark if it is nearer to the
// axis than the Earth's radius, towards the Sun it never is.
func TestShadow(t *testing.T) {
	at := time.Date(2026, 3, 20, 12, 0, 0, 0, time.UTC)
	sun := SunAt(at).vectorKm()
	length := math.Sqrt(dot(&sun, &sun))
	place := func(along, aside float64) [3]float64 {
		return [3]float64{sun[0] / length * along, sun[1] / length * along, sun[2]/length*along + aside}
	}
	for _, c := range []struct {
		along, aside float64
		lit          bool
	}{{7000, 0, true}, {-7000, 0, false}, {-7000, 6300, false}, {-7000, 6450, true}, {-40000, 6300, false}, {0, 7000, true}} {
		if got := Sunlit(place(c.along, c.aside), at); got != c.lit {
			t.Errorf("%g km from the Earth along the line to the Sun, %g aside: sunlit %v", c.along, c.aside, got)
		}
	}
}
