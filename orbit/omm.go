package orbit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// Orbit mean-elements messages by CCSDS 502.0-B-3, section 4. All four forms
// become a list of keywords and texts, which this file turns into Elements.

// ommValue is one value and where it stands.
type ommValue struct {
	text         string
	line, column int
}

// ommSet is one message: its keywords, upper case.
type ommSet struct {
	line   int // where it begins
	values map[string]ommValue
}

func newOMMSet(line int) *ommSet {
	return &ommSet{line: line, values: make(map[string]ommValue, 24)}
}

// ommReader takes values from one set and collects what is wrong.
type ommReader struct {
	set      *ommSet
	bird     string
	problems []Problem
}

func (r *ommReader) fail(key string, warning bool, format string, args ...any) {
	line, column := r.set.line, 0
	if v, ok := r.set.values[key]; ok {
		line, column = v.line, v.column
	}
	r.problems = append(r.problems, Problem{Line: line, Column: column, Bird: r.bird, Message: fmt.Sprintf(format, args...), Warning: warning})
}

func (r *ommReader) text(key string) string {
	return strings.TrimSpace(r.set.values[key].text)
}

// number reads a value; one that is needed and missing is a problem.
func (r *ommReader) number(key string, needed bool) float64 {
	s := r.text(key)
	if s == "" {
		if needed {
			r.fail(key, false, "has no %s", key)
		}
		return 0
	}
	v, ok := parseDecimal(s)
	if !ok {
		r.fail(key, false, "%s %s is not a number", key, quote(s))
	}
	return v
}

// parseDecimal reads a decimal number: no infinities, no hexadecimal.
func parseDecimal(s string) (float64, bool) {
	if strings.Trim(s, "0123456789.+-eE") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, false
	}
	return v, true
}

// whole reads a whole number within [0, most]; "12.0" will do.
func (r *ommReader) whole(key string, most int) int {
	v := r.number(key, false)
	if v != math.Trunc(v) || v < 0 || v > float64(most) {
		r.fail(key, false, "%s %s is not a whole number within 0..%d", key, quote(r.text(key)), most)
		return 0
	}
	return int(v)
}

// must checks a keyword that, where it stands, allows few values only.
func (r *ommReader) must(key string, allowed ...string) {
	s := r.text(key)
	if s == "" {
		return
	}
	for _, a := range allowed {
		if strings.EqualFold(s, a) {
			return
		}
	}
	r.fail(key, false, "%s is %s, but these elements are used with %s only", key, quote(s), strings.Join(allowed, " or "))
}

// foreignEphemeris is the ephemeris type of sets made for another theory than
// SGP4, with other meanings of the same columns.
const foreignEphemeris = 4

// greatestCatalog is the greatest catalogue number of nine digits.
const greatestCatalog = 999999999

// elements turns the set into Elements. It returns problems instead where a
// value cannot be used; warnings come with the elements.
func (s *ommSet) elements() (Elements, []Problem) {
	r := &ommReader{set: s}
	e := Elements{Name: printable(r.text("OBJECT_NAME"), 64)}
	r.bird = e.Name
	if r.bird == "" {
		r.bird = printable(r.text("NORAD_CAT_ID"), 16)
	}
	r.must("CENTER_NAME", "EARTH")
	r.must("REF_FRAME", "TEME", "TEMEOFDATE")
	r.must("TIME_SYSTEM", "UTC")
	r.must("MEAN_ELEMENT_THEORY", "SGP4", "SGP/SGP4", "SGP", "SDP4")
	e.Designator = designatorFromOMM(printable(r.text("OBJECT_ID"), 24))
	e.Epoch = r.epoch()
	e.MeanMotion = r.number("MEAN_MOTION", true)
	e.Eccentricity = r.number("ECCENTRICITY", true)
	e.InclinationDeg = r.number("INCLINATION", true)
	e.NodeDeg = r.number("RA_OF_ASC_NODE", true)
	e.PerigeeDeg = r.number("ARG_OF_PERICENTER", true)
	e.AnomalyDeg = r.number("MEAN_ANOMALY", true)
	e.EphemerisType = r.whole("EPHEMERIS_TYPE", 9)
	e.Catalog = r.whole("NORAD_CAT_ID", greatestCatalog)
	e.SetNumber = r.whole("ELEMENT_SET_NO", 99999)
	e.RevolutionCount = r.whole("REV_AT_EPOCH", math.MaxInt32)
	e.BStar = r.number("BSTAR", false)
	e.MeanMotionDot = r.number("MEAN_MOTION_DOT", false)
	e.MeanMotionDDot = r.number("MEAN_MOTION_DDOT", false)
	e.Classification = r.classification()
	if e.Name == fmt.Sprintf("%05d", e.Catalog) {
		e.Name = "" // the way in which a bird without a name is written
	}
	r.check(&e)
	if firstRefusal(r.problems) != nil {
		return Elements{}, r.problems
	}
	return e, r.problems
}

// check looks at the whole set.
func (r *ommReader) check(e *Elements) {
	if e.EphemerisType == foreignEphemeris {
		r.fail("EPHEMERIS_TYPE", false, "ephemeris type %d is made for another theory than SGP4", e.EphemerisType)
	}
	if e.Name == "" && e.Catalog == 0 {
		r.fail("OBJECT_NAME", false, "has neither OBJECT_NAME nor NORAD_CAT_ID")
	}
	if firstRefusal(r.problems) != nil {
		return
	}
	if err := e.Validate(); err != nil {
		r.fail("", false, "%s", strings.TrimPrefix(err.Error(), e.Label()+": "))
		return
	}
	if r.text("BSTAR") == "" {
		r.fail("BSTAR", true, "has no BSTAR: drag is taken as none")
	}
}

// classification reads the class: absent is unclassified, empty is blank.
func (r *ommReader) classification() byte {
	v, ok := r.set.values["CLASSIFICATION_TYPE"]
	s := strings.ToUpper(strings.TrimSpace(v.text))
	switch {
	case !ok:
		return 'U'
	case s == "":
		return ' '
	case s == "U" || s == "C" || s == "S":
		return s[0]
	}
	r.fail("CLASSIFICATION_TYPE", false, "CLASSIFICATION_TYPE %s is none of U, C, S", quote(s))
	return ' '
}

// The two forms of a date that the standard knows (CCSDS 301.0-B, ASCII time codes A and B).
var ommDates = []string{"2006-01-02T15:04:05.999999999", "2006-002T15:04:05.999999999"}

// epoch reads EPOCH, UTC, with or without a Z.
func (r *ommReader) epoch() time.Time {
	s := strings.TrimSuffix(r.text("EPOCH"), "Z")
	if s == "" {
		r.fail("EPOCH", false, "has no EPOCH")
		return time.Time{}
	}
	for _, layout := range ommDates {
		if t, err := time.ParseInLocation(layout, s, time.UTC); err == nil {
			if t.Year() >= 1957 && t.Year() < 2200 {
				return t
			}
			r.fail("EPOCH", false, "EPOCH %s is not within 1957..2199", quote(s))
			return time.Time{}
		}
	}
	r.fail("EPOCH", false, "EPOCH %s cannot be read; it looks like 2026-11-20T02:57:46.666592", quote(s))
	return time.Time{}
}

// designatorFromOMM turns "1958-002B" into "58002B", the form of Elements;
// other texts stay as they are.
func designatorFromOMM(s string) string {
	year, rest, ok := strings.Cut(s, "-")
	if y, err := strconv.Atoi(year); ok && err == nil && len(year) == 4 && y >= 1957 && y <= 2056 && isLaunchPart(rest) {
		return year[2:] + rest
	}
	return s
}

// designatorToOMM is the way back.
func designatorToOMM(s string) string {
	if len(s) < 5 || !isLaunchPart(s[2:]) {
		return s
	}
	y, err := strconv.Atoi(s[:2])
	if err != nil || y < 0 || s[0] == '+' || s[0] == '-' {
		return s
	}
	y += 1900
	if y < 1957 {
		y += 100
	}
	return fmt.Sprintf("%d-%s", y, s[2:])
}

// isLaunchPart says whether s is the number of a launch in its year and its piece, "002B".
func isLaunchPart(s string) bool {
	return len(s) >= 3 && len(s) <= 6 && strings.Trim(s[:3], "0123456789") == "" && strings.Trim(s[3:], "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == ""
}
