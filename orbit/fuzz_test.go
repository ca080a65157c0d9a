package orbit

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// seedElements gives a fuzz target the published files and what this package writes of them.
func seedElements(f *testing.F, format Format) {
	f.Helper()
	var sets []Elements
	for _, v := range readVerificationSets(f) {
		e, _ := parseTLE("", v.line1, v.line2, true)
		sets = append(sets, e)
	}
	var b bytes.Buffer
	if err := WriteElements(&b, format, sets[:3], time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC)); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	published := map[Format]string{
		FormatTLE: filepath.Join(verificationDir, "SGP4-VER.TLE"),
		FormatXML: filepath.Join(ommDir, "sample_omm.xml"),
		FormatCSV: filepath.Join(ommDir, "sample_omm.csv"),
	}
	if path, ok := published[format]; ok {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
}

// fuzzReader holds every parser to the same: it never panics, says something
// where it finds nothing, and what it takes can be propagated and, as far as
// the format holds it, comes back from every other format the same.
func fuzzReader(f *testing.F, format Format) {
	seedElements(f, format)
	f.Fuzz(func(t *testing.T, data []byte) {
		sets, problems := readers[format](data, ReadOptions{Lenient: true})
		for _, p := range problems {
			if p.Message == "" || bytes.ContainsAny([]byte(p.Error()), "\n\r\x00") {
				t.Errorf("a problem of no or of several lines: %q", p.Error())
			}
		}
		for _, e := range sets {
			bird, err := NewPropagator(e)
			if err != nil {
				t.Fatalf("taken, but no orbit: %v", err)
			}
			for _, minutes := range []float64{0, 100, -1e4} {
				if s, err := bird.TEME(minutes); err == nil && math.IsNaN(s.PositionKm[0]+s.VelocityKmS[0]) {
					t.Errorf("%+v is nowhere at %g min", e, minutes)
				}
			}
			if e.FitsTLE() == nil {
				line1, line2 := e.TLE()
				if len(line1) != tleLength || len(line2) != tleLength {
					t.Errorf("two lines of %d and %d columns:\n%s\n%s", len(line1), len(line2), line1, line2)
				} else if _, err := ParseTLE(e.Name, line1, line2); err != nil {
					t.Errorf("%+v\nwas written as\n%s\n%s\nand not read: %v", e, line1, line2, err)
				}
			}
		}
		if len(sets) == 0 {
			return
		}
		for _, other := range []Format{FormatJSON, FormatXML, FormatCSV} {
			var b bytes.Buffer
			if err := WriteElements(&b, other, sets, time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC)); err != nil {
				t.Fatal(err)
			}
			back, problems := readers[other](b.Bytes(), ReadOptions{})
			if d := cmp.Diff(sets, back); d != "" || firstRefusal(problems) != nil {
				t.Errorf("through %s: %v\n%s\n%s", other, problems, d, b.String())
			}
		}
	})
}

func FuzzTLE(f *testing.F)  { fuzzReader(f, FormatTLE) }
func FuzzJSON(f *testing.F) { fuzzReader(f, FormatJSON) }
func FuzzXML(f *testing.F)  { fuzzReader(f, FormatXML) }
func FuzzKVN(f *testing.F)  { fuzzReader(f, FormatKVN) }
func FuzzCSV(f *testing.F)  { fuzzReader(f, FormatCSV) }

// FuzzReadElements: any bytes at all give sets or a problem.
func FuzzReadElements(f *testing.F) {
	f.Add([]byte(kvnOne))
	f.Add([]byte(jsonNumbers))
	f.Add([]byte("\xff\xfe1\x00"))
	f.Add([]byte("<html>"))
	f.Fuzz(func(t *testing.T, data []byte) {
		sets, problems := ReadElements(bytes.NewReader(data), "f")
		if len(sets) == 0 && len(problems) == 0 {
			t.Error("nothing was read and nothing was said")
		}
	})
}

func FuzzParseSite(f *testing.F) {
	for _, s := range []string{"50,8,150", "JO40aa", "JN58td12ab", "-90,180", "1,2,3,4", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseSite(text)
		if err != nil {
			return
		}
		if err := s.Validate(); err != nil {
			t.Errorf("%q gave %v: %v", text, s, err)
		}
		for _, n := range []int{4, 6, 8, 10} {
			if _, _, err := ParseLocator(s.Locator(n)); err != nil {
				t.Errorf("%v has the locator %s: %v", s, s.Locator(n), err)
			}
		}
	})
}

func FuzzParseSiteFile(f *testing.F) {
	f.Add([]byte("name = \"Quern Hill\"\nlat = 50.0\nlon = 8.0\nalt_m = 150\nhorizon = [[0, 2], [90, 5]]\n"))
	f.Add([]byte("locator = \"JO40aa\"\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, mask, err := ParseSiteFile(data, "f")
		if err != nil {
			if bytes.ContainsAny([]byte(err.Error()), "\n") {
				t.Errorf("more than one line: %q", err)
			}
			return
		}
		if err := s.Validate(); err != nil {
			t.Error(err)
		}
		for a := 0.0; a < 360; a += 7 {
			if e := mask.At(a); len(mask) > 0 && !(e >= 0 && e < 90) {
				t.Errorf("the horizon is at %g deg", e)
			}
		}
	})
}
