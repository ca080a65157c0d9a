package orbit

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"strings"
	"testing"
	"time"
)

var searchStart = time.Date(2026, 11, 21, 0, 0, 0, 0, time.UTC)

// lakeSite is where the table of testdata/skyfield-passes was made for.
var lakeSite = Site{Name: "Long Lake", LatDeg: 47.37, LonDeg: 8.54, AltM: 408}

func inventedBirds(tb testing.TB, file string) []Elements {
	tb.Helper()
	f, err := os.Open("../testdata/invented-birds/" + file)
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	sets, problems := ReadElements(f, file)
	if len(problems) > 0 {
		tb.Fatal(problems[0])
	}
	return sets
}

func propagatorOf(tb testing.TB, e Elements) Propagator {
	tb.Helper()
	p, err := NewPropagator(e)
	if err != nil {
		tb.Fatal(err)
	}
	return p
}

// The bounds against Skyfield's bisected elevation: 0.05 s and 1e-4 deg are
// asked for; what is found is a hundred times better, and held here.
const (
	passTimeS       = 0.002
	passElevationDg = 1e-5
)

func TestPassesAgainstSkyfield(t *testing.T) {
	f, err := os.Open("../testdata/skyfield-passes/leo-ten-days.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := map[string][][4]float64{}
	for _, r := range rows[1:] {
		want[r[0]] = append(want[r[0]], [4]float64{number(t, r[1]), number(t, r[2]), number(t, r[3]), number(t, r[4])})
	}
	total, low := 0, 0
	for _, e := range inventedBirds(t, "leo.tle") {
		passes, err := FindPasses(propagatorOf(t, e), lakeSite, searchStart, searchStart.AddDate(0, 0, 10), PassOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if len(passes) != len(want[e.Name]) {
			t.Errorf("%s: %d passes, Skyfield has %d", e.Name, len(passes), len(want[e.Name]))
			continue
		}
		for i, p := range passes {
			w := want[e.Name][i]
			total++
			if w[3] < 0.1 {
				low++
			}
			near(t, e.Name+" AOS", p.AOS.Sub(searchStart).Seconds(), w[0], passTimeS)
			near(t, e.Name+" culmination", p.Max.Sub(searchStart).Seconds(), w[1], passTimeS)
			near(t, e.Name+" LOS", p.LOS.Sub(searchStart).Seconds(), w[2], passTimeS)
			near(t, e.Name+" elevation", p.MaxElevationDeg, w[3], passElevationDg)
		}
	}
	if total != 739 || low == 0 {
		t.Errorf("%d passes compared, %d below 0.1 deg; want 739 and some", total, low)
	}
}

// TestRangeRate holds the analytic range rate to a central difference of range.
// SGP4's velocity is not exactly the derivative of its position (the published
// states, which hold to 5e-10 km/s, show it too). Measured with other libraries:
// up to 2.3e-5 km/s on the low orbits. Found here on the others: 2e-3 km/s at
// the perigees of eccentric orbits, so that bound only holds the sign and the size.
func TestRangeRate(t *testing.T) {
	const h = 50 * time.Millisecond
	low := inventedBirds(t, "leo.tle")
	var worst [2]float64
	defer func() { t.Logf("worst %.3g km/s low, %.3g others", worst[0], worst[1]) }()
	for k, e := range append(low, inventedBirds(t, "high.tle")...) {
		tolerance := 2.5e-5
		if k >= len(low) {
			tolerance = 3e-3
		}
		o := NewObserver(propagatorOf(t, e), lakeSite, 0)
		for m := range 400 {
			at := searchStart.Add(time.Duration(m) * 173 * time.Second)
			before, _ := o.Look(at.Add(-h))
			after, _ := o.Look(at.Add(h))
			now, err := o.Look(at)
			if err != nil {
				t.Fatal(err)
			}
			if d := math.Abs(now.RangeRateKmS - (after.RangeKm-before.RangeKm)/(2*h.Seconds())); d > worst[min(k/len(low), 1)] {
				worst[min(k/len(low), 1)] = d
			}
			near(t, e.Name+" range rate", now.RangeRateKmS, (after.RangeKm-before.RangeKm)/(2*h.Seconds()), tolerance)
		}
	}
}

// TestClosestApproach: the range rate is zero at TCA, negative before and
// positive after, and the range is least there by the range itself.
func TestClosestApproach(t *testing.T) {
	for _, e := range inventedBirds(t, "leo.tle") {
		bird := propagatorOf(t, e)
		o := NewObserver(bird, lakeSite, 0)
		passes, err := FindPasses(bird, lakeSite, searchStart, searchStart.AddDate(0, 0, 3), PassOptions{})
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range passes {
			if p.TCA.Equal(p.AOS) || p.TCA.Equal(p.LOS) {
				continue
			}
			look := func(shift time.Duration) Look {
				l, err := o.Look(p.TCA.Add(shift))
				if err != nil {
					t.Fatal(err)
				}
				return l
			}
			now, before, after := look(0), look(-2*time.Second), look(2*time.Second)
			near(t, e.Name+" range rate at TCA", now.RangeRateKmS, 0, 2e-6)
			near(t, e.Name+" range at TCA", now.RangeKm, p.TCARangeKm, 1e-5)
			if !(before.RangeRateKmS < 0 && after.RangeRateKmS > 0 && before.RangeKm > now.RangeKm && after.RangeKm > now.RangeKm) {
				t.Errorf("%s at %v: rates %.5f %.5f, ranges %.4f %.4f %.4f", e.Name, p.TCA,
					before.RangeRateKmS, after.RangeRateKmS, before.RangeKm, now.RangeKm, after.RangeKm)
			}
		}
	}
}

// lookEach is the step of steppedPasses.
const lookEach = 2 * time.Second

// steppedPasses finds passes by looking each two seconds: slow, and obvious.
func steppedPasses(t *testing.T, p Propagator, s Site, from, to time.Time, least float64) [][2]time.Time {
	t.Helper()
	o := NewObserver(p, s, 0)
	var found [][2]time.Time
	was, start := false, from
	for at := from; !at.After(to); at = at.Add(lookEach) {
		l, err := o.Look(at)
		if err != nil {
			t.Fatal(err)
		}
		is := l.ElevationDeg > least
		if is && !was {
			start = at
		}
		if was && !is {
			found = append(found, [2]time.Time{start, at})
		}
		was = is
	}
	if was {
		found = append(found, [2]time.Time{start, to})
	}
	return found
}

// Every kind of orbit over every kind of site, against looking each two seconds.
func TestPassesAgainstStepping(t *testing.T) {
	sites := []Site{
		{Name: "north pole", LatDeg: 90}, {Name: "south pole", LatDeg: -90, AltM: 2835},
		{Name: "date line", LatDeg: -16.85, LonDeg: 179.999}, {Name: "equator", LatDeg: -0.22, LonDeg: -78.51, AltM: 2500},
	}
	from, to := searchStart, searchStart.Add(16*time.Hour)
	for k, e := range append(inventedBirds(t, "high.tle"), inventedBirds(t, "leo.tle")[:3]...) {
		site, least := sites[k%len(sites)], []float64{0, 10, 35, -2}[k/len(sites)%4]
		t.Run(e.Name+" from "+site.Name, func(t *testing.T) {
			passes, err := FindPasses(propagatorOf(t, e), site, from, to, PassOptions{MinElevationDeg: least})
			if err != nil {
				t.Fatal(err)
			}
			want := steppedPasses(t, propagatorOf(t, e), site, from, to, least)
			if len(passes) != len(want) {
				t.Fatalf("%d passes, stepping finds %d", len(passes), len(want))
			}
			for i, p := range passes {
				if d := want[i][0].Sub(p.AOS); d < -time.Millisecond || d > lookEach+time.Millisecond {
					t.Errorf("AOS %v, stepping sees it up at %v", p.AOS, want[i][0])
				}
				if d := want[i][1].Sub(p.LOS); d < -time.Millisecond || d > lookEach+time.Millisecond {
					t.Errorf("LOS %v, stepping sees it down at %v", p.LOS, want[i][1])
				}
			}
		})
	}
}

// A pass that rises above the least elevation by a ten-thousandth of a degree is found;
// one that stays below it by as little is not.
func TestPassesOfSeconds(t *testing.T) {
	e := inventedBirds(t, "leo.tle")[0]
	bird := propagatorOf(t, e)
	all, err := FindPasses(bird, lakeSite, searchStart, searchStart.AddDate(0, 0, 2), PassOptions{})
	if err != nil || len(all) < 5 {
		t.Fatal(err, len(all))
	}
	for _, p := range all {
		count := func(least float64) (n int, length time.Duration) {
			passes, err := FindPasses(bird, lakeSite, searchStart, searchStart.AddDate(0, 0, 2), PassOptions{MinElevationDeg: least})
			if err != nil {
				t.Fatal(err)
			}
			for _, q := range passes {
				if q.Max.Sub(p.Max).Abs() < time.Minute {
					n++
					length = q.LOS.Sub(q.AOS)
				}
			}
			return n, length
		}
		if n, length := count(p.MaxElevationDeg - 1e-4); n != 1 || length <= 0 || length > 10*time.Second {
			t.Errorf("just below the culmination of %.3f deg: %d passes, %v long", p.MaxElevationDeg, n, length)
		}
		if n, _ := count(p.MaxElevationDeg + 1e-4); n != 0 {
			t.Errorf("just above the culmination of %.3f deg: %d passes", p.MaxElevationDeg, n)
		}
	}
}

func TestPassesAtTheEdges(t *testing.T) {
	e := inventedBirds(t, "leo.tle")[0]
	bird := propagatorOf(t, e)
	all, err := FindPasses(bird, lakeSite, searchStart, searchStart.AddDate(0, 0, 1), PassOptions{})
	if err != nil || len(all) == 0 {
		t.Fatal(err)
	}
	p := all[0]
	search := func(from, to time.Time) Pass {
		t.Helper()
		passes, err := FindPasses(bird, lakeSite, from, to, PassOptions{})
		if err != nil || len(passes) != 1 {
			t.Fatalf("%d passes, %v", len(passes), err)
		}
		return passes[0]
	}
	middle := p.Max.Add(30 * time.Second)
	late := search(middle, p.LOS.Add(time.Minute))
	if !late.UpAtStart || late.UpAtStop || !late.AOS.Equal(middle) || !late.Max.Equal(middle) || late.LOS.Sub(p.LOS).Abs() > time.Millisecond {
		t.Errorf("a search that begins in a pass: %+v", late)
	}
	early := search(p.AOS.Add(-time.Minute), p.Max.Add(-30*time.Second))
	if early.UpAtStart || !early.UpAtStop || early.AOS.Sub(p.AOS).Abs() > time.Millisecond {
		t.Errorf("a search that ends in a pass: %+v", early)
	}
	inside := search(p.AOS.Add(time.Minute), p.LOS.Add(-time.Minute))
	if !inside.UpAtStart || !inside.UpAtStop || inside.Max.Sub(p.Max).Abs() > time.Millisecond {
		t.Errorf("a search within a pass: %+v", inside)
	}
	if none, err := FindPasses(bird, lakeSite, p.LOS.Add(time.Second), p.LOS.Add(time.Minute), PassOptions{}); err != nil || len(none) != 0 {
		t.Errorf("between two passes: %v, %v", none, err)
	}
}

// A bird that hangs over one meridian is always up there and never opposite;
// the elements are invented.
func TestAlwaysAndNeverUp(t *testing.T) {
	e := inventedBirds(t, "high.tle")[0]
	e.MeanMotion, e.InclinationDeg, e.Eccentricity, e.BStar = 1.00273791, 0.05, 0.0002, 0
	bird := propagatorOf(t, e)
	s, err := bird.TEME(0)
	if err != nil {
		t.Fatal(err)
	}
	under := SiteAt(EarthFixed(s, e.Epoch, 0).PositionKm)
	under.AltM = 0
	opposite := under
	opposite.LonDeg = math.Mod(under.LonDeg+360, 360) - 180
	from, to := e.Epoch, e.Epoch.AddDate(0, 0, 5)
	always, err := FindPasses(bird, under, from, to, PassOptions{})
	if err != nil || len(always) != 1 || !always[0].UpAtStart || !always[0].UpAtStop || !always[0].AOS.Equal(from) || !always[0].LOS.Equal(to) {
		t.Errorf("always up: %+v, %v", always, err)
	}
	never, err := FindPasses(bird, opposite, from, to, PassOptions{})
	if err != nil || len(never) != 0 {
		t.Errorf("never up: %+v, %v", never, err)
	}
}

// The published bird 28872 decays 55 minutes after its epoch, 29141 at 440.
func TestPassesUpToADecay(t *testing.T) {
	for _, v := range readVerificationSets(t) {
		e, _ := parseTLE("", v.line1, v.line2, true)
		if e.Catalog != 29141 {
			continue
		}
		passes, err := FindPasses(propagatorOf(t, e), Site{LatDeg: 60}, e.Epoch, e.Epoch.AddDate(0, 0, 1), PassOptions{})
		var broken *PropagationError
		if !errors.As(err, &broken) || broken.Kind != BreakdownDecayed || broken.Minutes < 420 || broken.Minutes > 440 {
			t.Errorf("ended with %v", err)
		}
		for _, p := range passes {
			if p.LOS.After(e.Epoch.Add(440 * time.Minute)) {
				t.Errorf("a pass after the decay: %+v", p)
			}
		}
	}
}

func TestHorizonMaskCutsPasses(t *testing.T) {
	mask, err := NewHorizonMask([]MaskPoint{{0, 5}, {90, 5}, {100, 30}, {170, 30}, {180, 5}, {270, 5}})
	if err != nil {
		t.Fatal(err)
	}
	for azimuth, want := range map[float64]float64{0: 5, 45: 5, 95: 17.5, 135: 30, 175: 17.5, 300: 5, 359.9: 5} {
		near(t, "mask", mask.At(azimuth), want, 1e-9)
	}
	bird := propagatorOf(t, inventedBirds(t, "leo.tle")[7])
	o := NewObserver(bird, lakeSite, 0)
	to := searchStart.AddDate(0, 0, 2)
	passes, err := FindPasses(bird, lakeSite, searchStart, to, PassOptions{Mask: mask})
	if err != nil || len(passes) == 0 {
		t.Fatal(err)
	}
	covered := func(at time.Time) bool {
		for _, p := range passes {
			if at.After(p.AOS) && at.Before(p.LOS) {
				return true
			}
		}
		return false
	}
	for at := searchStart; at.Before(to); at = at.Add(7 * time.Second) {
		l, _ := o.Look(at)
		clear := l.ElevationDeg - mask.At(l.AzimuthDeg)
		if math.Abs(clear) > 0.01 && covered(at) != (clear > 0) {
			t.Errorf("at %v the bird is %.3f deg clear of the horizon, but a pass: %v", at, clear, covered(at))
		}
	}
}

func TestTwoSitesTogether(t *testing.T) {
	bird := propagatorOf(t, inventedBirds(t, "leo.tle")[7])
	far := Site{LatDeg: 25, LonDeg: -45}
	to := searchStart.AddDate(0, 0, 2)
	here, err1 := FindPasses(bird, lakeSite, searchStart, to, PassOptions{})
	there, err2 := FindPasses(bird, far, searchStart, to, PassOptions{})
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	a, b := NewObserver(bird, lakeSite, 0), NewObserver(bird, far, 0)
	both := a.Together(here, there)
	if len(both) == 0 || len(both) >= len(here) {
		t.Fatalf("%d of %d passes are common", len(both), len(here))
	}
	for at := searchStart; at.Before(to); at = at.Add(13 * time.Second) {
		la, _ := a.Look(at)
		lb, _ := b.Look(at)
		common := false
		for _, p := range both {
			common = common || at.After(p.AOS) && at.Before(p.LOS)
		}
		if up := min(la.ElevationDeg, lb.ElevationDeg); math.Abs(up) > 0.01 && common != (up > 0) {
			t.Errorf("at %v the lower of both is %.3f deg up, but common: %v", at, up, common)
		}
	}
	for _, p := range both {
		if p.Max.Before(p.AOS) || p.Max.After(p.LOS) || p.TCA.Before(p.AOS) || p.TCA.After(p.LOS) {
			t.Errorf("culmination or TCA outside the common time: %+v", p)
		}
	}
}

func TestBadSearches(t *testing.T) {
	bird := propagatorOf(t, inventedBirds(t, "leo.tle")[0])
	day := searchStart.AddDate(0, 0, 1)
	for says, try := range map[string]func() error{
		"before it begins": func() error { _, err := FindPasses(bird, lakeSite, day, searchStart, PassOptions{}); return err },
		"outside -10..90": func() error {
			_, err := FindPasses(bird, lakeSite, searchStart, day, PassOptions{MinElevationDeg: 90})
			return err
		},
		"latitude": func() error {
			_, err := FindPasses(bird, Site{LatDeg: 91}, searchStart, day, PassOptions{})
			return err
		},
	} {
		if err := try(); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("said %v, want %q", err, says)
		}
	}
}
