package morse

import (
	"math/rand/v2"
	"strings"
	"testing"
)

const ticks = 200 // a second, as the simulation has them

// ITU-R M.1677-1, section 2: a dash is three dots, the space between the signs of a
// letter one, between two letters three, between two words seven. PARIS with the
// space after it is the usual measure of speed: 50 dots.
func TestParisLastsFiftyDots(t *testing.T) {
	sum := 0
	for _, s := range Keying("paris") {
		sum += s.Dots
	}
	if sum != 50 || Dots("PARIS") != 43 {
		t.Errorf("PARIS lasts %d dots, without its space %d; want 50 and 43", sum, Dots("PARIS"))
	}
	if got := DotS(30); got != 0.04 {
		t.Errorf("a dot at 30 words per minute: %g s, want 0.04", got)
	}
	if len(Keying("ß \x00 ~")) != 0 {
		t.Error("what is no sign is sent")
	}
}

// No two signs of M.1677-1 are the same, and each is read back as itself.
func TestSignsAreReadBack(t *testing.T) {
	if len(signs) != len(code) {
		t.Fatalf("%d letters have %d signs", len(code), len(signs))
	}
	text := "QUICK BROWN FOX = 1234567890 / VEXD JUMPY HALTS WIZARD?"
	for _, wpm := range []float64{5, 12, 18, 25, 30, 40} {
		if got := read(t, text, wpm, 0, 1); got != text {
			t.Errorf("%.0f words per minute: %q", wpm, got)
		}
	}
}

// read sends a text, each stretch of it wrong by a share drawn evenly, and decodes it.
func read(t *testing.T, text string, wpm, jitter float64, seed uint64) string {
	t.Helper()
	g := rand.New(rand.NewPCG(seed, 7))
	d := NewDecoder(ticks)
	var out strings.Builder
	give := func(down bool, n int) {
		for range n {
			if r := d.Step(down); r != 0 {
				out.WriteRune(r)
			}
		}
	}
	give(false, 50)
	at, sent := 0.0, 0
	for _, s := range Keying(text) {
		at += DotS(wpm) * ticks * float64(s.Dots) * (1 + jitter*(2*g.Float64()-1))
		give(s.Down, int(at+0.5)-sent)
		sent = int(at + 0.5)
	}
	give(false, 400)
	return strings.TrimSpace(out.String())
}

// A human's fist: every stretch up to 25 % wrong. Figures of our own choice; the
// decoder's constants were set on exact sending alone.
func TestDecoderReadsAHandsFist(t *testing.T) {
	wrong, all := 0, 0
	text := "CQ CQ DE Q5HTH Q5HTH K"
	for seed := range uint64(40) {
		for _, wpm := range []float64{12, 16, 20, 25, 30} {
			got := read(t, text, wpm, 0.25, seed)
			all++
			if !strings.Contains(got, "Q5HTH") {
				wrong++
			}
		}
	}
	if wrong*20 > all {
		t.Errorf("the call was not read in %d of %d", wrong, all)
	}
}

// A keyer held for a minute keeps its speed at every speed, and no sign is wrong by
// a tick or more: dots and dashes as M.1677-1 has them.
func TestKeyerKeepsTime(t *testing.T) {
	for wpm := SlowestWPM; wpm <= FastestWPM; wpm++ {
		for _, dash := range []bool{false, true} {
			k := NewKeyer(IambicB, wpm, ticks)
			dots, cycle := 1, 2.0
			if dash {
				dots, cycle = 3, 4
			}
			begun, n, down := 0, 0, false
			var first, last int
			for tick := range 60 * ticks {
				now := k.Step(!dash, dash)
				if now && !down {
					if begun = tick; n == 0 {
						first = tick
					}
					last = tick
					n++
				}
				if !now && down {
					want := DotS(float64(wpm)) * ticks * float64(dots)
					if d := float64(tick-begun) - want; d <= -1 || d >= 1 {
						t.Fatalf("%d words per minute: a sign of %d ticks, want %.2f", wpm, tick-begun, want)
					}
				}
				down = now
			}
			want := DotS(float64(wpm)) * ticks * cycle
			got := float64(last-first) / float64(n-1)
			if d := got/want - 1; d < -0.001 || d > 0.001 {
				t.Errorf("%d words per minute: %.3f ticks from sign to sign, want %.3f", wpm, got, want)
			}
		}
	}
}

// What paddles do: common practice of iambic keyers, modes A and B; no published
// source. A line is a string of half dots: 1 the dot paddle, 2 the dash paddle, 3
// both, space none.
func TestKeyerTruthTable(t *testing.T) {
	for _, c := range []struct {
		kind    Kind
		paddles string
		want    string
	}{
		{IambicB, "1", "."}, {IambicA, "1", "."}, {IambicB, "2", "-"}, {IambicA, "2", "-"},
		{IambicB, "11111", ".."}, {IambicA, "11111", ".."}, // held into the second
		{IambicB, "2222222222", "--"}, {IambicA, "2222222222", "--"},
		{IambicA, "3", "."}, {IambicB, "3", ".-"}, // both at once begin with the dot; B adds the other
		{IambicA, "333333", ".-"}, {IambicB, "333333", ".-."}, // let go in the dash
		{IambicA, "2333333333333333", "-.-"}, {IambicB, "2333333333333333", "-.-."}, // C by squeezing, let go in the second dash
		{IambicA, "2233333333333333333333", "-.-."},
		{IambicA, "1 2", ".-"}, {IambicB, "1 2", ".-"}, // A: the dash tapped while the dot sounds is kept in both
		{IambicA, "2  1 ", "-."}, {IambicB, "2  1 ", "-."}, // N
		{IambicA, "22221", "-."}, {IambicB, "22221", "-."},
		{IambicA, "1    2      ", ".-"}, // apart: one after the other
		{IambicA, "", ""}, {IambicB, "", ""},
	} {
		if got := sent(c.kind, c.paddles); got != c.want {
			t.Errorf("%s, paddles %q: %q, want %q", c.kind, c.paddles, got, c.want)
		}
	}
}

// sent keys paddles at 12 words per minute, a dot of 20 ticks, and says what came.
func sent(kind Kind, paddles string) string {
	k := NewKeyer(kind, 12, ticks)
	var out strings.Builder
	length := 0
	step := func(dot, dash bool) {
		if k.Step(dot, dash) {
			length++
			return
		}
		if length > 0 {
			out.WriteByte(map[int]byte{20: '.', 60: '-'}[length])
		}
		length = 0
	}
	for _, p := range paddles {
		for range 10 {
			step(p == '1' || p == '3', p == '2' || p == '3')
		}
	}
	for range 400 {
		step(false, false)
	}
	return out.String()
}

// A straight key is what it is, at any speed.
func TestStraightKeyPassesThrough(t *testing.T) {
	k := NewKeyer(Straight, 30, ticks)
	for i, down := range []bool{false, true, false, true, true, false} {
		if k.Step(down && i != 3, down && i == 3) != down {
			t.Errorf("tick %d", i)
		}
	}
}

// Any keying at all gives signs of the code, spaces and '*', and never more than one
// letter for each mark.
func FuzzDecoder(f *testing.F) {
	f.Add([]byte{8, 8, 24, 24, 8, 8})
	f.Add([]byte{8, 1, 1, 2, 1, 1, 60}) // marks of one tick and of two: the shortest there are
	f.Fuzz(func(t *testing.T, lengths []byte) {
		d := NewDecoder(ticks)
		letters, marks := 0, 0
		for i, n := range lengths {
			marks += i % 2
			for range n {
				switch r := d.Step(i%2 == 1); {
				case r == 0 || r == ' ':
				case r != '*' && code[r] == "":
					t.Fatalf("%q is no sign", r)
				default:
					letters++
				}
			}
		}
		if letters > marks {
			t.Errorf("%d letters of %d marks", letters, marks)
		}
	})
}
