//go:build !nodesk

package kit

import (
	"image"
	"strings"
	"testing"

	"github.com/hajimehoshi/ebiten/v2"
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

// Windows up to 1920x1080 have more room, with text of the same size; larger ones
// show the same picture, larger.
func TestLargeWindowsHaveRoomAndThenGrow(t *testing.T) {
	w := closed(t)
	w.Resize(1920, 1080, 1)
	if w.Size != (Point{1920, 1080}) || w.Scale() != 1 {
		t.Errorf("1920x1080: %v dips at %v pixels", w.Size, w.Scale())
	}
	w.Resize(3840, 2160, 1)
	if w.Size != (Point{1920, 1080}) || w.Scale() != 2 {
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

// A line that is said goes on in the next where the window is narrow for its
// text, and no word of it is lost.
func TestLineThatIsSaidIsWhole(t *testing.T) {
	const line = "Settings are not saved: /home/q3fen/.config/driftdrill/settings.toml: no space is left on the device"
	for _, text := range []float64{1, 1.5, 2.5} {
		w, err := NewWindow(nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		w.Look(&Night, text, true)
		w.Resize(1280, 720, 1)
		w.Say(line)
		c := NewCanvas(w.Type)
		c.Dry = true
		var got []string
		c.Seen = func(r Rect, str string) {
			got = append(got, str)
			if r.X < 0 || r.Right() > w.Size.X {
				t.Errorf("text %v: %q leaves the window", text, str)
			}
		}
		img := ebiten.NewImage(1280, 720)
		c.Begin(img, 1, w.Pal)
		w.toast.draw(w, c)
		c.End()
		img.Deallocate()
		if strings.Join(got, " ") != line {
			t.Errorf("text %v: %q", text, got)
		}
	}
}

// pauseHost shows what top is.
type pauseHost struct{ top any }

func (h *pauseHost) Step()                        {}
func (h *pauseHost) Top() any                     { return h.top }
func (h *pauseHost) Parts() func(*Canvas, *Parts) { return nil }
func (h *pauseHost) Paint(*Canvas)                {}
func (h *pauseHost) Leave()                       {}

// page and cover are two scenes, the second over the first.
type (
	pageScene  struct{ n int }
	coverScene struct{ n int }
)

func (*coverScene) IsOverlay() {}

// A line that was said on a page does not lie over what covers the page, and is
// shown for the rest of its time afterwards. What the cover says is shown there.
func TestLineWaitsForWhatCoversThePage(t *testing.T) {
	page, cover := &pageScene{1}, &coverScene{2}
	h := &pauseHost{page}
	w, err := NewWindow(h, nil)
	if err != nil {
		t.Fatal(err)
	}
	updates := func(n int) {
		for range n {
			if err := w.Update(); err != nil {
				t.Fatal(err)
			}
		}
	}
	w.Say("the sound device has gone")
	updates(100)
	if !w.toast.shown(w) {
		t.Fatal("not shown on its page")
	}
	left := w.toast.until - w.Frame
	h.top = cover
	updates(1000) // longer than a line is shown
	if w.toast.shown(w) {
		t.Error("shown over the cover")
	}
	h.top = page
	updates(1)
	if !w.toast.shown(w) || w.toast.until-w.Frame != left-1 {
		t.Errorf("afterwards: shown %v for %d updates, want %d", w.toast.shown(w), w.toast.until-w.Frame, left-1)
	}
	h.top = cover
	w.Say("80 ms from the next run on")
	if updates(1); !w.toast.shown(w) {
		t.Error("what the cover says is not shown")
	}
}
