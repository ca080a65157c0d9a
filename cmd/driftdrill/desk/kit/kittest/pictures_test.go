//go:build !nodesk

package kittest

import (
	"image"
	"image/color"
	"testing"
)

// The comparison itself must tell a shifted picture from the same one.
func TestDifferenceTellsAShift(t *testing.T) {
	a := image.NewRGBA(image.Rect(0, 0, 60, 60))
	b := image.NewRGBA(a.Bounds())
	for y := 0; y < 60; y++ {
		for x := 20; x < 40; x++ {
			a.Set(x, y, color.White)
			b.Set(x+1, y, color.White)
		}
	}
	if mean, far := Difference(a, a); mean != 0 || far != 0 {
		t.Errorf("a picture differs from itself by %v, %v", mean, far)
	}
	if mean, far := Difference(a, b); mean <= meanAllowed || far <= farAllowed {
		t.Errorf("a shift by one pixel passes: %v, %v", mean, far)
	}
}
