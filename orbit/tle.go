package orbit

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Two-line elements. Columns by T. S. Kelso's description of the format;
// numbers from 100000 on by the Alpha-5 scheme, a letter for the first two
// digits (A = 10 ... Z = 33, I and O left out).

// tleLength is the length of both lines, checksum and all.
const tleLength = 69

// greatestTLECatalog is the greatest number that five columns can hold, Z9999.
const greatestTLECatalog = 339999

// tleField is one field of a line: columns from first to last, 1-based.
type tleField struct {
	name        string
	first, last int
}

var (
	fieldCatalog     = tleField{"catalogue number", 3, 7}
	fieldDesignator  = tleField{"international designator", 10, 17}
	fieldYear        = tleField{"epoch year", 19, 20}
	fieldDay         = tleField{"epoch day", 21, 32}
	fieldDot         = tleField{"mean motion's first derivative", 34, 43}
	fieldDDot        = tleField{"mean motion's second derivative", 45, 52}
	fieldBStar       = tleField{"B*", 54, 61}
	fieldType        = tleField{"ephemeris type", 63, 63}
	fieldSet         = tleField{"element set number", 65, 68}
	fieldInclination = tleField{"inclination", 9, 16}
	fieldNode        = tleField{"right ascension of the node", 18, 25}
	fieldEccentric   = tleField{"eccentricity", 27, 33}
	fieldPerigee     = tleField{"argument of perigee", 35, 42}
	fieldAnomaly     = tleField{"mean anomaly", 44, 51}
	fieldMotion      = tleField{"mean motion", 53, 63}
	fieldRevolution  = tleField{"revolution number", 64, 68}
)

// Columns that hold a blank on each line.
var (
	blanksLine1 = []int{2, 9, 18, 33, 44, 53, 62, 64}
	blanksLine2 = []int{2, 8, 17, 26, 34, 43, 52}
)

// isElementLine says whether a line looks like line n of a two-line set.
func isElementLine(s string, n byte) bool {
	return len(s) >= 2 && s[0] == n && (s[1] == ' ' || len(s) >= tleLength-1 && s[1] >= '0' && s[1] <= '9')
}

// readTLEs reads two- and three-line sets.
func readTLEs(data []byte, opt ReadOptions) ([]Elements, []Problem) {
	c := tleCollector{collector: collector{opt: opt, total: len(data)}}
	for l := range c.contentLines(data) {
		if c.full(l.number) {
			return c.result()
		}
		c.line(l)
	}
	c.close()
	return c.result()
}

// tleCollector takes a file line by line. It holds back a line that may be a
// name, or the first line of a set, until the next one tells.
type tleCollector struct {
	collector
	name, first textLine // number 0 = none
}

func (c *tleCollector) line(l textLine) {
	bird := cleanName(c.name.text)
	switch {
	case c.first.number > 0 && isElementLine(l.text, '2'):
		e, found := parseTLE(bird, c.first.text, l.text, c.opt.Lenient)
		for i := range found {
			found[i].Line = map[int]int{1: c.first.number, 2: l.number}[found[i].Line]
		}
		c.note(found...)
		if firstRefusal(found) == nil {
			c.keep(e)
		}
		c.name, c.first = textLine{}, textLine{}
	case isElementLine(l.text, '1'):
		if held := c.first; held.number > 0 { // a name can look so, too
			c.first = textLine{}
			c.close()
			c.name = held
		}
		c.first = l
	case isElementLine(l.text, '2'):
		c.note(Problem{Line: l.number, Bird: bird, Message: "line 2 of an element set has no line 1 before it"})
		c.name = textLine{}
	default:
		c.close()
		c.name = l
	}
}

// alone tells of a first line without a second.
func (c *tleCollector) alone() {
	if c.first.number == 0 {
		return
	}
	c.note(Problem{Line: c.first.number, Bird: cleanName(c.name.text), Message: "line 1 of an element set has no line 2 after it"})
	c.name, c.first = textLine{}, textLine{}
}

// close tells of what was held back and has no set after it.
func (c *tleCollector) close() {
	c.alone()
	if c.name.number > 0 {
		c.fail(c.name.number, 0, "%s is neither an element line nor a name with two element lines after it", quote(c.name.text))
	}
	c.name = textLine{}
}

// ParseTLE reads one two-line set. name may be empty. The error is a Problem
// whose Line is 1 or 2. A wrong checksum is refused.
func ParseTLE(name, line1, line2 string) (Elements, error) {
	e, problems := parseTLE(name, line1, line2, false)
	if p := firstRefusal(problems); p != nil {
		return Elements{}, *p
	}
	return e, nil
}

// tleReader takes fields from the two lines and collects what is wrong.
type tleReader struct {
	lines    [2]string
	bird     string
	problems []Problem
}

func (r *tleReader) fail(line, column int, warning bool, format string, args ...any) {
	r.problems = append(r.problems, Problem{
		Line: line, Column: column, Bird: r.bird, Message: fmt.Sprintf(format, args...), Warning: warning,
	})
}

// refused says whether anything but warnings was found.
func (r *tleReader) refused() bool { return firstRefusal(r.problems) != nil }

func firstRefusal(problems []Problem) *Problem {
	for i := range problems {
		if !problems[i].Warning {
			return &problems[i]
		}
	}
	return nil
}

// parseTLE reads one set; lenient turns a wrong or missing checksum into a warning.
func parseTLE(name, line1, line2 string, lenient bool) (Elements, []Problem) {
	r := &tleReader{lines: [2]string{strings.TrimRight(line1, " \t\r\n"), strings.TrimRight(line2, " \t\r\n")}, bird: printable(name, 64)}
	if r.bird == "" && len(r.lines[0]) >= 7 {
		r.bird = printable(strings.TrimSpace(r.lines[0][2:7]), 5)
	}
	r.checkShape(1, blanksLine1, lenient)
	r.checkShape(2, blanksLine2, lenient)
	if r.refused() {
		return Elements{}, r.problems
	}
	e := Elements{Name: name}
	r.readLine1(&e)
	r.readLine2(&e)
	if e.Catalog == 0 && (e.Name == "" || e.Name == "00000") && !r.refused() {
		r.fail(1, 3, false, "00000 is no catalogue number; a set without one needs a name on the line before it")
	}
	if !r.refused() {
		if err := e.Validate(); err != nil {
			r.fail(2, 0, false, "%s", strings.TrimPrefix(err.Error(), e.Label()+": "))
		}
	}
	if r.refused() {
		return Elements{}, r.problems
	}
	return e, r.problems
}

// checkShape checks length, characters, line number, blanks and checksum.
func (r *tleReader) checkShape(n int, blanks []int, lenient bool) {
	s := r.lines[n-1]
	for i := range len(s) {
		if c := s[i]; c < ' ' || c > '~' {
			r.fail(n, i+1, false, "line %d holds the byte 0x%02x, which no element set has", n, c)
			return
		}
	}
	if len(s) == 0 || s[0] != byte('0'+n) {
		r.fail(n, 1, false, "line %d of an element set must begin with %d", n, n)
		return
	}
	if len(s) < tleLength-1 {
		r.fail(n, len(s)+1, false, "line %d ends after %d of %d columns", n, len(s), tleLength)
		return
	}
	for _, c := range blanks {
		if s[c-1] != ' ' {
			r.fail(n, c, false, "column %d of line %d must be blank but holds %q: the fields are shifted", c, n, s[c-1])
			return
		}
	}
	want := tleChecksum(s)
	switch {
	case len(s) < tleLength:
		r.fail(n, tleLength, lenient, "line %d has no checksum; it would be %d", n, want)
	case s[tleLength-1] != byte('0'+want):
		r.fail(n, tleLength, lenient, "the checksum of line %d is %d, the line says %q", n, want, s[tleLength-1])
	}
}

// tleChecksum sums the digits of the first 68 columns, a minus sign counting 1, modulo 10.
func tleChecksum(s string) int {
	sum := 0
	for i := 0; i < len(s) && i < tleLength-1; i++ {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
			sum += int(c - '0')
		case c == '-':
			sum++
		}
	}
	return sum % 10
}

// text returns a field, which may be cut short by the end of the line.
func (r *tleReader) text(line int, f tleField) string {
	s := r.lines[line-1]
	if f.first > len(s) {
		return ""
	}
	return s[f.first-1 : min(f.last, len(s))]
}

// bad notes that a field cannot be read and returns 0.
func (r *tleReader) bad(line int, f tleField, text string) float64 {
	r.fail(line, f.first, false, "the %s %q cannot be read (columns %d-%d)", f.name, text, f.first, f.last)
	return 0
}

// plain reads digits with at most one sign and one point; blank reads as 0.
func (r *tleReader) plain(line int, f tleField) float64 {
	raw := r.text(line, f)
	s := strings.TrimSpace(raw)
	if s == "" {
		return 0
	}
	if strings.Trim(s, "0123456789.+-") != "" || strings.LastIndexAny(s, "+-") > 0 {
		return r.bad(line, f, raw)
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return r.bad(line, f, raw)
	}
	return v
}

// count reads a whole number that is not negative; blank reads as 0.
func (r *tleReader) count(line int, f tleField) int {
	raw := r.text(line, f)
	s := strings.TrimSpace(raw)
	if s == "" {
		return 0
	}
	v, err := strconv.ParseUint(s, 10, 31)
	if err != nil {
		r.bad(line, f, raw)
	}
	return int(v)
}

// power reads " 28098-4": a mantissa with its point assumed in front, and a
// signed power of ten. Blank reads as 0.
func (r *tleReader) power(line int, f tleField) float64 {
	raw := r.text(line, f)
	s := strings.TrimSpace(raw)
	if s == "" {
		return 0
	}
	sign := ""
	if s[0] == '-' || s[0] == '+' {
		sign, s = s[:1], strings.TrimLeft(s[1:], " ")
	}
	cut := strings.LastIndexAny(s, "+-")
	if cut < 1 || cut == len(s)-1 || strings.Trim(s[:cut], "0123456789") != "" {
		return r.bad(line, f, raw)
	}
	v, err := strconv.ParseFloat(sign+"0."+s[:cut]+"e"+s[cut:], 64)
	if err != nil {
		return r.bad(line, f, raw)
	}
	return v
}

// readLine1 fills what stands on line 1.
func (r *tleReader) readLine1(e *Elements) {
	e.Catalog = r.catalog(1)
	if e.Classification = r.lines[0][7]; !strings.ContainsRune("UCS ", rune(e.Classification)) {
		r.fail(1, 8, true, "the class %q is none of U, C, S; it is left out", e.Classification)
		e.Classification = ' '
	}
	e.Designator = strings.TrimSpace(r.text(1, fieldDesignator))
	e.Epoch = r.epoch()
	e.MeanMotionDot = r.plain(1, fieldDot)
	e.MeanMotionDDot = r.power(1, fieldDDot)
	e.BStar = r.power(1, fieldBStar)
	e.EphemerisType = r.count(1, fieldType)
	e.SetNumber = r.count(1, fieldSet)
	if e.EphemerisType == foreignEphemeris {
		r.fail(1, fieldType.first, false, "ephemeris type %d is made for another theory than SGP4", e.EphemerisType)
	}
}

// readLine2 fills what stands on line 2.
func (r *tleReader) readLine2(e *Elements) {
	if second := r.catalog(2); second != e.Catalog {
		r.fail(2, fieldCatalog.first, false, "line 2 is of bird %05d, line 1 of %05d", second, e.Catalog)
	}
	e.InclinationDeg = r.plain(2, fieldInclination)
	e.NodeDeg = r.plain(2, fieldNode)
	e.Eccentricity = r.fraction(2, fieldEccentric)
	e.PerigeeDeg = r.plain(2, fieldPerigee)
	e.AnomalyDeg = r.plain(2, fieldAnomaly)
	e.MeanMotion = r.plain(2, fieldMotion)
	e.RevolutionCount = r.count(2, fieldRevolution)
}

// fraction reads digits with the point assumed in front.
func (r *tleReader) fraction(line int, f tleField) float64 {
	raw := r.text(line, f)
	s := strings.ReplaceAll(raw, " ", "0")
	if strings.Trim(s, "0123456789") != "" {
		return r.bad(line, f, raw)
	}
	v, err := strconv.ParseFloat("0."+s, 64)
	if err != nil {
		return r.bad(line, f, raw)
	}
	return v
}

// catalog reads the catalogue number, five digits or Alpha-5.
func (r *tleReader) catalog(line int) int {
	raw := r.text(line, fieldCatalog)
	n, ok := parseAlpha5(strings.TrimSpace(raw))
	if !ok {
		r.bad(line, fieldCatalog, raw)
	}
	return n
}

const alpha5Letters = "ABCDEFGHJKLMNPQRSTUVWXYZ" // A = 10, I and O left out

// parseAlpha5 reads up to five digits, or a letter and four digits.
func parseAlpha5(s string) (int, bool) {
	if s == "" || len(s) > 5 {
		return 0, false
	}
	high := 0
	if i := strings.IndexByte(alpha5Letters, s[0]); i >= 0 {
		if len(s) != 5 {
			return 0, false
		}
		high, s = (i+10)*10000, s[1:]
	}
	n, err := strconv.ParseUint(s, 10, 31)
	return high + int(n), err == nil
}

// epoch reads year and day of year with its fraction, exactly.
func (r *tleReader) epoch() time.Time {
	yearText, dayText := r.text(1, fieldYear), r.text(1, fieldDay)
	year, err := strconv.ParseUint(strings.ReplaceAll(yearText, " ", "0"), 10, 31)
	if err != nil {
		r.bad(1, fieldYear, yearText)
		return time.Time{}
	}
	whole, fraction, _ := strings.Cut(strings.TrimSpace(dayText), ".")
	day, err1 := strconv.ParseUint(strings.TrimSpace(whole), 10, 31)
	part := uint64(0)
	var err2 error
	if fraction != "" {
		part, err2 = strconv.ParseUint(fraction, 10, 63)
	}
	if err1 != nil || err2 != nil || len(fraction) > 8 {
		r.bad(1, fieldDay, dayText)
		return time.Time{}
	}
	full := 1900 + int(year)
	if year < 57 {
		full += 100
	}
	start := time.Date(full, 1, 1, 0, 0, 0, 0, time.UTC)
	days := time.Date(full+1, 1, 1, 0, 0, 0, 0, time.UTC).Sub(start) / (24 * time.Hour)
	if day < 1 || day > uint64(days) {
		r.fail(1, fieldDay.first, false, "%d has no day %d", full, day)
		return time.Time{}
	}
	for range 8 - len(fraction) {
		part *= 10
	}
	return start.AddDate(0, 0, int(day)-1).Add(time.Duration(part) * 864 * time.Microsecond)
}
