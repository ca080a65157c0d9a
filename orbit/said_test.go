package orbit

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"
)

// A problem says where, whose, what, each part once and parted as compilers do.
func TestProblemsInWords(t *testing.T) {
	for _, c := range []struct {
		p    Problem
		want string
	}{
		{Problem{Message: "is empty"}, "is empty"},
		{Problem{File: "a.tle", Message: "is empty"}, "a.tle: is empty"},
		{Problem{File: "a.tle", Line: 3, Message: "is short"}, "a.tle:3: is short"},
		{Problem{File: "a.tle", Line: 3, Column: 18, Bird: "LARK-1", Message: "no digit"}, "a.tle:3:18: LARK-1: no digit"},
		{Problem{Bird: "LARK-1", Message: "has decayed"}, "LARK-1: has decayed"},
	} {
		if got := c.p.Error(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestBirdsInWords(t *testing.T) {
	var sets []Elements
	for i := range 10 {
		sets = append(sets, Elements{Name: "LARK-" + string(rune('0'+i)), Catalog: 99900 + i})
	}
	sets[0].Name = ""
	for n, want := range map[int]string{
		0: "none", 1: "99900", 2: "99900, LARK-1 (99901)",
		8:  "99900, LARK-1 (99901), LARK-2 (99902), LARK-3 (99903), LARK-4 (99904), LARK-5 (99905), LARK-6 (99906), LARK-7 (99907)",
		10: "99900, LARK-1 (99901), LARK-2 (99902), LARK-3 (99903), LARK-4 (99904), LARK-5 (99905), LARK-6 (99906), LARK-7 (99907) and 2 more",
	} {
		if got := ListBirds(sets[:n]); got != want {
			t.Errorf("%d birds: %q, want %q", n, got, want)
		}
	}
}

// A site file by coordinates or by locator (JN58td: 48.14666 N 11.60833 E,
// QST, January 1989, p. 29, quoted), with the mark that some editors put first.
func TestSiteFiles(t *testing.T) {
	site, mask, err := ParseSiteFile([]byte("\xef\xbb\xbfname = \"Quern Hill\"\nlat = 50.0\nlon = 8.25\nalt_m = 150\nhorizon = [[0, 2], [90, 5], [200, 12]]\n"), "s.toml")
	if want := (Site{Name: "Quern Hill", LatDeg: 50, LonDeg: 8.25, AltM: 150}); err != nil || site != want || mask.At(45) != 3.5 {
		t.Errorf("%+v, horizon at 45 degrees %.2f, %v", site, mask.At(45), err)
	}
	site, mask, err = ParseSiteFile([]byte("locator = \"JN58td\"\n"), "s.toml")
	if err != nil || math.Abs(site.LatDeg-48.14666) > 0.021 || math.Abs(site.LonDeg-11.60833) > 0.042 || mask.At(10) > -90 {
		t.Errorf("%+v, horizon %.0f, %v", site, mask.At(10), err)
	}
	for text, says := range map[string]string{
		"lat = 50.0\n":                               "needs lat and lon, or a locator",
		"lon = 8.0\n":                                "needs lat and lon, or a locator",
		"locator = \"JN58td\"\nlat = 1.0\n":          "keep one of them",
		"locator = \"JN58td\"\nlon = 1.0\n":          "keep one of them",
		"locator = \"ZZ99\"\n":                       "s.toml:1: ",
		"lat = 91.0\nlon = 8.0\n":                    "latitude",
		"lat = 50.0\nlon = 8.0\n\nheight_m = 10\n":   "s.toml:4:1: unknown key \"height_m\"",
		"lat = 50.0\nlon = east\n":                   "s.toml:2:",
		"lat = 50.0\nlon = 8.0\nhorizon = [[0, 95]]": "s.toml:3: ",
		"lat = 1.0\nlon = 1.0\nname = \"" + strings.Repeat("x", 1<<20) + "\"": "larger than 1 MiB",
		"horizon = " + strings.Repeat("[", 2001):                              "more than 2000 lists",
	} {
		_, _, err := ParseSiteFile([]byte(text), "s.toml")
		var p Problem
		if !errors.As(err, &p) || !strings.Contains(err.Error(), says) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%.40q: said %v, want %q", text, err, says)
		}
	}
}

// The shadow lies opposite the Sun of Meeus, example 25.a (1992-10-13, quoted):
// seen from the Earth's centre a bird 7000 km out is dark within asin(6378.137 /
// 7000) = 65.66 degrees of the point opposite 13h13m31.4s, -7 deg 47' 06".
func TestShadowOfThePublishedSun(t *testing.T) {
	at := time.Date(1992, 10, 13, 0, 0, 0, 0, time.UTC).Add(-69184 * time.Millisecond)
	const ra, dec = 15 * (13 + 13.0/60 + 31.4/3600), -(7 + 47.0/60 + 6.0/3600)
	// The axis, and two directions square to it: along the declination and along the right ascension.
	sr, cr := math.Sincos(ra * degree)
	sd, cd := math.Sincos(dec * degree)
	axis, north, east := [3]float64{-cd * cr, -cd * sr, -sd}, [3]float64{-sd * cr, -sd * sr, cd}, [3]float64{-sr, cr, 0}
	limit := math.Asin(6378.137/7000) / degree
	for turn := 0.0; turn < 360; turn += 15 {
		for _, c := range []struct {
			deg float64
			lit bool
		}{{limit - 0.1, false}, {limit + 0.1, true}, {90, true}, {180, true}} {
			s, k := math.Sincos(c.deg * degree)
			st, ct := math.Sincos(turn * degree)
			var place [3]float64
			for i := range place {
				place[i] = 7000 * (k*axis[i] + s*(ct*north[i]+st*east[i]))
			}
			if got := Sunlit(place, at); got != c.lit {
				t.Errorf("%.2f degrees from the axis, towards %.0f: sunlit %v", c.deg, turn, got)
			}
		}
	}
}

// What a pass says of itself is what looking at those moments gives, also where
// a mask or a second site cut it: azimuths, the top, the nearest range.
func TestCutPassesSayWhatIsSeen(t *testing.T) {
	mask, err := NewHorizonMask([]MaskPoint{{0, 5}, {120, 40}, {180, 40}, {240, 5}})
	if err != nil {
		t.Fatal(err)
	}
	cut := 0
	for _, e := range inventedBirds(t, "leo.tle")[:6] {
		bird := propagatorOf(t, e)
		o, far := NewObserver(bird, lakeSite, 0), Site{LatDeg: 40, LonDeg: 25}
		to := searchStart.AddDate(0, 0, 3)
		masked, err1 := FindPasses(bird, lakeSite, searchStart, to, PassOptions{Mask: mask})
		whole, err2 := FindPasses(bird, lakeSite, searchStart, to, PassOptions{})
		there, err3 := FindPasses(bird, far, searchStart, to, PassOptions{})
		if err := errors.Join(err1, err2, err3); err != nil {
			t.Fatal(err)
		}
		for _, p := range append(masked, o.Together(whole, there)...) {
			look := func(at time.Time) Look {
				l, err := o.Look(at)
				if err != nil {
					t.Fatal(err)
				}
				return l
			}
			near(t, "azimuth at AOS", p.AOSAzimuthDeg, look(p.AOS).AzimuthDeg, 1e-3)
			near(t, "azimuth at LOS", p.LOSAzimuthDeg, look(p.LOS).AzimuthDeg, 1e-3)
			near(t, "top", p.MaxElevationDeg, look(p.Max).ElevationDeg, 1e-4)
			near(t, "nearest", p.TCARangeKm, look(p.TCA).RangeKm, 1e-4)
			for at := p.AOS; at.Before(p.LOS); at = at.Add(5 * time.Second) {
				if l := look(at); l.ElevationDeg > p.MaxElevationDeg+1e-3 || l.RangeKm < p.TCARangeKm-1e-2 {
					t.Errorf("%s at %v: %.3f degrees, %.2f km; the pass says %.3f and %.2f", e.Name, at, l.ElevationDeg, l.RangeKm, p.MaxElevationDeg, p.TCARangeKm)
				}
			}
			if p.TCA.Equal(p.AOS) || p.TCA.Equal(p.LOS) || look(p.TCA).RangeRateKmS > 0.05 || look(p.TCA).RangeRateKmS < -0.05 {
				cut++
			}
		}
	}
	if cut == 0 {
		t.Error("no pass was cut before its closest approach")
	}
}

// Long orbits with the perigee over the site, where a bird that was far away is
// soon near: nothing is missed of what looking each two seconds finds.
func TestPassesNearPerigee(t *testing.T) {
	for k, e := range inventedBirds(t, "high.tle") {
		if e.Eccentricity < 0.2 {
			continue
		}
		bird := propagatorOf(t, e)
		from, to := searchStart, searchStart.Add(30*time.Hour)
		nearest, under := math.Inf(1), Site{}
		for at := from; at.Before(to); at = at.Add(time.Minute) {
			s, err := bird.TEME(at.Sub(e.Epoch).Minutes())
			if err != nil {
				t.Fatal(err)
			}
			place := EarthFixed(s, at, 0).PositionKm
			if r := math.Sqrt(dot(&place, &place)); r < nearest {
				nearest, under = r, SiteAt(place)
			}
		}
		under.AltM = 0
		least := []float64{0, 20, 60}[k%3]
		passes, err := FindPasses(bird, under, from, to, PassOptions{MinElevationDeg: least})
		want := steppedPasses(t, bird, under, from, to, least)
		if err != nil || len(passes) != len(want) || len(want) == 0 {
			t.Fatalf("%s: %d passes, stepping finds %d, %v", e.Name, len(passes), len(want), err)
		}
		for i, p := range passes {
			if a, b := want[i][0].Sub(p.AOS), want[i][1].Sub(p.LOS); a.Abs() > lookEach+time.Millisecond || b.Abs() > lookEach+time.Millisecond {
				t.Errorf("%s: %v to %v, stepping %v to %v", e.Name, p.AOS, p.LOS, want[i][0], want[i][1])
			}
		}
	}
}
