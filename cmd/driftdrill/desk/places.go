//go:build !nodesk

package desk

import "math"

// deskPlaces is where the desk's instruments lie, dips.
type deskPlaces struct {
	top, name, hill, times Rect
	strip, ribbon          Rect // H = 0 where there is no room
	card, key, dials       Rect
	chart                  Rect // strip and ribbon together, for an exercise
	answers                Rect // in the knob's place
	knob                   Point
	radius                 float64
}

// placeDesk lays out the desk for a window and text scale. Text keeps its
// room; strip and ribbon share what is left, and where that is too little for
// both the one that the drill shows stays.
func placeDesk(size Point, t *Type, ab *About) deskPlaces {
	var p deskPlaces
	margin := clamp(size.X*0.022, 18, 40)
	page := Rect{margin, clamp(size.Y*0.024, 12, 26), size.X - 2*margin, 0}
	page.H = size.Y - page.Y - 12
	topH := math.Max(size.Y*0.125, t.Size(Title)*1.05+t.LineHeight(Body)*2.15)
	p.top, page = page.CutTop(topH)
	side := math.Max(page.W*0.205, math.Min(page.W*0.3, t.Width("drift 24 Hz/s, 61 at the top", Body)+8))
	p.name, p.hill = p.top.CutLeft(side)
	p.times, p.hill = p.hill.CutRight(side)
	p.hill = Rect{p.hill.X + 24, p.top.Y, p.hill.W - 48, p.top.H}

	lines := t.LineHeight(Small)*2 + t.Size(DialBig)*2.2 + t.LineHeight(Mono16) + t.LineHeight(Tiny) + 50
	bottomH := clamp(math.Max(size.Y*0.345, lines), 200, page.H*0.68)
	var bottom Rect
	bottom, page = page.CutBottom(bottomH)
	placeBottom(&p, bottom, t)

	gap := 18.0
	page = Rect{page.X, page.Y + gap, page.W, page.H - 2*gap}
	p.chart = page
	switch {
	case page.H >= 2*66+gap:
		p.strip, page = page.CutTop((page.H - gap) * 0.5)
		_, p.ribbon = page.CutTop(gap)
	case ab.AimTask || ab.Aids.Ribbon || !ab.Aids.Strip: // the sky lies in the ribbon's place
		p.ribbon = page
	default:
		p.strip = page
	}
	return p
}

func placeBottom(p *deskPlaces, r Rect, t *Type) {
	p.card, _ = r.CutLeft(clamp(r.W*0.290, 250, 460))
	p.card = Rect{p.card.X, p.card.Y + 8, p.card.W, p.card.H - 26}
	dialW := clamp(r.W*0.300, 250, 480)
	p.dials, _ = r.CutRight(dialW)
	p.dials = Rect{p.dials.X, p.dials.Y + 8, p.dials.W, p.dials.H - 26}
	left, right := p.card.Right(), p.dials.X
	mid := (left + right) / 2
	p.answers = Rect{left + 36, p.card.Y + 4, right - left - 72, p.card.H - 8}
	words := t.Width("turn down", Body) + 16 // beside the knob, either side
	p.radius = clamp(((right-left)/2-words)/1.2, (right-left)*0.19, math.Min((r.H-24)/2, (right-left)*0.285))
	p.knob = Point{mid, r.Y + r.H/2 - 4}
	keyH := math.Max(38, t.LineHeight(Body)+12)
	dy := math.Max(0, p.card.Bottom()-keyH-p.knob.Y) // the chip ends where the knob begins at its upper edge
	edge := mid - math.Sqrt(math.Max(0, 1.06*1.06*p.radius*p.radius-dy*dy)) - 6
	keyW := math.Min(edge-left-16, t.Width("hold Space", Body)+54)
	p.key = Rect{left + 16, p.card.Bottom() - keyH, keyW, keyH}
}
