//go:build !nodesk

package kit

import "github.com/hajimehoshi/ebiten/v2"

// MarkKind says what a Mark is.
type MarkKind uint8

// What a canvas can be asked to draw.
const (
	MarkRect   MarkKind = iota // a filled rectangle: two corners
	MarkFade                   // the same, from one colour to another
	MarkLine                   // a line through points
	MarkDashes                 // the same in dashes
	MarkShape                  // a filled polygon
	MarkUnder                  // an area under a line, down to a base
	MarkText                   // a text: its anchor on the baseline
	MarkDigits                 // a text in cells of one width
	MarkImage                  // an image: its corner
	MarkClip                   // what follows is seen within two corners only
	MarkUnclip                 // no longer
)

// Mark is one thing that a canvas was asked to draw, told to tests as it is
// asked for: in dips, before anything becomes triangles.
type Mark struct {
	Kind   MarkKind
	Points []Point    // valid until the canvas is asked for something else
	Colors [2]Color   // the second where there are two
	Sizes  [3]float64 // width of a line, dash, gap; the base of MarkUnder
	Closed bool       // a line that ends where it begins
	Text   string
	Style  Style
	Align  Align
	Image  *ebiten.Image
	Op     *ebiten.DrawImageOptions
}

// tell tells of a mark, but of none that others are drawn by.
func (c *Canvas) tell(m Mark) {
	if c.within == 0 {
		c.Marked(m)
	}
}

// as tells of a mark and keeps quiet about what it is drawn by until the function
// that it returns is called.
func (c *Canvas) as(m Mark) (done func()) {
	c.tell(m)
	c.within++
	return func() { c.within-- }
}
