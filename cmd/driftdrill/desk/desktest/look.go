//go:build !nodesk

package desktest

import (
	"math"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
)

// Seen is a picture of its own and the texts on it.
type Seen struct {
	Stage *Stage // that it was drawn on
	boxes []TextBox
}

// Look draws something on bare ground.
func Look(s *Stage, draw func(c *kit.Canvas)) Seen {
	out := Seen{Stage: s}
	c := kit.NewCanvas(s.App.Type)
	c.Seen = func(r kit.Rect, str string) { out.boxes = append(out.boxes, TextBox{r, str}) }
	c.Begin(s.Image, 1, s.App.Pal)
	c.Rect(kit.Box(0, 0, s.App.Size.X, s.App.Size.Y), s.App.Pal.Ground)
	draw(c)
	c.End()
	return out
}

// Where is the middle of a text.
func (v Seen) Where(t *testing.T, str string) kit.Point {
	t.Helper()
	for _, b := range v.boxes {
		if b.Text == str {
			return b.Rect.Centre()
		}
	}
	t.Fatalf("%q is not written", str)
	return kit.Point{}
}

// Text is everything that is written, in the order of drawing.
func (v Seen) Text() string {
	var all []string
	for _, b := range v.boxes {
		all = append(all, b.Text)
	}
	return strings.Join(all, " | ")
}

// Yours counts the pixels within r in the colour of what is one's own.
func (v Seen) Yours(r kit.Rect) (n int) {
	img := kittest.ReadBack(v.Stage.Image)
	want := v.Stage.App.Pal.Yours
	for y := int(r.Y); y < int(r.Bottom()); y++ {
		for x := int(r.X); x < int(r.Right()); x++ {
			p := img.RGBAAt(x, y)
			off := math.Abs(float64(p.R)/255-float64(want.R)) + math.Abs(float64(p.G)/255-float64(want.G)) + math.Abs(float64(p.B)/255-float64(want.B))
			n += kit.Count(off < 0.1)
		}
	}
	return n
}

// Hearing puts the ears-only mode on and writes down what is said.
func Hearing(s *Stage) *[]string {
	var said []string
	s.App.Set.EarsOnly = true
	s.App.Cfg.Speak = func(text string) { said = append(said, text) }
	return &said
}
