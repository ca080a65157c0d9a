package orbit

import (
	"math"
	"time"
)

// j2000Days1900 is the time from 1900 January 0.5 (JD 2415020.0) to J2000.0, days.
const j2000Days1900 = 36525.0

// j2000JulianDate is the Julian date of J2000.0 = 2000-01-01 12:00.
const j2000JulianDate = 2451545.0

var j2000 = time.Date(2000, 1, 1, 12, 0, 0, 0, time.UTC)

// daysSinceJ2000 returns the days since 2000-01-01 12:00 in t's own scale
// (UTC is taken as UT1 here). The rounding error is below 1e-6 s until 2100.
func daysSinceJ2000(t time.Time) float64 {
	const second = 86400
	whole := t.Unix() - j2000.Unix()
	day := math.Floor(float64(whole) / second)
	rest := float64(whole) - float64(day*second) + float64(float64(t.Nanosecond())*1e-9)
	return day + rest/second
}

// JulianDate returns the Julian date of t, days, in t's own scale.
func JulianDate(t time.Time) float64 { return daysSinceJ2000(t) + j2000JulianDate }

// gmstRad returns Greenwich mean sidereal time, rad in [0, 2 pi), for days
// since J2000.0 in UT1. IAU 1982 (Aoki et al., Astron. Astrophys. 105 (1982)
// 359; AIAA 2006-6753, appendix C), 0 h UT and Earth's turn in one polynomial.
func gmstRad(days float64) float64 {
	const perSecond = math.Pi / 43200
	c := days / 36525
	slow := 67310.54841 + float64(c*(8640184.812866+float64(c*(0.093104-float64(c*6.2e-6)))))
	return wrapTurn(float64(slow*perSecond) + float64((days-math.Floor(days))*twoPi))
}

// earthRate is the Earth's rotation, rad/s (WGS84, NIMA TR8350.2). It turns the
// site; the equinox of TEME moves by another 8e-12 rad/s, which is 6e-8 km/s
// on a low orbit and left out.
const earthRate = 7.292115e-5

// GMST returns Greenwich mean sidereal time at t, rad in [0, 2 pi), IAU 1982.
// ut1MinusUTC is in seconds; 0 takes UTC for UT1.
func GMST(t time.Time, ut1MinusUTC float64) float64 {
	return gmstRad(daysSinceJ2000(t) + ut1MinusUTC/86400)
}
