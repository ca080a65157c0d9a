package orbit

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Two lines of an invented bird.
const (
	larkLine1 = "1 99901U 26901A   26324.12345678  .00001250  00000+0  71000-4 0  1002"
	larkLine2 = "2 99901  97.4012  21.3345 0011234  84.1234 276.1240 15.20279803 12343"
)

// Alpha-5 numbers as the documentation of the scheme gives them (quoted).
func TestPublishedAlpha5(t *testing.T) {
	for text, want := range map[string]int{
		"A0000": 100000, "E8493": 148493, "J2931": 182931, "P4018": 234018, "W1928": 301928, "Z9999": 339999,
	} {
		if got, ok := parseAlpha5(text); !ok || got != want {
			t.Errorf("%s = %d, want %d", text, got, want)
		}
		if back := formatAlpha5(want); back != text {
			t.Errorf("%d written as %s, want %s", want, back, text)
		}
	}
	for _, text := range []string{"I0000", "O0000", "A000", "", "123456", "a0000", "-1"} {
		if n, ok := parseAlpha5(text); ok {
			t.Errorf("%q read as %d", text, n)
		}
	}
}

// The four sums that the publication got wrong (SOURCES of the set: its README).
func TestWrongChecksumsOfThePublication(t *testing.T) {
	var wrong []string
	for _, s := range readVerificationSets(t) {
		_, problems := parseTLE("", s.line1, s.line2, false)
		for _, p := range problems {
			if !strings.Contains(p.Message, "checksum") {
				t.Errorf("%v", p)
			}
			wrong = append(wrong, p.Bird)
		}
	}
	if want := []string{"33333", "33333", "33334", "33335", "33335"}; cmp.Diff(want, wrong) != "" {
		t.Errorf("wrong checksums in %v, want %v", wrong, want)
	}
}

func TestTLEFields(t *testing.T) {
	e, err := ParseTLE("LARK-1", larkLine1, larkLine2)
	if err != nil {
		t.Fatal(err)
	}
	got := []any{e.Catalog, e.Classification, e.Designator, e.Epoch.Format("2006-01-02T15:04:05.000000000"), e.MeanMotionDot, e.BStar,
		e.SetNumber, e.InclinationDeg, e.NodeDeg, e.Eccentricity, e.PerigeeDeg, e.AnomalyDeg, e.MeanMotion, e.RevolutionCount}
	want := []any{99901, byte('U'), "26901A", "2026-11-20T02:57:46.665792000", .0000125, .000071,
		100, 97.4012, 21.3345, .0011234, 84.1234, 276.124, 15.20279803, 1234}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	line1, line2 := e.TLE()
	if line1 != larkLine1 || line2 != larkLine2 {
		t.Errorf("written back as\n%s\n%s", line1, line2)
	}
}

// edit replaces the text at a column, 1-based, and mends the checksum.
func edit(line string, column int, text string) string {
	line = line[:column-1] + text + line[column-1+len(text):]
	return line[:68] + string(rune('0'+tleChecksum(line)))
}

func TestBadTLE(t *testing.T) {
	cases := []struct {
		name, line1, line2 string
		line, column       int
		says               string
	}{
		{"checksum", larkLine1[:68] + "3", larkLine2, 1, 69, "the checksum of line 1 is 2"},
		{"no checksum", larkLine1, larkLine2[:68], 2, 69, "line 2 has no checksum"},
		{"cut short", larkLine1[:40], larkLine2, 1, 41, "ends after 40 of 69"},
		{"shifted", larkLine1, edit(larkLine2, 8, "1"), 2, 8, "shifted"},
		{"two birds", larkLine1, edit(larkLine2, 3, "99902"), 2, 3, "line 2 is of bird 99902"},
		{"letter in a number", larkLine1, edit(larkLine2, 9, " 9x.4012"), 2, 9, "inclination"},
		{"day 400", edit(larkLine1, 21, "400.12345678"), larkLine2, 1, 21, "2026 has no day 400"},
		{"day 0", edit(larkLine1, 21, "000.12345678"), larkLine2, 1, 21, "2026 has no day 0"},
		{"no power of ten", edit(larkLine1, 54, " 7100000"), larkLine2, 1, 54, "B*"},
		{"another theory", edit(larkLine1, 63, "4"), larkLine2, 1, 63, "another theory"},
		{"zero mean motion", larkLine1, edit(larkLine2, 53, " 0.00000000"), 2, 0, "describes no orbit"},
		{"inside the Earth", larkLine1, edit(larkLine2, 53, "25.00000000"), 2, 0, "inside the Earth"},
		{"retrograde too far", larkLine1, edit(larkLine2, 9, "197.4012"), 2, 0, "outside [0, 180]"},
		{"a control character", larkLine1[:9] + "\x01" + larkLine1[10:], larkLine2, 1, 10, "0x01"},
		{"no number", edit(larkLine1, 3, "     "), larkLine2, 1, 3, "catalogue number"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			sets, problems := ReadElements(strings.NewReader("LARK-1\n"+c.line1+"\r\n"+c.line2+"\r\nDIPPER-2\n"+larkLine1+"\n"+larkLine2+"\n"), "birds.txt")
			if len(sets) != 1 || sets[0].Name != "DIPPER-2" {
				t.Errorf("sets %v, want the good one after the bad one", sets)
			}
			if len(problems) == 0 {
				t.Fatal("nothing was found wrong")
			}
			p := problems[0]
			if p.File != "birds.txt" || p.Line != c.line+1 || c.column != 0 && p.Column != c.column || !strings.Contains(p.Message, c.says) {
				t.Errorf("said %q, want %q at line %d, column %d", p.Error(), c.says, c.line+1, c.column)
			}
		})
	}
}

func TestLenientTakesAWrongChecksum(t *testing.T) {
	text := larkLine1[:68] + "3\n" + larkLine2 + "\n"
	sets, problems := ReadElementsWith(strings.NewReader(text), "f", ReadOptions{Lenient: true})
	if len(sets) != 1 || len(problems) != 1 || !problems[0].Warning {
		t.Errorf("sets %v, problems %v", sets, problems)
	}
}

func TestOrphanLines(t *testing.T) {
	for text, says := range map[string]string{
		larkLine1 + "\n":                  "no line 2",
		larkLine2 + "\n":                  "no line 1",
		"hello\nworld\n":                  "neither an element line nor a name",
		"LARK-1\nDIPPER-2\n" + larkLine1:  "neither an element line nor a name",
		"0 LARK-1\n" + larkLine2 + "\n\n": "no line 1",
	} {
		sets, problems := ReadElements(strings.NewReader(text), "f")
		if len(sets) != 0 || len(problems) == 0 || !strings.Contains(problems[0].Message, says) {
			t.Errorf("%q: sets %v, problems %v, want %q", text, sets, problems, says)
		}
	}
}

func TestNewestAndFind(t *testing.T) {
	old, _ := ParseTLE("LARK-1", larkLine1, larkLine2)
	fresh := old
	fresh.Epoch = old.Epoch.AddDate(0, 0, 1)
	dipper := old
	dipper.Name, dipper.Catalog = "DIPPER-2", 99902
	lapwing := old
	lapwing.Name, lapwing.Catalog = "LAPWING-3", 100001
	sets := []Elements{fresh, dipper, old, lapwing}
	kept, dropped := Newest(sets)
	if len(kept) != 3 || dropped != 1 || !kept[0].Epoch.Equal(fresh.Epoch) {
		t.Errorf("kept %v, dropped %d", kept, dropped)
	}
	for query, want := range map[string]string{
		"lark-1": "LARK-1", "LAR": "LARK-1", "99902": "DIPPER-2", "dipper": "DIPPER-2", "A0001": "LAPWING-3", "100001": "LAPWING-3", "1000": "LAPWING-3",
	} {
		if e, err := Find(sets, query); err != nil || e.Name != want {
			t.Errorf("%s found %s, %v; want %s", query, e.Name, err, want)
		}
	}
	for query, says := range map[string]string{
		"la": "could be LAPWING-3 (100001), LARK-1 (99901)", "999": "could be DIPPER-2 (99902), LARK-1 (99901)", "dunlin": "no bird is called", "": "no bird was named",
	} {
		if _, err := Find(sets, query); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q said %v, want %q", query, err, says)
		}
	}
}

func TestGreatNumbersHaveNoTwoLines(t *testing.T) {
	e, _ := ParseTLE("LARK-1", larkLine1, larkLine2)
	e.Catalog = 799500766
	if e.FitsTLE() == nil {
		t.Error("a number of nine digits was said to fit")
	}
	line1, line2 := e.TLE()
	if _, err := ParseTLE("", line1, line2); err == nil {
		t.Error("it was read as another bird")
	}
}
