package orbit

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

const ommDir = "../testdata/omm-samples"

func readFile(tb testing.TB, path string) []byte {
	tb.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		tb.Fatal(err)
	}
	return data
}

// readOne reads a text that must hold one good set.
func readOne(t *testing.T, text string) Elements {
	t.Helper()
	sets, problems := ReadElements(strings.NewReader(text), "test")
	if len(sets) != 1 || len(problems) > 0 {
		t.Fatalf("%d sets, problems %v from\n%s", len(sets), problems, text)
	}
	return sets[0]
}

// The published samples and their two lines give the position that python3-sgp4 2.15 computes
// (testdata/omm-samples/README.md).
func TestSampleMessages(t *testing.T) {
	want := [3]float64{6071.824219, 3311.740581, 1247.754959}
	sources := map[string]string{
		"csv": string(readFile(t, filepath.Join(ommDir, "sample_omm.csv"))),
		"xml": string(readFile(t, filepath.Join(ommDir, "sample_omm.xml"))),
		"tle": "1 00005U 58002B   20287.20333880 -.00000016  00000-0 -22483-4 0  9998\n" +
			"2 00005  34.2443 225.5254 1845686 162.2516 205.2356 10.84869164218149\n",
	}
	for name, text := range sources {
		t.Run(name, func(t *testing.T) {
			e := readOne(t, text)
			if e.Catalog != 5 || e.Designator != "58002B" || e.RevolutionCount != 21814 {
				t.Errorf("read %+v", e)
			}
			if want := time.Date(2020, 10, 13, 4, 52, 48, 472320000, time.UTC); !e.Epoch.Equal(want) {
				t.Errorf("epoch %v, want %v", e.Epoch, want)
			}
			bird, err := NewPropagator(e)
			if err != nil {
				t.Fatal(err)
			}
			s, err := bird.TEME(720)
			if err != nil {
				t.Fatal(err)
			}
			for i := range 3 {
				near(t, "position", s.PositionKm[i], want[i], 1e-6) // the printed digits
			}
		})
	}
}

var ommFormats = []Format{FormatJSON, FormatXML, FormatKVN, FormatCSV}

// Every published set goes through each format and comes back the same, and
// as the same two lines.
func TestRoundTripThroughMessages(t *testing.T) {
	var sets []Elements
	for _, v := range readVerificationSets(t) {
		e, _ := parseTLE("", v.line1, v.line2, true)
		sets = append(sets, e)
	}
	for _, f := range ommFormats {
		t.Run(string(f), func(t *testing.T) {
			var b bytes.Buffer
			if err := WriteElements(&b, f, sets, time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC)); err != nil {
				t.Fatal(err)
			}
			if got, err := DetectFormat(b.Bytes()); err != nil || got != f {
				t.Errorf("taken for %q, %v", got, err)
			}
			back, problems := ReadElements(&b, "test")
			if len(problems) > 0 {
				t.Fatal(problems[0])
			}
			if d := cmp.Diff(sets, back); d != "" {
				t.Error(d)
			}
			for i := range back {
				a1, a2 := sets[i].TLE()
				b1, b2 := back[i].TLE()
				if a1 != b1 || a2 != b2 {
					t.Errorf("came back as\n%s\n%s\nwant\n%s\n%s", b1, b2, a1, a2)
				}
				again, err := ParseTLE("", a1, a2)
				if d := cmp.Diff(sets[i], again); err != nil || d != "" {
					t.Errorf("two lines do not read back: %v %s\n%s\n%s", err, d, a1, a2)
				}
			}
		})
	}
}

// One bird as JSON, with numbers and with strings; both are in use.
const jsonNumbers = `[{"OBJECT_NAME": "LARK-1", "OBJECT_ID": "2026-901A", "EPOCH": "2026-11-20T02:57:46.666592",
  "MEAN_MOTION": 15.20279803, "ECCENTRICITY": 0.0011234, "INCLINATION": 97.4012, "RA_OF_ASC_NODE": 21.3345,
  "ARG_OF_PERICENTER": 84.1234, "MEAN_ANOMALY": 276.124, "NORAD_CAT_ID": 99901, "BSTAR": 7.1e-05}]`

func TestNumbersAndStringsInJSON(t *testing.T) {
	a := readOne(t, jsonNumbers)
	quoted := jsonNumbers
	for _, n := range []string{"15.20279803", "0.0011234", "97.4012", "21.3345", "84.1234", "276.124", "99901", "7.1e-05"} {
		quoted = strings.Replace(quoted, n, `"`+n+`"`, 1)
	}
	b := readOne(t, quoted)
	if d := cmp.Diff(a, b); d != "" {
		t.Error(d)
	}
	single := readOne(t, strings.Trim(jsonNumbers, "[]"))
	if d := cmp.Diff(a, single); d != "" {
		t.Error("an object without brackets:", d)
	}
}

const kvnOne = `CCSDS_OMM_VERS = 2.0
COMMENT an invented bird
CREATION_DATE = 2026-11-20T00:00:00
ORIGINATOR = QUERN HILL
META_START
OBJECT_NAME = LARK-1
OBJECT_ID = 2026-901A
CENTER_NAME = EARTH
REF_FRAME = TEME
TIME_SYSTEM = UTC
MEAN_ELEMENT_THEORY = SGP/SGP4
META_STOP
EPOCH = 2026-324T02:57:46.666592Z
MEAN_MOTION = 15.20279803 [rev/day]
ECCENTRICITY = 0.0011234
INCLINATION = 97.4012 [deg]
RA_OF_ASC_NODE = 21.3345 [deg]
ARG_OF_PERICENTER = 84.1234 [deg]
MEAN_ANOMALY = 276.124 [deg]
NORAD_CAT_ID = 99901
BSTAR = 7.1e-05 [1/ER]
`

func TestUnitsAndDayOfYearInKVN(t *testing.T) {
	a, b := readOne(t, jsonNumbers), readOne(t, kvnOne)
	if d := cmp.Diff(a, b); d != "" {
		t.Error(d)
	}
	two, problems := ReadElements(strings.NewReader(kvnOne+strings.Replace(kvnOne, "LARK-1", "DIPPER-2", 1)), "test")
	if len(two) != 2 || len(problems) > 0 {
		t.Errorf("two messages in a file: %d sets, %v", len(two), problems)
	}
}

// manyKeys is a text for each of 300 keywords.
func manyKeys(format string) string {
	var b strings.Builder
	for i := range 300 {
		fmt.Fprintf(&b, format, fmt.Sprintf("K%d", i))
	}
	return b.String()
}

// Bad messages: what is wrong is told with its place, and the good set after
// it is still read.
func TestBadMessages(t *testing.T) {
	const goodCSV = "LARK-1,2026-11-20T02:57:46.666592,15.2,0.001,97.4,21.3,84.1,276.1,99901,7e-5\n"
	const headCSV = "OBJECT_NAME,EPOCH,MEAN_MOTION,ECCENTRICITY,INCLINATION,RA_OF_ASC_NODE,ARG_OF_PERICENTER,MEAN_ANOMALY,NORAD_CAT_ID,BSTAR\n"
	cases := []struct {
		name, text   string
		sets         int
		line, column int
		says         string
	}{
		{"a word for a number", headCSV + strings.Replace(goodCSV, "15.2", "fast", 1) + goodCSV, 1, 2, 35, `MEAN_MOTION "fast" is not a number`},
		{"zero mean motion", headCSV + strings.Replace(goodCSV, "15.2", "0", 1) + goodCSV, 1, 2, 0, "describes no orbit"},
		{"hyperbolic", headCSV + strings.Replace(goodCSV, "0.001", "1.2", 1) + goodCSV, 1, 2, 0, "no closed orbit"},
		{"retrograde beyond a half turn", headCSV + strings.Replace(goodCSV, "97.4", "197.4", 1) + goodCSV, 1, 2, 0, "outside [0, 180]"},
		{"a short row", headCSV + "LARK-1,2026\n" + goodCSV, 1, 2, 0, "the row has 2 columns, the header 10"},
		{"infinity", headCSV + strings.Replace(goodCSV, "7e-5", "Inf", 1), 0, 2, 0, "is not a number"},
		{"another frame", strings.Replace(kvnOne, "= TEME", "= EME2000", 1), 0, 9, 13, "TEME"},
		{"another theory", strings.Replace(kvnOne, "SGP/SGP4", "SGP4-XP", 1), 0, 11, 23, "SGP4"},
		{"no equals sign", strings.Replace(kvnOne, "MEAN_MOTION =", "MEAN_MOTION", 1), 0, 14, 1, "KEYWORD = value"},
		{"a key twice", strings.Replace(kvnOne, "BSTAR", "MEAN_ANOMALY", 1), 0, 21, 1, "stands twice"},
		{"no epoch", strings.Replace(jsonNumbers, `"EPOCH"`, `"WHEN"`, 1), 0, 1, 0, "has no EPOCH"},
		{"a thirteenth month", strings.Replace(jsonNumbers, "2026-11-20T", "2026-13-20T", 1), 0, 1, 0, "cannot be read"},
		{"a key twice in JSON", strings.Replace(jsonNumbers, `"BSTAR"`, `"MEAN_ANOMALY"`, 1), 0, 0, 0, "MEAN_ANOMALY stands twice"},
		{"a key twice in XML", "<omm><EPOCH>1</EPOCH>\n <EPOCH>2</EPOCH></omm>", 0, 2, 9, "EPOCH stands twice"},
		{"a word in JSON", "[{\"EPOCH\": \"1\",\n  \"BSTAR\":  tru}]", 0, 2, 16, "breaks off here"},
		{"a wrong value in JSON", "{\"NORAD_CAT_ID\": 1,\n\"EPOCH\":   \"never\"}", 0, 2, 12, "EPOCH \"never\" cannot be read"},
		{"no value in JSON", "[{\"EPOCH\":\n}]", 0, 2, 1, "breaks off here"},
		{"a number in a list", "[\n 12]", 0, 2, 3, "an object with one element set"},
		{"an object of nothing", "[\n{}]", 0, 2, 0, "an object with nothing in it"},
		{"a message of nothing", "<ndm>\n<omm/></ndm>", 0, 2, 0, "a message with nothing in it"},
		{"another encoding", "<?xml version=\"1.0\" encoding=\"koi8-r\"?><omm/>", 0, 1, 0, `written as "koi8-r"; save it as UTF-8`},
		{"many brackets", strings.Repeat("[", 200), 0, 1, 101, "more than 100 lists"},
		{"many braces", strings.Repeat(`{"A":`, 20000), 0, 1, 0, "too many lists"},
		{"many tags", strings.Repeat("<a>", 200), 0, 1, 0, "more than 100 parts"},
		{"many keywords in JSON", "{" + manyKeys(`"%s": 1,`) + `"EPOCH": 1}`, 0, 1, 0, "more than 200 names"},
		{"many keywords in XML", "<omm>" + manyKeys("<%[1]s>1</%[1]s>") + "</omm>", 0, 1, 0, "more than 200 names"},
		{"many keywords in KVN", "CCSDS_OMM_VERS = 2.0\n" + manyKeys("%s = 1\n"), 0, 201, 1, "more than 200 names"},
		{"many columns", "MEAN_MOTION," + manyKeys("%s,") + "\n", 0, 1, 0, "the header has 302 columns"},
		{"a long value in JSON", `{"EPOCH": "` + strings.Repeat("x", 3<<20), 0, 1, 11, "more than 1 MiB begins here"},
		{"a long value in XML", "<omm><EPOCH>" + strings.Repeat("x", 3<<20), 0, 1, 13, "more than 1 MiB begins here"},
		{"a long tag", "<omm " + strings.Repeat("a='1' ", 1<<19), 0, 1, 1, "more than 1 MiB begins here"},
		{"a long row", headCSV + strings.Repeat(",", 3<<20), 0, 2, 1, "more than 1 MiB begins here"},
		{"a long quote", headCSV + "\"" + strings.Repeat("\n", 3<<20), 0, 2, 1, "more than 1 MiB begins here"},
		{"a long line", strings.Repeat("x", 3<<20), 0, 1, 0, "neither an element line"},
		{"JSON cut short", jsonNumbers[:150], 0, 2, 0, "the file ends too early"},
		{"JSON with a slip", strings.Replace(jsonNumbers, `"MEAN_MOTION":`, `"MEAN_MOTION"=`, 1), 0, 2, 0, "breaks off here"},
		{"XML cut short", "<ndm><omm><EPOCH>2026", 0, 1, 0, "breaks off here"},
		{"a web page", "<!DOCTYPE html><html><body>Log in</body></html>", 0, 0, 0, "web page"},
		{"UTF-16", "\xff\xfeO\x00M\x00M\x00", 0, 0, 0, "UTF-16"},
		{"NUL bytes", "LARK-1\n\x00\x00\x00", 0, 0, 0, "NUL byte on line 2"},
		{"nothing", "  \n", 0, 0, 0, "is empty"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			sets, problems := ReadElements(strings.NewReader(c.text), "f")
			if len(sets) != c.sets {
				t.Errorf("%d sets, want %d", len(sets), c.sets)
			}
			if len(problems) == 0 {
				t.Fatal("nothing was found wrong")
			}
			p := problems[0]
			if !strings.Contains(p.Error(), c.says) || c.line != 0 && p.Line != c.line || c.column != 0 && p.Column != c.column {
				t.Errorf("said %q, want %q at %d:%d", p.Error(), c.says, c.line, c.column)
			}
			if strings.Contains(p.Error(), "\n") {
				t.Errorf("more than one line: %q", p.Error())
			}
		})
	}
}

// endless is a reader that never ends.
type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = '#'
	}
	return len(p), nil
}

func TestHugeFileIsRefused(t *testing.T) {
	_, problems := ReadElements(endless{}, "huge")
	if len(problems) != 1 || !strings.Contains(problems[0].Error(), "larger than 64 MiB") {
		t.Errorf("said %v", problems)
	}
}

// A large file of something else is given up, and says so.
func TestFileOfNonsenseIsGivenUp(t *testing.T) {
	for name, text := range map[string]string{
		"lines": strings.Repeat("LARK-1 is a bird\n", 20000),
		"csv":   "EPOCH,MEAN_MOTION\n" + strings.Repeat("1,2,3\n", 20000),
		"kvn":   "CCSDS_OMM_VERS = 2.0\n" + strings.Repeat("nonsense\n", 20000),
		"json":  "[" + strings.Repeat("{\"EPOCH\": 1},\n", 20000) + "{}]",
		"empty": "[" + strings.Repeat("{},", 20000),
		"names": "1 LARK-1\n" + strings.Repeat("1 LARK-1\n", 20000),
		"twice": "CCSDS_OMM_VERS = 2.0\n" + strings.Repeat("EPOCH = 1\n", 20000),
		"hulls": "<ndm>" + strings.Repeat("<omm></omm>", 20000),
		"xml":   "<ndm>" + strings.Repeat("<omm><EPOCH>1</EPOCH></omm>\n", 20000) + "</ndm>",
	} {
		_, problems := ReadElements(strings.NewReader(text), name)
		last := problems[len(problems)-1]
		if len(problems) > mostMistakes+30 || !last.GaveUp || !strings.Contains(last.Message, "the rest is not read") {
			t.Errorf("%s: %d problems, the last %q", name, len(problems), last.Error())
		}
	}
}

// Warnings do not end a file, however many there are; a thousand are told, the
// rest counted. The progress is told on the way.
func TestManyWarningsEndNothing(t *testing.T) {
	const n = 5000
	text := strings.Repeat(larkLine1[:68]+"\n"+larkLine2+"\n", n)
	told := 0
	sets, problems := ReadElementsWith(strings.NewReader(text), "f", ReadOptions{Lenient: true, Progress: func(done, total int) {
		if told++; done > total || total != len(text) {
			t.Errorf("%d of %d bytes, of %d", done, total, len(text))
		}
	}})
	if len(sets) != n || len(problems) != 1001 || !strings.Contains(problems[1000].Message, "and 4000 more problems") {
		t.Errorf("%d sets, %d problems, the last %v", len(sets), len(problems), problems[len(problems)-1])
	}
	if told < 2 {
		t.Errorf("the progress was told %d times", told)
	}
}

// Sets handed out one by one are those that are returned otherwise.
func TestSetsOneByOne(t *testing.T) {
	text := larkLine1 + "\n" + larkLine2 + "\nLARK-1\nLARK-2\n" + larkLine1 + "\n" + larkLine2 + "\n"
	want, wantProblems := ReadElements(strings.NewReader(text), "f")
	var got []Elements
	sets, problems := ReadElementsWith(strings.NewReader(text), "f", ReadOptions{Each: func(e Elements) { got = append(got, e) }})
	if d := cmp.Diff(want, got) + cmp.Diff(wantProblems, problems); d != "" || len(sets) != 0 || len(got) != 2 {
		t.Error(d, sets)
	}
	if _, problems := ReadElementsWith(strings.NewReader(larkLine1+"\n"+larkLine2), "f", ReadOptions{Each: func(Elements) {}}); len(problems) > 0 {
		t.Error(problems)
	}
}

// A name may look like a first line.
func TestNamesThatLookLikeLines(t *testing.T) {
	sets, problems := ReadElements(strings.NewReader("1 LARK\n"+larkLine1+"\n"+larkLine2+"\n"), "f")
	if len(sets) != 1 || sets[0].Name != "1 LARK" || len(problems) != 0 {
		t.Errorf("read %v, %v", sets, problems)
	}
}
