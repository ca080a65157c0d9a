package report

import (
	"bytes"
	"fmt"
	"html"
	"math"
	"regexp"
	"strconv"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// chart is one drawing of the page: a plot whose frame sits where it is told,
// so that two charts under each other share their time axis. One point of the
// plotting library is one unit of the drawing.
type chart struct {
	*plot.Plot
	title         string
	width, height float64
	frame         box
}

// box is the frame of the data: distances from the drawing's left and top edges.
type box struct{ left, right, top, bottom float64 }

// The distance of the axes' words from the frame.
const (
	besideFrame = 6
	belowFrame  = 20
)

// newChart is an empty frame with the data x0..x1 and y0..y1 at its edges.
func newChart(title string, width, height float64, frame box, x0, x1, y0, y1 float64) *chart {
	c := &chart{Plot: plot.New(), title: title, width: width, height: height, frame: frame}
	c.BackgroundColor = nil
	c.X.Min, c.X.Max, c.Y.Min, c.Y.Max = x0, x1, y0, y1
	for _, a := range []*plot.Axis{&c.X, &c.Y} {
		a.Width, a.Tick.Width, a.Tick.Length = 0, 0, 0
		a.Tick.Marker = plot.ConstantTicks(nil)
		a.Tick.Label = lettering(inkDim, a.Tick.Label.XAlign)
	}
	c.X.Padding, c.Y.Padding = belowFrame, besideFrame
	c.Y.Tick.Label.YAlign = text.YCenter
	c.area(inkPanel, x0, x1, y0, y1)
	return c
}

// lay puts plotters on the chart that neither widen its axes nor move its frame.
func (c *chart) lay(ps ...plot.Plotter) {
	for _, p := range ps {
		c.Add(struct{ plot.Plotter }{p})
	}
}

// rules draws a thin line at each tick of the axes.
func (c *chart) rules() {
	c.lay(&plotter.Grid{Vertical: pen(inkRule, 1), Horizontal: pen(inkRule, 1)})
}

// area fills a rectangle.
func (c *chart) area(k ink, x0, x1, y0, y1 float64) {
	if x1 > x0 && y1 > y0 {
		c.lay(&plotter.Polygon{XYs: []plotter.XYs{{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}}, Color: k})
	}
}

// line draws a straight line.
func (c *chart) line(style draw.LineStyle, x0, y0, x1, y1 float64) {
	c.lay(&plotter.Line{XYs: plotter.XYs{{X: x0, Y: y0}, {X: x1, Y: y1}}, LineStyle: style})
}

// word writes at a place of the data, moved by so much to the right and up.
func (c *chart) word(style text.Style, x, y, right, up float64, s string) {
	c.lay(&plotter.Labels{XYs: plotter.XYs{{X: x, Y: y}}, Labels: []string{s}, TextStyle: []text.Style{style},
		Offset: vg.Point{X: vg.Length(right), Y: vg.Length(up)}})
}

// dot draws a disc.
func (c *chart) dot(k ink, x, y, radius float64) {
	c.lay(&plotter.Scatter{XYs: plotter.XYs{{X: x, Y: y}}, GlyphStyle: draw.GlyphStyle{Color: k, Radius: vg.Length(radius), Shape: draw.CircleGlyph{}}})
}

// within keeps a place on the time axis so far from the frame's ends.
func (c *chart) within(x, distance float64) float64 {
	d := distance / (c.frame.right - c.frame.left) * (c.X.Max - c.X.Min)
	return math.Max(c.X.Min+d, math.Min(c.X.Max-d, x))
}

// inFrame holds a value at the frame's edge where it lies outside.
func (c *chart) inFrame(y float64) float64 { return math.Max(c.Y.Min, math.Min(c.Y.Max, y)) }

// curve draws a line through n points; NaN breaks it.
func (c *chart) curve(style draw.LineStyle, n int, at func(i int) (x, y float64)) {
	column := 2 * (c.frame.right - c.frame.left) / math.Max(c.X.Max-c.X.Min, 1e-9)
	for _, run := range thin(n, column, func(i int) (float64, float64) {
		x, y := at(i)
		return x, c.inFrame(y)
	}) {
		c.lay(&plotter.Line{XYs: run, LineStyle: style})
	}
}

// thin breaks points at NaN into runs, and keeps of those that fall into the
// same column (so many to one unit of x) the extremes and the last: a spike of
// a single sample stays in sight, a run of an hour stays a small page.
func thin(n int, columns float64, at func(i int) (x, y float64)) []plotter.XYs {
	var runs []plotter.XYs
	var run plotter.XYs
	column, from := math.Inf(-1), 0 // the column being filled, and where it begins in run
	for i := range n {
		x, y := at(i)
		if math.IsNaN(x) || math.IsNaN(y) {
			if len(run) > 0 {
				runs = append(runs, run)
			}
			run, column = nil, math.Inf(-1)
			continue
		}
		if c := math.Round(x * columns); c != column {
			column, from = c, len(run)
		}
		run = squeeze(run, from, plotter.XY{X: column / columns, Y: y})
	}
	if len(run) > 0 {
		runs = append(runs, run)
	}
	return runs
}

// squeeze adds a point to a column of run that begins at from, and leaves of the
// column its lowest, its highest and its last point, in the order they came.
func squeeze(run plotter.XYs, from int, p plotter.XY) plotter.XYs {
	run = append(run, p)
	column, lo, hi := run[from:], 0, 0
	for i, q := range column {
		if q.Y < column[lo].Y {
			lo = i
		}
		if q.Y > column[hi].Y {
			hi = i
		}
	}
	kept := run[:from]
	for i, q := range column {
		if i == lo || i == hi || i == len(column)-1 {
			kept = append(kept, q)
		}
	}
	return kept
}

// band fills between two curves.
func (c *chart) band(k ink, n int, at func(i int) (x, low, high float64)) {
	ring := make(plotter.XYs, 2*n)
	for i := range n {
		x, lo, hi := at(i)
		ring[i], ring[2*n-1-i] = plotter.XY{X: x, Y: c.inFrame(hi)}, plotter.XY{X: x, Y: c.inFrame(lo)}
	}
	if n > 0 {
		c.lay(&plotter.Polygon{XYs: []plotter.XYs{ring}, Color: k})
	}
}

// svg returns the drawing for the page.
func (c *chart) svg() string {
	canvas := vgsvg.New(vg.Length(c.width), vg.Length(c.height))
	c.Draw(draw.Crop(draw.New(canvas), vg.Length(c.frame.left-besideFrame), vg.Length(c.frame.right-c.width),
		vg.Length(c.height-c.frame.bottom-belowFrame), vg.Length(-c.frame.top)))
	var b bytes.Buffer
	if _, err := canvas.WriteTo(&b); err != nil {
		return "" // a bytes.Buffer takes all that is written
	}
	title := html.EscapeString(c.title)
	_, body, _ := strings.Cut(b.String(), "<g ")
	return fmt.Sprintf(`<svg viewBox="0 0 %g %g" role="img" aria-label="%s"><title>%s</title><g %s`, c.width, c.height, title, title, forPage(body))
}

// An ink is a colour by its name in the page's style sheet. The plotting
// library writes fixed colours only, and the page has two sets of them, one for
// the screen and one for paper: so a drawing is made in stand-in colours, the
// ink's number as the blue of an RGB colour, and forPage puts the style
// sheet's custom properties in their place.
type ink uint8

const (
	_ ink = iota // black is left out of the SVG text as its default
	inkPanel
	inkOver
	inkTone
	inkRule
	inkDim
	inkInk
	inkYours
	inkOthers
	inkMark
	inkMarkInk
	inkSpan
	inkSpread
	inkBelt
)

var inkNames = [...]string{inkPanel: "panel", inkOver: "over", inkTone: "tone", inkRule: "rule", inkDim: "dim", inkInk: "ink", inkYours: "yours",
	inkOthers: "others", inkMark: "mark", inkMarkInk: "mark-ink", inkSpan: "span", inkSpread: "spread", inkBelt: "belt"}

// RGBA is the stand-in colour; half a step keeps rounding on the way off the next one.
func (k ink) RGBA() (r, g, b, a uint32) { return 0, 0, uint32(k)*0x101 + 0x80, 0xffff }

var (
	standIn  = regexp.MustCompile(`#0000[0-9A-F]{2}`)
	typeface = regexp.MustCompile(`font-family:[^;"]*;font-variant:(\w+);font-weight:(\w+);font-style:normal;font-size:([^;"]*);`)
)

// forPage gives a drawing's stand-in colours their names in the style sheet
// and leaves the typeface to it: a browser sets text as text, in the page's
// type, anchored at its start, middle or end.
func forPage(svg string) string {
	svg = standIn.ReplaceAllStringFunc(svg, func(s string) string {
		k, _ := strconv.ParseUint(s[1:], 16, 32)
		if k == 0 || int(k) >= len(inkNames) {
			return s
		}
		return "var(--" + inkNames[k] + ")"
	})
	return typeface.ReplaceAllStringFunc(svg, func(s string) string {
		m := typeface.FindStringSubmatch(s)
		out := "text-anchor:" + m[1] + ";"
		if m[2] == "bold" {
			out += "font-weight:bold;font-size:" + m[3] + ";"
		}
		return out
	})
}

// pen is a line of an ink and a width, broken by dashes and gaps if there are any.
func pen(k ink, width float64, dashes ...vg.Length) draw.LineStyle {
	return draw.LineStyle{Color: k, Width: vg.Length(width), Dashes: dashes}
}

// lettering is the style of a word of the page's size, at a baseline.
func lettering(k ink, align text.XAlignment) text.Style {
	return text.Style{Color: k, Font: font.From(plot.DefaultFont, 15), XAlign: align, Handler: pageType}
}

// anchored writes text that the browser sets. Its width is not known here, so
// it takes no room, and the anchor travels in place of the font's variant.
type anchored struct{ text.Plain }

var pageType = anchored{text.Plain{Fonts: font.DefaultCache}}

func (anchored) Extents(font.Font) font.Extents                     { return font.Extents{} }
func (anchored) Box(string, font.Font) (w, height, depth vg.Length) { return 0, 0, 0 }

// Draw writes one line: the baseline at pt, or a third of the size below it where the style centres.
func (t anchored) Draw(c vg.Canvas, s string, style text.Style, pt vg.Point) {
	if strings.TrimSpace(s) == "" {
		return
	}
	face := t.Fonts.Lookup(style.Font, style.Font.Size)
	switch style.XAlign {
	case text.XLeft:
		face.Font.Variant = "start"
	case text.XCenter:
		face.Font.Variant = "middle"
	default:
		face.Font.Variant = "end"
	}
	if style.YAlign == text.YCenter {
		pt.Y -= style.Font.Size / 3
	}
	c.SetColor(style.Color)
	c.FillString(face, pt, s)
}
