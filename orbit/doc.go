// Package orbit turns mean orbital elements into where a bird is, when it
// passes over a site and how fast it closes. It knows nothing of radio.
//
// Frames and scales. The propagators return TEME (true equator, mean equinox
// of date) in km and km/s. TEME is turned into an Earth-fixed frame by
// Greenwich mean sidereal time alone (IAU 1982); polar motion is left out
// (at most 17 m). Times are UTC as time.Time; UT1-UTC is an option and is
// zero where it is not given. Sites are geodetic, on WGS84.
//
// Two errors are to be kept apart. Against the published verification set
// the propagators agree within 2e-7 km. Against the sky an element set is
// good to a kilometre or so on its epoch day and loses 0.5 to 30 km a day.
//
// In the kernels every product stands inside float64(). The language lets a
// compiler join a product and the sum behind it into one operation that rounds
// once, and those for some processors do; an explicit conversion forbids it. So
// SGP4 gives the same bits everywhere (SDP4 but for Lyddane's form below 0.2 rad
// of inclination, which uses the library's arc tangent).
package orbit
