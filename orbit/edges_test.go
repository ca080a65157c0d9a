package orbit

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// message is one set as KVN, with some of its keywords otherwise ("" = left out).
func message(change map[string]string) string {
	var b strings.Builder
	for _, kv := range [][2]string{{"CCSDS_OMM_VERS", "2.0"}, {"OBJECT_NAME", "LARK-1"}, {"OBJECT_ID", "2026-901A"}, {"CENTER_NAME", "EARTH"}, {"REF_FRAME", "TEME"},
		{"TIME_SYSTEM", "UTC"}, {"MEAN_ELEMENT_THEORY", "SGP4"}, {"EPOCH", "2026-11-20T02:57:46.666592"}, {"MEAN_MOTION", "15.2"}, {"ECCENTRICITY", "0.001"}, {"INCLINATION", "97.4"},
		{"RA_OF_ASC_NODE", "21.3"}, {"ARG_OF_PERICENTER", "84.1"}, {"MEAN_ANOMALY", "276.1"}, {"EPHEMERIS_TYPE", "0"}, {"CLASSIFICATION_TYPE", "U"}, {"NORAD_CAT_ID", "99901"},
		{"ELEMENT_SET_NO", "100"}, {"REV_AT_EPOCH", "1234"}, {"BSTAR", "7e-5"}, {"MEAN_MOTION_DOT", "1e-5"}, {"MEAN_MOTION_DDOT", "0"}} {
		value, changed := change[kv[0]]
		if !changed {
			value = kv[1]
		}
		if !changed || value != "" {
			fmt.Fprintf(&b, "%s = %s\n", kv[0], value)
		}
	}
	return b.String()
}

// Each value of a message at the edges of what the standard, or this reader, allows;
// says "" = it is taken.
func TestValuesAtTheirEdges(t *testing.T) {
	for _, c := range []struct{ key, value, says string }{
		{"EPHEMERIS_TYPE", "9", ""}, {"EPHEMERIS_TYPE", "10", "EPHEMERIS_TYPE \"10\" is not a whole number within 0..9"}, {"EPHEMERIS_TYPE", "-1", "whole number"}, {"EPHEMERIS_TYPE", "1.5", "whole number"},
		{"EPHEMERIS_TYPE", "4", "another theory"}, {"EPHEMERIS_TYPE", "0.0", ""},
		{"NORAD_CAT_ID", "999999999", ""}, {"NORAD_CAT_ID", "1000000000", "within 0..999999999"}, {"NORAD_CAT_ID", "", ""}, {"NORAD_CAT_ID", "0", ""},
		{"ELEMENT_SET_NO", "99999", ""}, {"ELEMENT_SET_NO", "100000", "within 0..99999"}, {"REV_AT_EPOCH", "2147483647", ""}, {"REV_AT_EPOCH", "2147483648", "within 0..2147483647"},
		{"CENTER_NAME", "MARS", "CENTER_NAME is \"MARS\", but these elements are used with EARTH only"}, {"CENTER_NAME", "earth", ""}, {"CENTER_NAME", "", ""},
		{"REF_FRAME", "TEMEOFDATE", ""}, {"REF_FRAME", "GCRF", "TEME or TEMEOFDATE only"}, {"TIME_SYSTEM", "TAI", "UTC only"}, {"MEAN_ELEMENT_THEORY", "DSST", "SGP4"},
		{"MEAN_ELEMENT_THEORY", "SDP4", ""}, {"MEAN_ELEMENT_THEORY", "SGP", ""},
		{"EPOCH", "1957-01-01T00:00:00", ""}, {"EPOCH", "1956-12-31T23:59:59", "not within 1957..2199"}, {"EPOCH", "2199-12-31T23:59:59", ""}, {"EPOCH", "2200-01-01T00:00:00", "not within"},
		{"EPOCH", "2026-366T00:00:00", "cannot be read"}, {"EPOCH", "2026-365T00:00:00Z", ""}, {"EPOCH", "", "has no EPOCH"},
		{"MEAN_MOTION", "", "has no MEAN_MOTION"}, {"MEAN_MOTION", "20", ""}, {"MEAN_MOTION", "20.1", "inside the Earth"}, {"MEAN_MOTION", "0x1p4", "not a number"}, {"MEAN_MOTION", "1e999", "not a number"},
		{"ECCENTRICITY", "", "has no ECCENTRICITY"}, {"ECCENTRICITY", "1", "no closed orbit"}, {"ECCENTRICITY", "0", ""}, {"ECCENTRICITY", "-0.1", "no closed orbit"},
		{"INCLINATION", "", "has no INCLINATION"}, {"INCLINATION", "180", ""}, {"INCLINATION", "180.1", "outside [0, 180]"}, {"INCLINATION", "0", ""}, {"INCLINATION", "-1", "outside [0, 180]"},
		{"RA_OF_ASC_NODE", "360", ""}, {"RA_OF_ASC_NODE", "-360", ""}, {"RA_OF_ASC_NODE", "361", "more than a turn"}, {"RA_OF_ASC_NODE", "", "has no RA_OF_ASC_NODE"},
		{"ARG_OF_PERICENTER", "360", ""}, {"ARG_OF_PERICENTER", "-360.5", "more than a turn"}, {"ARG_OF_PERICENTER", "", "has no ARG_OF_PERICENTER"},
		{"MEAN_ANOMALY", "360", ""}, {"MEAN_ANOMALY", "361", "more than a turn"}, {"MEAN_ANOMALY", "", "has no MEAN_ANOMALY"},
		{"CLASSIFICATION_TYPE", "C", ""}, {"CLASSIFICATION_TYPE", "s", ""}, {"CLASSIFICATION_TYPE", "X", "none of U, C, S"}, {"CLASSIFICATION_TYPE", "UC", "none of U, C, S"},
		{"BSTAR", "", "has no BSTAR: drag is taken as none"}, {"OBJECT_NAME", "", ""},
	} {
		sets, problems := ReadElements(strings.NewReader(message(map[string]string{c.key: c.value})), "f")
		says := ""
		if len(problems) > 0 {
			says = problems[0].Error()
		}
		if taken := c.says == "" || c.key == "BSTAR"; len(sets) != map[bool]int{true: 1}[taken] || !strings.Contains(says, c.says) || c.says == "" && says != "" {
			t.Errorf("%s = %s: %d sets, said %q, want %q", c.key, c.value, len(sets), says, c.says)
		}
	}
	_, problems := ReadElements(strings.NewReader(message(map[string]string{"OBJECT_NAME": "", "NORAD_CAT_ID": ""})), "f")
	if len(problems) != 1 || problems[0].Error() != "f:1: has neither OBJECT_NAME nor NORAD_CAT_ID" {
		t.Errorf("without name and number: %v", problems)
	}
	_, problems = ReadElements(strings.NewReader(message(map[string]string{"OBJECT_NAME": "", "MEAN_MOTION": "0"})), "f")
	if len(problems) != 1 || problems[0].Bird != "99901" {
		t.Errorf("a bird without a name is told by its number: %+v", problems)
	}
}

// Designators of 1957 to 2056 in both forms; what is none stays as it is.
func TestDesignators(t *testing.T) {
	for long, short := range map[string]string{
		"1957-001A": "57001A", "2056-999ZZZ": "56999ZZZ", "1999-025": "99025", "2000-001AB": "00001AB",
	} {
		if got := designatorFromOMM(long); got != short {
			t.Errorf("%s is read as %s, want %s", long, got, short)
		}
		if got := designatorToOMM(short); got != long {
			t.Errorf("%s is written as %s, want %s", short, got, long)
		}
	}
	for _, text := range []string{"", "1956-001A", "2057-001A", "2026-901", "26-901A", "2026-90A", "2026-901ABCD", "2026-901a", "02026-901A", "x026-901A", "LARK", "2026901A"} {
		if got := designatorFromOMM(text); got != text && text != "2026-901" {
			t.Errorf("%q is read as %q", text, got)
		}
	}
	for _, text := range []string{"", "26", "2690", "x6901A", "-6901A", "+6901A", "26901a", "2690A", "26901ABCD"} {
		if got := designatorToOMM(text); got != text {
			t.Errorf("%q is written as %q", text, got)
		}
	}
}

// An epoch is written to the microsecond, finer only where it needs that, in UTC.
func TestEpochsAreWritten(t *testing.T) {
	east := time.FixedZone("east", 3600)
	for at, want := range map[time.Time]string{
		time.Date(2026, 11, 20, 3, 57, 46, 666592000, east):     "2026-11-20T02:57:46.666592",
		time.Date(2026, 11, 20, 2, 57, 46, 666592001, time.UTC): "2026-11-20T02:57:46.666592001",
		time.Date(2026, 11, 20, 2, 57, 46, 0, time.UTC):         "2026-11-20T02:57:46.000000",
		time.Date(2026, 11, 20, 2, 57, 46, 1001, time.UTC):      "2026-11-20T02:57:46.000001001",
	} {
		if got := ommEpoch(at); got != want {
			t.Errorf("%v: %s, want %s", at, got, want)
		}
	}
}

// What cannot be read of two lines, and what just can, with its column.
func TestTLEAtItsEdges(t *testing.T) {
	for _, c := range []struct {
		name, line1, line2 string
		line, column       int
		says               string
	}{
		{"one column short of the checksum", larkLine1, larkLine2[:67], 2, 68, "ends after 67 of 69"},
		{"a long line", larkLine1 + "   ", larkLine2, 0, 0, ""},
		{"nothing", larkLine1, "", 2, 1, "must begin with 2"},
		{"the last day of a year", edit(larkLine1, 19, "26365.99999999"), larkLine2, 0, 0, ""},
		{"the day after it", edit(larkLine1, 19, "26366.00000000"), larkLine2, 1, 21, "2026 has no day 366"},
		{"the last day of a leap year", edit(larkLine1, 19, "24366.00000000"), larkLine2, 0, 0, ""},
		{"a day with a word", edit(larkLine1, 21, "324.1234x678"), larkLine2, 1, 21, "the epoch day"},
		{"a day with a blank", edit(larkLine1, 21, "324 12345678"), larkLine2, 1, 21, "the epoch day"},
		{"a whole day", edit(larkLine1, 21, "324         "), larkLine2, 0, 0, ""},
		{"a fraction of nine digits", edit(larkLine1, 21, "24.123456789"), larkLine2, 1, 21, "the epoch day"},
		{"a year with a word", edit(larkLine1, 19, "x6"), larkLine2, 1, 19, "the epoch year"},
		{"a year with a blank", edit(larkLine1, 19, " 6"), larkLine2, 0, 0, ""},
		{"two signs", edit(larkLine1, 34, "-.0000-250"), larkLine2, 1, 34, "first derivative"},
		{"two points", edit(larkLine1, 34, " .00.01250"), larkLine2, 1, 34, "first derivative"},
		{"a plus", edit(larkLine1, 34, "+.00001250"), larkLine2, 0, 0, ""},
		{"no derivative", edit(larkLine1, 34, "          "), larkLine2, 0, 0, ""},
		{"no mantissa", edit(larkLine1, 54, "     -4 "), larkLine2, 1, 54, "B*"},
		{"no exponent", edit(larkLine1, 54, " 71000- "), larkLine2, 1, 54, "B*"},
		{"a point in it", edit(larkLine1, 54, " .7100-4"), larkLine2, 1, 54, "B*"},
		{"no B*", edit(larkLine1, 54, "        "), larkLine2, 0, 0, ""},
		{"a plus in front of B*", edit(larkLine1, 54, "+71000-4"), larkLine2, 0, 0, ""},
		{"a word for the set number", edit(larkLine1, 65, " 10x"), larkLine2, 1, 65, "element set number"},
		{"a negative set number", edit(larkLine1, 65, " -10"), larkLine2, 1, 65, "element set number"},
		{"a point in the eccentricity", larkLine1, edit(larkLine2, 27, "0.11234"), 2, 27, "eccentricity"},
		{"blanks in the eccentricity", larkLine1, edit(larkLine2, 27, "  11234"), 0, 0, ""},
		{"another class", edit(larkLine1, 8, "X"), larkLine2, 1, 8, "none of U, C, S"},
		{"no number and a name", edit(larkLine1, 3, "00000"), edit(larkLine2, 3, "00000"), 0, 0, ""},
		{"a byte beyond", larkLine1[:9] + "\x7f" + larkLine1[10:], larkLine2, 1, 10, "0x7f"},
	} {
		e, problems := parseTLE("LARK-1", c.line1, c.line2, false)
		if c.says == "" {
			if len(problems) > 0 || e.Name != "LARK-1" {
				t.Errorf("%s: %v", c.name, problems)
			}
			continue
		}
		if len(problems) == 0 || problems[0].Line != c.line || problems[0].Column != c.column || !strings.Contains(problems[0].Message, c.says) {
			t.Errorf("%s: %+v, want %q at line %d, column %d", c.name, problems, c.says, c.line, c.column)
		}
	}
	for _, c := range []struct{ name, number, says string }{{"", "00000", "00000 is no catalogue number"}, {"00000", "00000", "00000 is no catalogue number"}} {
		if _, err := ParseTLE(c.name, edit(larkLine1, 3, c.number), edit(larkLine2, 3, c.number)); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q, number %s: %v", c.name, c.number, err)
		}
	}
	for text, want := range map[string]bool{"1": false, "1 ": true, "2 ": false, "1x": false, "12": false, "1" + larkLine1[2:]: true, "1" + larkLine1[2:68]: false, "1x" + larkLine1[2:]: false, "1:" + larkLine1[2:]: false} {
		if got := isElementLine(text, '1'); got != want {
			t.Errorf("%q is a first line: %t", text, got)
		}
	}
}

// Values of two-line elements by what the columns mean (T. S. Kelso's description of
// the format): an assumed point, a sign of the exponent, two digits of a year.
func TestTLEValues(t *testing.T) {
	for text, want := range map[string]float64{" 28098-4": 0.28098e-4, "-11606-4": -0.11606e-4, "+12345+1": 1.2345, " 00000+0": 0, "-00000-0": 0, "- 1234-3": -0.1234e-3} {
		if e, err := ParseTLE("A", edit(larkLine1, 54, text), larkLine2); err != nil || math.Abs(e.BStar-want) > 1e-12 {
			t.Errorf("%q: %g, %v; want %g", text, e.BStar, err, want)
		}
	}
	for text, want := range map[string]int{"57": 1957, "99": 1999, "00": 2000, "56": 2056} {
		if e, err := ParseTLE("A", edit(larkLine1, 19, text), larkLine2); err != nil || e.Epoch.Year() != want {
			t.Errorf("year %s: %v, %v", text, e.Epoch, err)
		}
	}
	for text, want := range map[string]time.Duration{"324.5       ": 12 * time.Hour, "324.00000001": 864 * time.Microsecond, "324.1234    ": 10661760 * time.Millisecond, "  1.25      ": 6 * time.Hour} {
		e, err := ParseTLE("A", edit(larkLine1, 21, text), larkLine2)
		if got := e.Epoch.Sub(e.Epoch.Truncate(24 * time.Hour)).Round(time.Microsecond); err != nil || got != want {
			t.Errorf("day %q: %v into it, %v", text, got, err)
		}
	}
	for v, want := range map[float64]string{
		0: " 00000+0", 1e-12: " 00100-9", 1e-20: " 00000+0", -2.5e-10: "-25000-9", 0.28098e-4: " 28098-4", 1.2345: " 12345+1", -0.5: "-50000-0", 1e12: " 99999+9", 0.999999: " 10000+1",
	} {
		if got := tlePower(v); got != want {
			t.Errorf("%g is written as %q, want %q", v, got, want)
		}
	}
	for v, want := range map[float64]string{0.0000125: " .00001250", -0.5: "-.50000000", 0: " .00000000", -1e-12: " .00000000"} {
		if got := tleDot(v); got != want {
			t.Errorf("%g is written as %q, want %q", v, got, want)
		}
	}
	fits := func(change func(*Elements)) bool {
		e, _ := ParseTLE("A", larkLine1, larkLine2)
		change(&e)
		return e.FitsTLE() == nil
	}
	for i, c := range []struct {
		change func(*Elements)
		want   bool
	}{
		{func(e *Elements) { e.Catalog = 339999 }, true}, {func(e *Elements) { e.Catalog = 340000 }, false}, {func(e *Elements) { e.Catalog = -1 }, false}, {func(e *Elements) { e.Catalog = 0 }, true},
		{func(e *Elements) { e.MeanMotionDot = -1 }, false}, {func(e *Elements) { e.MeanMotionDot = 0.99 }, true},
		{func(e *Elements) { e.Epoch = e.Epoch.AddDate(1957-2026, 0, 0) }, true}, {func(e *Elements) { e.Epoch = e.Epoch.AddDate(1956-2026, 0, 0) }, false},
		{func(e *Elements) { e.Epoch = e.Epoch.AddDate(30, 0, 0) }, true}, {func(e *Elements) { e.Epoch = e.Epoch.AddDate(31, 0, 0) }, false},
	} {
		if got := fits(c.change); got != c.want {
			t.Errorf("row %d fits: %t", i, got)
		}
	}
}

// Birds without a number are told apart by their names, in any case; of two sets with
// one epoch the later in the file holds.
func TestNewestOfBirdsWithoutNumbers(t *testing.T) {
	a, _ := ParseTLE("LARK-1", larkLine1, larkLine2)
	a.Catalog = 0
	b, c := a, a
	b.Name, c.Name, c.SetNumber = "DIPPER-2", "lark-1", 7
	kept, dropped := Newest([]Elements{a, b, c})
	if len(kept) != 2 || dropped != 1 || kept[0].SetNumber != 7 || kept[1].Name != "DIPPER-2" {
		t.Errorf("kept %v, dropped %d", kept, dropped)
	}
	c.Epoch = a.Epoch.Add(-time.Second)
	if kept, _ := Newest([]Elements{a, c}); kept[0].SetNumber != a.SetNumber {
		t.Error("an older set holds")
	}
	if got := printable(strings.Repeat("é", 40), 64); got != strings.Repeat("é", 32) {
		t.Errorf("cut to %q", got)
	}
	if got := printable("a bird   of a name", 9); got != "a bird" {
		t.Errorf("cut to %q", got)
	}
	if got := printable("a name", 6); got != "a name" {
		t.Errorf("cut to %q", got)
	}
}

// asking counts how often a propagator is asked.
type asking struct {
	Propagator
	times int
}

func (a *asking) TEME(minutes float64) (State, error) {
	a.times++
	return a.Propagator.TEME(minutes)
}

// A search for passes asks for few states: what a person waits for. The bounds are a
// hundredth above what it needs now, our choice; the passes themselves are held to
// other sources above.
func TestSearchesAskLittle(t *testing.T) {
	for _, c := range []struct {
		file  string
		least float64
		most  int
	}{{"leo.tle", 0, 12_030}, {"leo.tle", 30, 6710}, {"high.tle", 0, 13_200}, {"high.tle", 20, 9650}} {
		asked, found := 0, 0
		for _, e := range inventedBirds(t, c.file) {
			a := &asking{Propagator: propagatorOf(t, e)}
			passes, err := FindPasses(a, lakeSite, searchStart, searchStart.AddDate(0, 0, 5), PassOptions{MinElevationDeg: c.least})
			if err != nil {
				t.Fatal(err)
			}
			asked, found = asked+a.times, found+len(passes)
		}
		if asked > c.most {
			t.Errorf("%s above %g degrees: asked %d times for %d passes, at most %d", c.file, c.least, asked, found, c.most)
		}
	}
}

// A place is no way from itself, on either side of the date line; along a meridian the
// way leads straight north or south.
func TestWaysOfNoTurn(t *testing.T) {
	for _, c := range []struct {
		a, b            Site
		km, there, back float64
	}{
		{Site{LatDeg: 10, LonDeg: 180}, Site{LatDeg: 10, LonDeg: -180}, 0, 0, 0},
		{Site{LatDeg: -10, LonDeg: 7}, Site{LatDeg: 10, LonDeg: 7}, 2211.709, 0, 180},
		{Site{LatDeg: 10, LonDeg: -180}, Site{LatDeg: -10, LonDeg: 180}, 2211.709, 180, 0},
	} {
		km, there, back := c.a.To(c.b)
		near(t, "distance", km, c.km, 0.001) // a degree of meridian at the equator: 110.574 km; twenty of them, from memory
		atMostOff(t, "bearing", there, c.there, 1e-9)
		atMostOff(t, "bearing back", back, c.back, 1e-9)
	}
}

// The window of a mask is cut to the millisecond, at both ends and in the middle of a
// pass; one that reaches to an end ends with the pass itself.
func TestWindowsToTheMillisecond(t *testing.T) {
	at := func(ms int) time.Time { return searchStart.Add(time.Duration(ms) * time.Millisecond) }
	for name, c := range map[string]struct {
		seen func(ms int) bool
		want [][2]int
	}{
		"all":          {func(int) bool { return true }, [][2]int{{0, 9000}}},
		"nothing":      {func(int) bool { return false }, nil},
		"the middle":   {func(ms int) bool { return ms >= 3456 && ms < 7891 }, [][2]int{{3456, 7891}}},
		"two":          {func(ms int) bool { return ms < 2500 || ms >= 6500 }, [][2]int{{0, 2500}, {6500, 9000}}},
		"till the end": {func(ms int) bool { return ms >= 8990 }, [][2]int{{8990, 9000}}},
		"one at first": {func(ms int) bool { return ms < 10 }, [][2]int{{0, 10}}},
	} {
		got := windows(at(0), at(9000), 2*time.Second, func(t time.Time) bool { return c.seen(int(t.Sub(searchStart) / time.Millisecond)) })
		if len(got) != len(c.want) {
			t.Errorf("%s: %v", name, got)
			continue
		}
		for i, w := range got {
			for k, edge := range w {
				if d := edge.Sub(at(c.want[i][k])); d < -2*time.Millisecond || d > 2*time.Millisecond {
					t.Errorf("%s: window %d ends at %v, want %d ms", name, i, edge.Sub(searchStart), c.want[i][k])
				}
			}
		}
	}
}

// Messages keep to what a set holds through XML, with its header, and KVN leaves out
// what is empty.
func TestMessagesHaveTheirHeader(t *testing.T) {
	e, err := ParseTLE("LARK & 1", larkLine1, larkLine2)
	if err != nil {
		t.Fatal(err)
	}
	e.Classification = ' '
	for format, want := range map[Format][]string{
		FormatXML: {"<?xml version=", "<ndm>", "<CREATION_DATE>2026-11-20T00:00:00.000000</CREATION_DATE>", "<ORIGINATOR>DRIFTDRILL</ORIGINATOR>", "<OBJECT_NAME>LARK &amp; 1</OBJECT_NAME>"},
		FormatKVN: {"CREATION_DATE       = 2026-11-20T00:00:00.000000", "ORIGINATOR          = DRIFTDRILL", "OBJECT_NAME         = LARK & 1"},
	} {
		var b bytes.Buffer
		if err := WriteElements(&b, format, []Elements{e}, time.Date(2026, 11, 20, 0, 0, 0, 0, time.UTC)); err != nil {
			t.Fatal(err)
		}
		for _, text := range want {
			if !strings.Contains(b.String(), text) {
				t.Errorf("%s: no %q in\n%s", format, text, b.String())
			}
		}
		if strings.Contains(b.String(), "= \n") {
			t.Errorf("%s: a keyword of nothing in\n%s", format, b.String())
		}
		sets, problems := ReadElements(&b, "f")
		want := e
		if format == FormatKVN {
			want.Classification = 'U' // what is left out is unclassified
		}
		if d := cmp.Diff([]Elements{want}, sets); d != "" || len(problems) > 0 {
			t.Error(d, problems)
		}
	}
	if err := WriteElements(&bytes.Buffer{}, "yaml", nil, time.Time{}); err == nil {
		t.Error("an unknown format was written")
	}
}

// What stands between the messages of a document belongs to none of them.
func TestBetweenTheMessages(t *testing.T) {
	e, err := ParseTLE("LARK-1", larkLine1, larkLine2)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := WriteElements(&b, FormatXML, []Elements{e, e}, time.Date(2026, 11, 20, 0, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	text := strings.ReplaceAll(b.String(), "</omm>", "</omm><EPOCH>never</EPOCH><note>twice</note><note>twice</note><EPOCH>never</EPOCH>")
	if sets, problems := ReadElements(strings.NewReader(text), "f"); len(sets) != 2 || len(problems) > 0 {
		t.Errorf("%d sets, %v", len(sets), problems)
	}
}
