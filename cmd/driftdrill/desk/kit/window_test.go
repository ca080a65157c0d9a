//go:build !nodesk

package kit

import (
	"image"
	"testing"
)

// closed is a window that is not opened.
func closed(t *testing.T) *Window {
	t.Helper()
	w, err := NewWindow(nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// Windows larger than 1280x720 show the same picture, larger.
func TestLargeWindowsGrowThePicture(t *testing.T) {
	w := closed(t)
	w.Resize(3840, 2160, 1)
	if w.Size != (Point{1280, 720}) || w.Scale() != 3 {
		t.Errorf("4K: %v dips at %v pixels", w.Size, w.Scale())
	}
	w.Resize(960, 600, 1)
	if w.Size != (Point{960, 600}) || w.Scale() != 1 {
		t.Errorf("smallest: %v dips at %v pixels", w.Size, w.Scale())
	}
}

// On a screen that is smaller than the window would be, the window is no
// larger than the screen, and shows all of its picture.
func TestSmallScreensShowAllOfThePicture(t *testing.T) {
	for _, c := range []struct{ screen, window, least image.Point }{
		{image.Pt(1920, 1080), image.Pt(1280, 720), image.Pt(960, 600)},
		{image.Pt(960, 600), image.Pt(960, 600), image.Pt(960, 600)}, // 1920 x 1200 at scale 2
		{image.Pt(800, 480), image.Pt(800, 480), image.Pt(800, 480)},
		{image.Pt(683, 384), image.Pt(683, 384), image.Pt(683, 384)}, // 1366 x 768 at scale 2
		{image.Pt(0, 0), image.Pt(1280, 720), image.Pt(960, 600)},    // not known
	} {
		width, height, least := windowSize(0, 0, c.screen)
		if image.Pt(width, height) != c.window || least != c.least {
			t.Errorf("screen %v: a window of %d by %d, at least %v; want %v, at least %v", c.screen, width, height, least, c.window, c.least)
		}
		w := closed(t)
		w.Resize(float64(width), float64(height), 2)
		if w.Size.X < MinWidth-1 || w.Size.Y < MinHeight-1 {
			t.Errorf("a window of %d by %d shows %v dips, less than is laid out", width, height, w.Size)
		}
	}
}
