package orbit

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
	"testing/quick"
)

// atMostOff reports two bearings that differ by more than tol, degrees.
func atMostOff(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if d := math.Abs(math.Remainder(got-want, 360)); !(d <= tol) {
		t.Errorf("%s is %.9f deg, want %.9f", what, got, want)
	}
}

// Twenty of C. F. F. Karney's test cases (testdata/geodesics), there and back.
func TestPublishedGeodesics(t *testing.T) {
	data, err := os.ReadFile("../testdata/geodesics/cases.csv")
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil || len(rows) != 21 {
		t.Fatal(len(rows), err)
	}
	for _, row := range rows[1:] {
		var v [7]float64
		for i := range v {
			if v[i], err = strconv.ParseFloat(row[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		a, b := Site{LatDeg: v[0], LonDeg: v[1]}, Site{LatDeg: v[3], LonDeg: v[4]}
		km, there, back := a.To(b)
		near(t, "distance", km, v[6]/1000, 1e-9)
		atMostOff(t, "bearing", there, v[2], 1e-9)
		atMostOff(t, "bearing back", back, v[5]+180, 1e-9)
		km, back, there = b.To(a)
		near(t, "distance the other way", km, v[6]/1000, 1e-9)
		atMostOff(t, "bearing", there, v[2], 1e-9)
		atMostOff(t, "bearing back", back, v[5]+180, 1e-9)
	}
}

// Ways at which programs have failed: the checks of the same package with the
// digits and bounds that stand there. Bearings of 999 are not told there.
func TestPublishedOppositePlaces(t *testing.T) {
	const untold = 999
	for _, c := range []struct {
		name                     string
		lat1, lon1, lat2, lon2   float64
		km, boundKm              float64
		there, arrive, boundsDeg float64
	}{
		{"half round the equator", 0, 0, 0, 180, 20003.931, 0.5e-3, 0, 180, 0.5e-5},
		{"nearly half round the equator", 0, 0, 0, 179.5, 19980.862, 0.5e-3, 55.96650, 124.03350, 0.5e-5},
		{"along the equator", 0, 0, 0, 179, 19926.189, 0.5e-3, 90, 90, 0.5e-5},
		{"beside the opposite place", 0, 0, 1, 180, 19893.357, 0.5e-3, 0, 180, 0.5e-5},
		{"41 S to 41 N", -(41 + 19/60.0), 174 + 49/60.0, 40 + 58/60.0, -(5 + 30/60.0), 19960.543857179, 0.5e-9, 160.39137649664, 19.50042925176, 1e-9},
		{"27.2 N to 27.1 S", 27.2, 0, -27.1, 179.5, 19974.354765767, 0.5e-9, 45.82468716758, 134.22776532670, 1e-9},
		{"near the poles", 88.202499451857, 0, -88.202499451857, 179.981022032992859592, 20003.898214, 0.5e-6, untold, untold, 0},
		{"nearer the poles", 89.333123580033, 0, -89.333123580032997687, 179.99295812360148422, 20003.926881, 0.5e-6, untold, untold, 0},
		{"56 N to 56 S", 56.320923501171, 0, -56.320923501171, 179.664747671772880215, 19993.558287, 0.5e-6, untold, untold, 0},
		{"52 N to 52 S", 52.784459512564, 0, -52.784459512563990912, 179.634407464943777557, 19991.596095, 0.5e-6, untold, untold, 0},
		{"48 N to 48 S", 48.522876735459, 0, -48.52287673545898293, 179.599720456223079643, 19989.144774, 0.5e-6, untold, untold, 0},
		{"seven centimetres", 36.493349428792, 0, 36.49334942879201, 0.0000008, 0.072e-3, 0.5e-6, untold, untold, 0},
		{"forty metres", 54.1589, 15.3872, 54.1591, 15.3877, 39.527686385e-3, 5e-12, 55.723110355, 55.723515675, 5e-9},
		{"a trace beside the meridian", 5, 0.00000000000001, 10, 180, 18345.191174332713, 5e-12, 0, 180, 1e-12},
	} {
		t.Run(c.name, func(t *testing.T) {
			km, there, back := Site{LatDeg: c.lat1, LonDeg: c.lon1}.To(Site{LatDeg: c.lat2, LonDeg: c.lon2})
			near(t, "distance", km, c.km, c.boundKm+1e-11)
			if c.there != untold {
				atMostOff(t, "bearing", there, c.there, c.boundsDeg)
				atMostOff(t, "bearing back", back, c.arrive+180, c.boundsDeg)
			}
		})
	}
}

// The way back is as long, no way is longer than half a meridian (20003.931459
// km, twice the quarter that TestGroundDistance has), and a third place is never
// a short cut. What comes is a number, for poles and opposite places too.
func TestGeodesicsAreShortest(t *testing.T) {
	round := []float64{-90, -89.9999999, -45, -1e-9, -1e-12, 0, 1e-60, 1e-300, 30, 89.3, 90}
	place := func(a, b uint32) Site {
		if a%5 == 0 {
			return Site{LatDeg: round[b%uint32(len(round))], LonDeg: float64(a%13)*30 - 180}
		}
		return Site{LatDeg: float64(a)/math.MaxUint32*180 - 90, LonDeg: float64(b)/math.MaxUint32*360 - 180}
	}
	check := func(a, b, c, d, e, f uint32, opposite bool) bool {
		p, q, r := place(a, b), place(c, d), place(e, f)
		if opposite {
			q = Site{LatDeg: -p.LatDeg + float64(c%100)*1e-3, LonDeg: math.Remainder(p.LonDeg+180+float64(d%100)*1e-2, 360)}
			q.LatDeg = min(q.LatDeg, 90)
		}
		pq, there, back := p.To(q)
		qp, _, _ := q.To(p)
		qr, _, _ := q.To(r)
		pr, _, _ := p.To(r)
		ok := math.Abs(pq-qp) < 1e-8 && pr <= pq+qr+1e-8 && pq <= 20003.931459 && there >= 0 && there < 360 && back >= 0 && back < 360
		if !ok {
			t.Logf("%v %v %v: %g, %g back, %g and %g; bearings %g %g", p, q, r, pq, qp, qr, pr, there, back)
		}
		return ok
	}
	if err := quick.Check(check, &quick.Config{MaxCount: 2000}); err != nil {
		t.Error(err)
	}
}
