//go:build e2e && linux

package main

import "testing"

// What looks for a text in recorded sound bears silence and sound that is too
// short, wherever it is told to look.
func TestEndToEndLooksIntoSilence(t *testing.T) {
	x := make([]float64, 48000/2)
	for i := range x {
		x[i] = float64(i%100) - 50
	}
	silence := make([]float64, 48000)
	for _, y := range [][]float64{nil, silence[:10], silence, append(append([]float64{}, silence[:9600]...), x[:12000]...)} {
		for _, from := range []int{-5000, 0, 4800, 100000} {
			if at, like := find(x, y, from, from+9600); at < 0 || like < 0 {
				t.Errorf("found at %d, %g", at, like)
			}
			inPieces(x, y, from)
		}
	}
	sound := append(append([]float64{}, silence[:9600]...), x...)
	if at, like := find(x, sound, 0, 20000); at != 9600 || like < 0.999 {
		t.Errorf("found at %d, %g", at, like)
	}
	if like := inPieces(x, sound, 9600); like < 0.999 {
		t.Errorf("in pieces %g", like)
	}
}
