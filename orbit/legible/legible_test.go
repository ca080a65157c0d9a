package legible

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// The runes are those of Unicode's tables: C0 and C1 controls (chapter 23.1),
// bidirectional controls (Annex 9, table 1), separators (chapter 23.2).
func TestUnsafeRunesAreReplaced(t *testing.T) {
	for _, r := range "\x00\x07\x08\t\n\r\x1b\x7f\u0080\u0085\u0090\u009b\u009d\u061c\u200e\u200f\u2028\u2029\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069" {
		if got := Line("a" + string(r) + "b"); got != "a?b" {
			t.Errorf("U+%04X: %q", r, got)
		}
		want := "a?b"
		if r == '\n' || r == '\t' {
			want = "a" + string(r) + "b"
		}
		if got := Text("a" + string(r) + "b"); got != want {
			t.Errorf("U+%04X in a text: %q", r, got)
		}
	}
	for _, s := range []string{"", "LARK-1", "Zoë 日本", "°·–", "a\u200db"} {
		if Line(s) != s {
			t.Errorf("%q became %q", s, Line(s))
		}
	}
	if got := Line("a\xffb\x9b2J"); got != "a?b?2J" {
		t.Errorf("bytes that are no UTF-8: %q", got)
	}
}

func TestCellsDoNotRun(t *testing.T) {
	for text, want := range map[string]string{
		"=1+1": "'=1+1", "+1": "'+1", "-LARK": "'-LARK", "@SUM(A1)": "'@SUM(A1)", "\t=1": "'\t=1", "\r=1": "'\r=1",
		"'=1": "''=1", "": "", "LARK-1": "LARK-1", "'tis": "'tis", " =1": " =1",
	} {
		if got := Cell(text); got != want || FromCell(got) != text {
			t.Errorf("%q is written %q, want %q, and read %q", text, got, want, FromCell(got))
		}
	}
}

func FuzzLegible(f *testing.F) {
	f.Add("=a\u009b31m\u202e")
	f.Fuzz(func(t *testing.T, s string) {
		if FromCell(Cell(s)) != s {
			t.Errorf("%q came back as %q", s, FromCell(Cell(s)))
		}
		for _, got := range []string{Line(s), Cell(Line(s))} {
			if !utf8.ValidString(got) || strings.IndexFunc(got, Unsafe) >= 0 {
				t.Errorf("%q became %q", s, got)
			}
		}
	})
}

// What is written comes out clean however it is cut into pieces.
func TestWriterInPieces(t *testing.T) {
	const text = "Zoë\x1b[2J \u009b31m\u202e日本\r\n\tend\xff.\n"
	want := "Zoë?[2J ?31m?日本\r\n\tend?.\n"
	for size := 1; size < 9; size++ {
		var b strings.Builder
		w := &Writer{To: &b}
		for rest := []byte(text); len(rest) > 0; {
			n, err := w.Write(rest[:min(size, len(rest))])
			if err != nil || n != min(size, len(rest)) {
				t.Fatal(n, err)
			}
			rest = rest[n:]
		}
		if b.String() != want {
			t.Errorf("in pieces of %d: %q", size, b.String())
		}
	}
}
