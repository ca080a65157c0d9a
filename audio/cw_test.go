package audio

import "testing"

// "PARIS" with the space after it lasts 50 dots (ITU-R M.1677-1 gives the
// lengths: dash 3, inside a letter 1, between letters 3, between words 7; 50
// units for PARIS is the usual measure of speed).
func TestParisLastsFiftyDots(t *testing.T) {
	dots := 0
	for _, k := range keyed("paris") {
		dots += k.dots
	}
	if dots != 50 {
		t.Errorf("PARIS lasts %d dots, want 50", dots)
	}
	c := newCW("PARIS", 12, 700)
	if c.dot != 4800 { // 1.2/12 s at 48 kHz
		t.Errorf("a dot at 12 WPM has %d samples, want 4800", c.dot)
	}
}

func TestMorseKeyDownTimes(t *testing.T) {
	c := newCW("E T", 20, 700) // dot 60 ms: 1 down, 7 up, 3 down, 7 up
	re, im := make([]float32, 48000*18*6/100), make([]float32, 48000*18*6/100)
	c.fill(re, im)
	var edges []int
	for i := 1; i < len(re); i++ {
		was := re[i-1]*re[i-1]+im[i-1]*im[i-1] > 0.25
		is := re[i]*re[i]+im[i]*im[i] > 0.25
		if was != is {
			edges = append(edges, i)
		}
	}
	want := []int{0, 1, 8, 11} // in dots
	if len(edges) != len(want) {
		t.Fatalf("edges at %v", edges)
	}
	for i, w := range want {
		at := w*2880 + cwEdge/2
		if d := edges[i] - at; d < -2 || d > 2 {
			t.Errorf("edge %d at sample %d, want %d", i, edges[i], at)
		}
	}
}

func TestUnknownCharactersAreLeftOut(t *testing.T) {
	if got := keyed("ß \x00 ~"); len(got) != 0 {
		t.Errorf("%v", got)
	}
	newCW("", 15, 700).fill(make([]float32, 100), make([]float32, 100))
}
