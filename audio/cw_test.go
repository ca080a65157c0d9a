package audio

import "testing"

func TestMorseKeyDownTimes(t *testing.T) {
	c := newCW(20, 700, "E T") // dot 60 ms: 1 down, 7 up, 3 down, 7 up
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

func TestNothingToSendIsSilent(t *testing.T) {
	newCW(15, 700, "").fill(make([]float32, 100), make([]float32, 100))
}
