//go:build !nodesk

package desktest

import (
	"fmt"
	"image"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/testdata/race"

	"github.com/hajimehoshi/ebiten/v2"
)

// drawnLooks are the looks in which drawings are compared: as most people see
// them, with text as large as it gets in the smallest window, and in a large one.
var drawnLooks = []struct {
	w, h    int
	text    float64
	palette string
}{{1280, 720, 1, "night"}, {960, 600, 2.5, "sun"}, {1920, 1200, 1.3, "night"}}

// Drawings compares what views draw, mark by mark, with lists that were looked at:
// a text that moves by a dip, a line that is missing, a colour that is another one
// fails. The lists stand in testdata/drawn; -update writes them anew.
func Drawings(t *testing.T, views []View) {
	kittest.NeedWindow(t)
	for _, v := range views {
		v.drawing(t, func(lines []string, _ int) []string { return lines })
	}
}

// DrawingsLike is Drawings for states of a screen that draw much of what another
// one does: only what differs from that is kept, with - and +.
func DrawingsLike(t *testing.T, like View, views []View) {
	kittest.NeedWindow(t)
	var plain [][]string
	for look := range drawnLooks {
		plain = append(plain, like.drawn(t, look))
	}
	for _, v := range views {
		v.drawing(t, func(lines []string, look int) []string { return changes(plain[look], lines) })
	}
}

// DrawingsTight is Drawings in two windows more: a small one with text just too
// large for two columns, and a tall one.
func DrawingsTight(t *testing.T, views []View) {
	kittest.NeedWindow(t)
	if race.On {
		t.Skip("draws on one goroutine")
	}
	for _, v := range views {
		name := "tight-" + strings.ReplaceAll(v.Name, " ", "-")
		t.Run(name, func(t *testing.T) {
			var all []string
			for _, size := range []image.Point{{X: 960, Y: 600}, {X: 1000, Y: 1600}} {
				s := BareStage(t, size.X, size.Y, 1.3, "night")
				v.Put(s)
				all = append(append(all, fmt.Sprintf("== %dx%d, text 130 %%, night", size.X, size.Y)), s.Drawn()...)
			}
			CompareDrawn(t, filepath.Join("testdata", "drawn", name+".txt"), all)
		})
	}
}

// drawing compares a view in all looks with its file; what is kept of them says keep.
func (v View) drawing(t *testing.T, keep func(lines []string, look int) []string) {
	name := strings.ReplaceAll(v.Name, " ", "-")
	t.Run(name, func(t *testing.T) {
		var all []string
		for i, l := range drawnLooks {
			all = append(all, fmt.Sprintf("== %dx%d, text %.0f %%, %s", l.w, l.h, 100*l.text, l.palette))
			all = append(all, keep(v.drawn(t, i), i)...)
		}
		CompareDrawn(t, filepath.Join("testdata", "drawn", name+".txt"), all)
	})
}

// drawn is what a view draws in a look.
func (v View) drawn(t *testing.T, look int) []string {
	l := drawnLooks[look]
	s := BareStage(t, l.w, l.h, l.text, l.palette)
	v.Put(s)
	return s.Drawn()
}

// Drawn is what the uppermost scene draws, a line for each mark: what lies beneath an
// overlay has a drawing of its own.
func (s *Stage) Drawn() []string {
	return s.DrawnBy(func(c *kit.Canvas) { s.App.Scenes.Top().Draw(s.App, c) })
}

// DrawnBy is what something draws, a line for each mark.
func (s *Stage) DrawnBy(draw func(c *kit.Canvas)) []string {
	w := writer{pal: s.App.Pal, means: map[*ebiten.Image]string{}}
	c := kit.NewCanvas(s.App.Type)
	c.Marked = w.mark
	c.Begin(s.Image, s.App.Scale(), s.App.Pal)
	draw(c)
	return w.lines // without End nothing is drawn
}

// writer writes marks down.
type writer struct {
	pal   *kit.Palette
	lines []string
	depth int                      // of clips
	means map[*ebiten.Image]string // the colours of images
}

func (w *writer) mark(m kit.Mark) {
	if m.Kind == kit.MarkUnclip {
		w.depth--
		return
	}
	w.lines = append(w.lines, strings.Repeat("  ", w.depth)+w.words(m))
	w.depth += kit.Count(m.Kind == kit.MarkClip)
}

// words describe one mark.
func (w *writer) words(m kit.Mark) string {
	ink := w.ink(m.Colors[0])
	switch m.Kind {
	case kit.MarkRect:
		return fmt.Sprintf("rect %s, %s", corners(m.Points), ink)
	case kit.MarkFade:
		return fmt.Sprintf("fade %s, %s to %s", corners(m.Points), ink, w.ink(m.Colors[1]))
	case kit.MarkLine:
		kind := "line"
		if m.Closed {
			kind = "loop"
		}
		return fmt.Sprintf("%s %s, %.1f wide, %s", kind, points(m.Points, 7), m.Sizes[0], ink)
	case kit.MarkDashes:
		return fmt.Sprintf("dashes %s, %.1f wide, %.1f and %.1f long, %s", points(m.Points, 7), m.Sizes[0], m.Sizes[1], m.Sizes[2], ink)
	case kit.MarkShape:
		return fmt.Sprintf("shape %s, %s", points(m.Points, 3), ink)
	case kit.MarkUnder:
		return fmt.Sprintf("under %s, down to %.1f, %s to %s", points(m.Points, 7), m.Sizes[0], ink, w.ink(m.Colors[1]))
	case kit.MarkText, kit.MarkDigits:
		kind := "text"
		if m.Kind == kit.MarkDigits {
			kind = "digits"
		}
		face := []string{"regular", "medium", "bold", "italic", "mono", "mono bold"}[m.Style.Face]
		return fmt.Sprintf("%s %q %s of %s, %s %.2f, %s", kind, m.Text, []string{"right", "either side", "left"}[m.Align], place(m.Points[0]), face, m.Style.Size, ink)
	case kit.MarkImage:
		return fmt.Sprintf("image %s, %s", corners(m.Points), w.image(m))
	case kit.MarkClip:
		return "within " + corners(m.Points)
	}
	return "?"
}

func place(p kit.Point) string { return fmt.Sprintf("%.1f,%.1f", p.X, p.Y) }

func corners(p []kit.Point) string { return place(p[0]) + " to " + place(p[1]) }

// points describe a way: all of a short one, so many of a long one and its bounds.
func points(p []kit.Point, most int) string {
	var at []string
	if len(p) <= most {
		for _, q := range p {
			at = append(at, place(q))
		}
		return strings.Join(at, " ")
	}
	low, high := p[0], p[0]
	for _, q := range p {
		low.X, low.Y = math.Min(low.X, q.X), math.Min(low.Y, q.Y)
		high.X, high.Y = math.Max(high.X, q.X), math.Max(high.Y, q.Y)
	}
	for i := range most {
		at = append(at, place(p[i*(len(p)-1)/(most-1)]))
	}
	return fmt.Sprintf("of %d points in %s: %s", len(p), corners([]kit.Point{low, high}), strings.Join(at, " "))
}

// ink names a colour: as the palette does, or by its parts, of 255.
func (w *writer) ink(c kit.Color) string {
	name := fmt.Sprintf("colour %.1f/%.1f/%.1f", 255*c.R, 255*c.G, 255*c.B)
	p := reflect.ValueOf(*w.pal)
	for i := range p.NumField() {
		if of, ok := p.Field(i).Interface().(kit.Color); ok && of.R == c.R && of.G == c.G && of.B == c.B {
			name = p.Type().Field(i).Name
			break
		}
	}
	if c.A != 1 {
		name += fmt.Sprintf(" at %.1f %%", 100*c.A)
	}
	return name
}

// image tells the mean colour of an image and how it is tinted.
func (w *writer) image(m kit.Mark) string {
	colour, ok := w.means[m.Image]
	if !ok {
		colour = mean(kittest.ReadBack(m.Image)) + " on average"
		w.means[m.Image] = colour
	}
	tint := m.Op.ColorScale
	if tint.R() != 1 || tint.G() != 1 || tint.B() != 1 || tint.A() != 1 {
		colour += fmt.Sprintf(", tinted %.2f/%.2f/%.2f/%.2f", tint.R(), tint.G(), tint.B(), tint.A())
	}
	return colour
}

// Painted is the mean colour of each tile of a picture, n of them across, row by row.
func Painted(img *image.RGBA, n int) (lines []string) {
	b := img.Bounds()
	size := max(b.Dx()/n, 1)
	for y := b.Min.Y; y < b.Max.Y; y += size {
		var row []string
		for x := b.Min.X; x < b.Max.X; x += size {
			tile := img.SubImage(image.Rect(x, y, x+size, y+size)).(*image.RGBA)
			row = append(row, mean(tile))
		}
		lines = append(lines, strings.Join(row, " "))
	}
	return lines
}

// mean is the mean colour of a picture, with its alpha, each of 255.
func mean(img *image.RGBA) string {
	var sum [4]float64
	b := img.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			for i, v := range img.Pix[img.PixOffset(x, y):][:4] {
				sum[i] += float64(v)
			}
		}
	}
	n := math.Max(float64(b.Dx()*b.Dy()), 1)
	return fmt.Sprintf("%.1f/%.1f/%.1f/%.1f", sum[0]/n, sum[1]/n, sum[2]/n, sum[3]/n)
}

// CompareDrawn compares lines with those of a file.
func CompareDrawn(t *testing.T, path string, got []string) {
	t.Helper()
	if kittest.Updating() {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(strings.Join(got, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v: run with -update and look at it", err)
	}
	if off := differences(strings.Split(strings.TrimSpace(string(text)), "\n"), got); off != nil {
		t.Errorf("not drawn as in %s (- it was, + it is; if it is to be so, run with -update and look at the pictures):\n%s", path, strings.Join(off, "\n"))
	}
}
