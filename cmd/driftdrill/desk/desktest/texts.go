//go:build !nodesk

package desktest

import (
	"math"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// TextBox is one text as it was drawn.
type TextBox struct {
	Rect kit.Rect // dips
	Text string
}

// Texts draws what is shown and returns what is written on it.
func (s *Stage) Texts() []TextBox {
	var out []TextBox
	c := kit.NewCanvas(s.App.Type)
	c.Seen = func(r kit.Rect, str string) { out = append(out, TextBox{r, str}) }
	c.Begin(s.Image, s.App.Scale(), s.App.Pal)
	s.App.Scenes.Draw(s.App, c)
	c.End()
	return out
}

// visible returns the texts as they are seen: cut by the list or page that they
// scroll in. A text that is cut at its side says so.
func (s *Stage) visible() (boxes []TextBox, cut []string) {
	c := kit.NewCanvas(s.App.Type)
	c.Dry = true
	whole := kit.Box(0, 0, s.App.Size.X, s.App.Size.Y)
	c.Seen = func(r kit.Rect, str string) {
		if strings.TrimSpace(str) == "" {
			return
		}
		b := c.Bounds()
		seen := kit.Box(float64(b.Min.X)/c.Scale(), float64(b.Min.Y)/c.Scale(), float64(b.Dx())/c.Scale(), float64(b.Dy())/c.Scale())
		if seen.W < whole.W-1 || seen.H < whole.H-1 {
			top, bottom := math.Max(r.Y, seen.Y), math.Min(r.Bottom(), seen.Bottom())
			if bottom-top < 1 || seen.W < 1 {
				return
			}
			if r.X < seen.X-1 || r.Right() > seen.Right()+1 {
				cut = append(cut, str)
			}
			r.Y, r.H = top, bottom-top
		}
		boxes = append(boxes, TextBox{r, str})
	}
	c.Begin(s.Image, s.App.Scale(), s.App.Pal)
	if top, over := s.App.Scenes.Top().(kit.Overlay[*screen.App]); over {
		top.Draw(s.App, c) // what lies beneath is not to be read
	} else {
		s.App.Scenes.Draw(s.App, c)
	}
	c.End()
	return boxes, cut
}

// CheckTexts checks that texts are shown, that none leaves the window and that none
// lies over another.
func CheckTexts(t *testing.T, s *Stage) {
	t.Helper()
	checkApart(t, s, s.Texts(), 8)
}

// checkApart checks that there are at least so many texts, that none leaves
// the window and that none lies over another.
func checkApart(t *testing.T, s *Stage, boxes []TextBox, least int) {
	t.Helper()
	if len(boxes) < least {
		t.Fatalf("only %d texts were drawn", len(boxes))
	}
	for i, a := range boxes {
		if a.Rect.X < -0.5 || a.Rect.Y < -0.5 || a.Rect.Right() > s.App.Size.X+0.5 || a.Rect.Bottom() > s.App.Size.Y+0.5 {
			t.Errorf("%q leaves the window: %.0f", a.Text, a.Rect)
		}
		for _, b := range boxes[:i] {
			w := math.Min(a.Rect.Right(), b.Rect.Right()) - math.Max(a.Rect.X, b.Rect.X)
			h := math.Min(a.Rect.Bottom(), b.Rect.Bottom()) - math.Max(a.Rect.Y, b.Rect.Y)
			if w > 1.5 && h > 1.5 && strings.TrimSpace(a.Text) != "" {
				t.Errorf("%q at %.0f lies over %q at %.0f", a.Text, a.Rect, b.Text, b.Rect)
			}
		}
	}
}
