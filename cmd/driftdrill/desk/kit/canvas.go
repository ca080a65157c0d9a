//go:build !nodesk

package kit

import (
	"bytes"
	"image"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
)

// Align says which part of a text lies at the given x.
type Align uint8

// The alignments.
const (
	Left Align = iota
	Middle
	Right
)

// Canvas draws on one image in dips. Lines and areas are gathered as triangles
// with edges of falling alpha until something else is drawn; all of it is
// written down first, and drawn at the end where it differs from what is shown.
type Canvas struct {
	Pal  *Palette
	Type *Type

	dst   *ebiten.Image
	k     float64 // pixels for a dip
	page  record  // the picture so far
	since [2]int  // its indices and vertices from here on are not yet a stroke
	shown record  // the picture that dst shows, where it is known
	white *ebiten.Image
	pts   []Point

	patient bool                   // the former picture may stay until all of this one is ready
	filled  *ebiten.Image          // holds a whole picture that may stay
	waiting bool                   // something of this picture is not ready
	drawn   int                    // pictures
	Seen    func(r Rect, s string) // told of every text, for tests
	told    func(strokes int, pixels float64)
	Dry     bool       // draws nothing, for tests that want the texts alone
	Marked  func(Mark) // told of everything that is drawn, for tests
	within  int        // marks that what is drawn now is a part of
}

// NewCanvas returns a canvas; Begin gives it an image.
func NewCanvas(t *Type) *Canvas {
	w := ebiten.NewImage(3, 3)
	w.WritePixels(bytes.Repeat([]byte{255}, 4*3*3))
	return &Canvas{Type: t, white: w.SubImage(image.Rect(1, 1, 2, 2)).(*ebiten.Image)}
}

// reserved is the width of the texture that texts and small images share,
// pixels. It is half as high in a window of up to enough pixels, which saves 8 MB.
const (
	reserved = 2048
	enough   = 1_300_000
)

// reserve makes that texture as large at once as it will ever be: to let it
// grow costs a long frame each time.
func (c *Canvas) reserve(dst *ebiten.Image) {
	op := &ebiten.DrawImageOptions{}
	op.ColorScale.ScaleAlpha(0)
	dst.DrawImage(c.white, op)
	high := reserved
	if b := dst.Bounds(); b.Dx()*b.Dy() <= enough && c.Type.scale <= 1.25 {
		high = reserved / 2
	}
	room := ebiten.NewImage(reserved-8, high-8)
	dst.DrawImage(room.SubImage(image.Rect(0, 0, 1, 1)).(*ebiten.Image), op)
	room.Deallocate()
}

// Begin starts a picture on dst with k pixels for a dip.
func (c *Canvas) Begin(dst *ebiten.Image, k float64, pal *Palette) {
	c.dst, c.k, c.Pal = dst, k, pal
	c.page.begin(dst)
	c.since = [2]int{}
	c.waiting = false
}

// End draws the picture and tells whether there was anything to draw.
func (c *Canvas) End() bool {
	c.flush()
	c.draw()
	c.shown.begin(nil) // dst may show more than this
	return len(c.page.strokes) > 0
}

// EndWhole draws a picture that covers all of dst, unless dst shows the very
// same one already; must draws it in any case. It tells whether it is another
// one. A picture that waits for something is not drawn.
func (c *Canvas) EndWhole(must bool) bool {
	c.flush()
	if c.waiting {
		return true
	}
	changed := !c.page.same(&c.shown)
	if changed || must {
		c.filled = c.page.dst
		c.draw()
		c.page, c.shown = c.shown, c.page
	}
	return changed
}

func (c *Canvas) draw() {
	if len(c.page.strokes) > 0 {
		c.page.draw(c.white)
		c.drawn++
		if c.told != nil {
			c.told(len(c.page.strokes), c.page.filled())
		}
	}
}

// mayWait tells whether the picture may come later, since dst shows a whole one.
func (c *Canvas) mayWait() bool { return c.patient && c.page.dst == c.filled }

// Scale returns the pixels of a dip.
func (c *Canvas) Scale() float64 { return c.k }

// Bounds are the pixels that may be drawn on now.
func (c *Canvas) Bounds() image.Rectangle { return c.dst.Bounds() }

// Clip draws what draw draws within r only.
func (c *Canvas) Clip(r Rect, draw func()) {
	if c.Marked != nil {
		c.tell(Mark{Kind: MarkClip, Points: r.corners()})
		defer c.tell(Mark{Kind: MarkUnclip})
	}
	c.flush()
	whole := c.dst
	c.dst = whole.SubImage(c.pixels(r)).(*ebiten.Image)
	draw()
	c.flush()
	c.dst = whole
}

// pixels are those that r touches.
func (c *Canvas) pixels(r Rect) image.Rectangle {
	return image.Rect(int(math.Floor(r.X*c.k)), int(math.Floor(r.Y*c.k)), int(math.Ceil(r.Right()*c.k)), int(math.Ceil(r.Bottom()*c.k)))
}

// Snap rounds a length or place in dips to whole pixels.
func (c *Canvas) Snap(v float64) float64 { return math.Round(v*c.k) / c.k }

// flush makes one stroke of the triangles that were gathered.
func (c *Canvas) flush() {
	p := &c.page
	if c.Dry {
		p.vs, p.is = p.vs[:0], p.is[:0]
		return
	}
	if len(p.is) > c.since[0] {
		p.close(c.dst, c.since[0], c.since[1])
	}
	c.since = [2]int{len(p.is), len(p.vs)}
}

// Stamp draws the part of an image within src as op says. changes counts how
// often its pixels were changed.
func (c *Canvas) Stamp(img *ebiten.Image, src image.Rectangle, changes int, op ebiten.DrawImageOptions) {
	if c.Marked != nil {
		x0, y0 := op.GeoM.Apply(0, 0)
		x1, y1 := op.GeoM.Apply(float64(src.Dx()), float64(src.Dy()))
		c.tell(Mark{Kind: MarkImage, Points: []Point{{x0 / c.k, y0 / c.k}, {x1 / c.k, y1 / c.k}}, Image: img.SubImage(src).(*ebiten.Image), Op: &op})
	}
	c.flush()
	if !c.Dry {
		c.page.strokes = append(c.page.strokes, stroke{dst: c.dst, within: c.dst.Bounds(), image: img, src: src, changes: changes, op: op})
	}
}

// vertex adds one in pixels.
func (c *Canvas) vertex(x, y float64, col Color, a float64) uint32 {
	al := col.A * float32(a)
	c.page.vs = append(c.page.vs, ebiten.Vertex{DstX: float32(x), DstY: float32(y), SrcX: 1.5, SrcY: 1.5,
		ColorR: col.R * al, ColorG: col.G * al, ColorB: col.B * al, ColorA: al})
	return uint32(len(c.page.vs) - 1)
}

func (c *Canvas) quad(a, b, d, e uint32) { c.page.is = append(c.page.is, a, b, d, b, e, d) }

// Rect fills a rectangle, its edges snapped to pixels.
func (c *Canvas) Rect(r Rect, col Color) {
	if c.Marked != nil {
		c.tell(Mark{Kind: MarkRect, Points: r.corners(), Colors: [2]Color{col}})
	}
	x0, y0 := math.Round(r.X*c.k), math.Round(r.Y*c.k)
	x1, y1 := math.Round(r.Right()*c.k), math.Round(r.Bottom()*c.k)
	c.quad(c.vertex(x0, y0, col, 1), c.vertex(x1, y0, col, 1), c.vertex(x0, y1, col, 1), c.vertex(x1, y1, col, 1))
}

// Gradient fills a rectangle from one colour at the top to another at the bottom.
func (c *Canvas) Gradient(r Rect, top, bottom Color) {
	if c.Marked != nil {
		c.tell(Mark{Kind: MarkFade, Points: r.corners(), Colors: [2]Color{top, bottom}})
	}
	x0, y0 := math.Round(r.X*c.k), math.Round(r.Y*c.k)
	x1, y1 := math.Round(r.Right()*c.k), math.Round(r.Bottom()*c.k)
	c.quad(c.vertex(x0, y0, top, 1), c.vertex(x1, y0, top, 1), c.vertex(x0, y1, bottom, 1), c.vertex(x1, y1, bottom, 1))
}

// HLine draws a horizontal hairline, snapped, at least a pixel thick.
func (c *Canvas) HLine(x0, x1, y, width float64, col Color) {
	w := math.Max(1, math.Round(width*c.k)) / c.k
	c.Rect(Rect{x0, c.Snap(y), x1 - x0, w}, col)
}

// VLine draws a vertical hairline, snapped, at least a pixel thick.
func (c *Canvas) VLine(x, y0, y1, width float64, col Color) {
	w := math.Max(1, math.Round(width*c.k)) / c.k
	c.Rect(Rect{c.Snap(x), y0, w, y1 - y0}, col)
}

// Line draws a straight line with smooth edges.
func (c *Canvas) Line(x0, y0, x1, y1, width float64, col Color) {
	c.pts = append(c.pts[:0], Point{x0, y0}, Point{x1, y1})
	c.Polyline(c.pts, width, col, false)
}

// Polyline draws a line through the points with smooth edges.
func (c *Canvas) Polyline(p []Point, width float64, col Color, closed bool) {
	if c.Marked != nil {
		c.tell(Mark{Kind: MarkLine, Points: p, Sizes: [3]float64{width}, Colors: [2]Color{col}, Closed: closed})
	}
	n := len(p)
	if n < 2 {
		return
	}
	half := math.Max(width*c.k, 1)/2 - 0.5 // the solid core; half a pixel of ramp on each side
	outer := half + 1
	first, last := uint32(len(c.page.vs)), uint32(0)
	for i := range p {
		nx, ny := joint(p, i, closed)
		x, y := p[i].X*c.k, p[i].Y*c.k
		a := c.vertex(x+nx*outer, y+ny*outer, col, 0)
		c.vertex(x+nx*half, y+ny*half, col, 1)
		c.vertex(x-nx*half, y-ny*half, col, 1)
		c.vertex(x-nx*outer, y-ny*outer, col, 0)
		if i > 0 {
			c.band(last, a)
		}
		last = a
	}
	if closed {
		c.band(last, first)
	}
}

func (c *Canvas) band(a, b uint32) {
	for j := uint32(0); j < 3; j++ {
		c.quad(a+j, a+j+1, b+j, b+j+1)
	}
}

// joint returns the normal at point i, lengthened at corners so that the line keeps its width.
func joint(p []Point, i int, closed bool) (nx, ny float64) {
	n := len(p)
	prev, next := i-1, i+1
	if closed {
		prev, next = (i+n-1)%n, (i+1)%n
	}
	ax, ay, okA := normal(p, prev, i)
	bx, by, okB := normal(p, i, next)
	if !okA {
		return bx, by
	}
	if !okB {
		return ax, ay
	}
	mx, my := ax+bx, ay+by
	d := mx*mx + my*my
	if d < 0.5 { // a sharp turn: do not shoot out
		return bx, by
	}
	return mx * 2 / d, my * 2 / d
}

func normal(p []Point, i, j int) (nx, ny float64, ok bool) {
	if i < 0 || j < 0 || i >= len(p) || j >= len(p) {
		return 0, 0, false
	}
	dx, dy := p[j].X-p[i].X, p[j].Y-p[i].Y
	l := math.Hypot(dx, dy)
	if l < 1e-9 {
		return 0, 0, false
	}
	return -dy / l, dx / l, true
}

// Dashes draws a line through the points as dashes of the given length and gap.
func (c *Canvas) Dashes(p []Point, width, dash, gap float64, col Color) {
	if c.Marked != nil {
		defer c.as(Mark{Kind: MarkDashes, Points: p, Sizes: [3]float64{width, dash, gap}, Colors: [2]Color{col}})()
	}
	at, on := 0.0, true
	for i := 1; i < len(p); i++ {
		dx, dy := p[i].X-p[i-1].X, p[i].Y-p[i-1].Y
		l := math.Hypot(dx, dy)
		for done := 0.0; done < l; {
			want := dash
			if !on {
				want = gap
			}
			step := math.Min(want-at, l-done)
			if on && step > 0 {
				f0, f1 := done/l, (done+step)/l
				c.Line(p[i-1].X+dx*f0, p[i-1].Y+dy*f0, p[i-1].X+dx*f1, p[i-1].Y+dy*f1, width, col)
			}
			at, done = at+step, done+step
			if at >= want-1e-9 {
				at, on = 0, !on
			}
		}
	}
}

// Under fills between the points (x rising) and a base line, from top alpha to bottom alpha.
func (c *Canvas) Under(p []Point, base float64, col Color, top, bottom float64) {
	if c.Marked != nil {
		c.tell(Mark{Kind: MarkUnder, Points: p, Sizes: [3]float64{base}, Colors: [2]Color{col.Alpha(top), col.Alpha(bottom)}})
	}
	if len(p) < 2 {
		return
	}
	var last uint32
	for i := range p {
		x, y := p[i].X*c.k, math.Min(p[i].Y, base)*c.k
		a := c.vertex(x, y-0.5, col, 0)
		c.vertex(x, math.Min(y+0.5, base*c.k), col, top)
		c.vertex(x, base*c.k, col, bottom)
		if i > 0 {
			c.quad(last, last+1, a, a+1)
			c.quad(last+1, last+2, a+1, a+2)
		}
		last = a
	}
}

// Convex fills a convex polygon with smooth edges.
func (c *Canvas) Convex(p []Point, col Color) {
	if c.Marked != nil {
		c.tell(Mark{Kind: MarkShape, Points: p, Colors: [2]Color{col}})
	}
	n := len(p)
	if n < 3 {
		return
	}
	var m Point
	for _, q := range p {
		m.X, m.Y = m.X+q.X/float64(n), m.Y+q.Y/float64(n)
	}
	mid := c.vertex(m.X*c.k, m.Y*c.k, col, 1)
	first := uint32(len(c.page.vs))
	for i, q := range p {
		nx, ny := joint(p, i, true)
		if nx*(q.X-m.X)+ny*(q.Y-m.Y) < 0 {
			nx, ny = -nx, -ny
		}
		c.vertex(q.X*c.k-nx*0.5, q.Y*c.k-ny*0.5, col, 1)
		c.vertex(q.X*c.k+nx*0.5, q.Y*c.k+ny*0.5, col, 0)
	}
	for i := range p {
		a, b := first+uint32(2*i), first+uint32(2*((i+1)%n))
		c.page.is = append(c.page.is, mid, a, b)
		c.quad(a, a+1, b, b+1)
	}
}

// Disc fills a circle.
func (c *Canvas) Disc(x, y, r float64, col Color) { c.Convex(c.circle(x, y, r), col) }

// Ring strokes a circle.
func (c *Canvas) Ring(x, y, r, width float64, col Color) {
	c.Polyline(c.circle(x, y, r), width, col, true)
}

func (c *Canvas) circle(x, y, r float64) []Point {
	n := int(Clamp(math.Sqrt(r*c.k)*6, 12, 160))
	c.pts = c.pts[:0]
	for i := 0; i < n; i++ {
		s, co := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		c.pts = append(c.pts, Point{x + r*co, y + r*s})
	}
	return c.pts
}

// Arc strokes a part of a circle; angles in radians, clockwise from the right.
func (c *Canvas) Arc(x, y, r, from, to, width float64, col Color) {
	n := int(Clamp(math.Abs(to-from)*math.Sqrt(r*c.k)*2, 6, 160))
	c.pts = c.pts[:0]
	for i := 0; i <= n; i++ {
		s, co := math.Sincos(Lerp(from, to, float64(i)/float64(n)))
		c.pts = append(c.pts, Point{x + r*co, y + r*s})
	}
	c.Polyline(c.pts, width, col, false)
}

// RoundRect fills a rectangle with round corners.
func (c *Canvas) RoundRect(r Rect, radius float64, col Color) { c.Convex(c.rounded(r, radius), col) }

// RoundFrame strokes a rectangle with round corners.
func (c *Canvas) RoundFrame(r Rect, radius, width float64, col Color) {
	c.Polyline(c.rounded(r, radius), width, col, true)
}

func (c *Canvas) rounded(r Rect, radius float64) []Point {
	radius = math.Min(radius, math.Min(r.W, r.H)/2)
	c.pts = c.pts[:0]
	const n = 6
	for q := 0; q < 4; q++ {
		cx, cy := r.Right()-radius, r.Bottom()-radius
		if q == 1 || q == 2 {
			cx = r.X + radius
		}
		if q >= 2 {
			cy = r.Y + radius
		}
		for i := 0; i <= n; i++ {
			s, co := math.Sincos((float64(q) + float64(i)/n) * math.Pi / 2)
			c.pts = append(c.pts, Point{cx + radius*co, cy + radius*s})
		}
	}
	return c.pts
}

// Image draws an image made for this scale with its corner at x, y (dips), on whole pixels.
func (c *Canvas) Image(img *ebiten.Image, x, y float64, tint Color) {
	var op ebiten.DrawImageOptions
	op.GeoM.Translate(math.Round(x*c.k), math.Round(y*c.k))
	op.ColorScale.ScaleWithColor(tint)
	c.Stamp(img, img.Bounds(), 0, op)
}

// ImageTurned draws an image turned by angle (radians) about its middle, which lies at x, y.
func (c *Canvas) ImageTurned(img *ebiten.Image, x, y, angle float64, alpha float64) {
	op := ebiten.DrawImageOptions{Filter: ebiten.FilterLinear}
	b := img.Bounds()
	op.GeoM.Translate(-float64(b.Dx())/2, -float64(b.Dy())/2)
	op.GeoM.Rotate(angle)
	op.GeoM.Translate(x*c.k, y*c.k)
	op.ColorScale.ScaleAlpha(float32(alpha))
	c.Stamp(img, b, 0, op)
}

// Text draws a string with its baseline at y and returns its width, dips.
func (c *Canvas) Text(x, y float64, str string, s Style, col Color, a Align) float64 {
	if str == "" {
		return 0
	}
	if c.Marked != nil {
		defer c.as(Mark{Kind: MarkText, Points: []Point{{x, y}}, Text: str, Style: s, Align: a, Colors: [2]Color{col}})()
	}
	e := c.Type.set(str, s)
	px := x * c.k
	switch a {
	case Middle:
		px -= e.width / 2
	case Right:
		px -= e.width
	}
	if e.image != nil {
		if c.Seen != nil {
			c.Seen(Rect{px / c.k, y - c.Type.Size(s)*0.72, e.width / c.k, c.Type.Size(s) * 0.74}, str)
		}
		var op ebiten.DrawImageOptions
		op.GeoM.Translate(math.Round(px)-2, math.Round(y*c.k-e.ascent))
		op.ColorScale.ScaleWithColor(col)
		c.Stamp(e.image, e.image.Bounds(), 0, op)
	}
	return e.width / c.k
}

// Digits draws a string of a mono face rune by rune, so that a figure that
// changes often costs no new images. It returns the width, dips.
func (c *Canvas) Digits(x, y float64, str string, s Style, col Color, a Align) float64 {
	if c.Marked != nil {
		defer c.as(Mark{Kind: MarkDigits, Points: []Point{{x, y}}, Text: str, Style: s, Align: a, Colors: [2]Color{col}})()
	}
	cell := c.Type.set("0", s).width / c.k
	n := 0
	for range str {
		n++
	}
	w := cell * float64(n)
	switch a {
	case Middle:
		x -= w / 2
	case Right:
		x -= w
	}
	for _, r := range str {
		c.Text(x, y, string(r), s, col, Left)
		x += cell
	}
	return w
}

// Paragraph draws wrapped text from the first baseline y on and returns the baseline after the last line.
func (c *Canvas) Paragraph(x, y, width float64, str string, s Style, col Color) float64 {
	for _, line := range c.Type.Wrap(str, s, width) {
		c.Text(x, y, line, s, col, Left)
		y += c.Type.LineHeight(s)
	}
	return y
}
