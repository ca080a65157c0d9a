//go:build !nodesk

package flying

import (
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// deskPlaces is where the desk's instruments lie, dips.
type deskPlaces struct {
	top, name, hill, times kit.Rect
	tight                  bool     // two lines of text on top in place of three
	strip, ribbon          kit.Rect // H = 0 where there is no room
	card, key, dials       kit.Rect
	chart                  kit.Rect // strip and ribbon together, for an exercise
	answers                kit.Rect // in the knob's place
	knob                   kit.Point
	radius                 float64
	upright                bool // as placeUpright has it
}

// leastBand is how high strip and ribbon have to be to be of use.
const leastBand = 66

// placeDesk lays out the desk for a window and text scale. Text keeps its
// room; strip and ribbon share what is left, and where that is too little for
// both the one that the drill shows stays.
func placeDesk(size kit.Point, t *kit.Type, ab *port.About) deskPlaces {
	if size.X < kit.MinWidth && size.Y > size.X {
		return placeUpright(size, t, ab)
	}
	var p deskPlaces
	margin := math.Min(size.X*0.022, 40)
	page := kit.Box(margin, math.Min(size.Y*0.024, 26), size.X-2*margin, 0)
	page.H = size.Y - page.Y - 12
	topH := math.Max(size.Y*0.125, t.Size(kit.Title)*1.05+t.LineHeight(kit.Body)*2.15)
	lines := t.LineHeight(kit.Small)*2 + t.Size(kit.DialBig)*2.2 + t.LineHeight(kit.Mono16) + t.LineHeight(kit.Tiny) + 50
	bottomH := math.Min(math.Max(math.Min(size.Y*0.345, 140.4+size.Y*0.15), lines), (page.H-topH)*0.68)
	gap := 18.0
	if page.H-topH-bottomH-2*gap < 2*leastBand+gap { // large text: the strip is worth more than a third line on top
		topH, p.tight = topH-t.LineHeight(kit.Body), true
	}
	p.top, page = page.CutTop(topH)
	side := math.Max(page.W*0.205, math.Min(page.W*0.3, t.Width("drift 24 Hz/s, 61 at the top", kit.Body)+8))
	p.name, p.hill = p.top.CutLeft(side)
	p.times, p.hill = p.hill.CutRight(side)
	p.hill = kit.Box(p.hill.X+24, p.top.Y, p.hill.W-48, p.top.H)

	var bottom kit.Rect
	bottom, page = page.CutBottom(bottomH)
	placeBottom(&p, bottom, t)

	page = kit.Box(page.X, page.Y+gap, page.W, page.H-2*gap)
	p.chart = page
	list := listHeight(ab.Answers, t, page.W) // in the ribbon's place
	switch {
	case ab.AimTask && page.H-gap < 2*3.4*t.LineHeight(kit.Small), list > 0 && page.H-gap-list < leastBand: // half of it is no sky, and the list needs it all
		p.ribbon = page
	case page.H >= 2*leastBand+gap:
		share := 0.5
		if ab.Aids.Strip && !ab.Aids.Ribbon && !ab.AimTask { // what is left of the ribbon are the names of the phases
			share = 0.72
		} else if !ab.Aids.Strip { // it only says that there is none
			share = 0.3
		}
		p.strip, page = page.CutTop(math.Min(math.Max((page.H-gap)*share, leastBand), page.H-gap-list))
		_, p.ribbon = page.CutTop(gap)
	case ab.AimTask || ab.Aids.Ribbon || !ab.Aids.Strip: // the sky lies in the ribbon's place
		p.ribbon = page
	default:
		p.strip = page
	}
	return p
}

// largeness is how large the text is, 0 as usual to 1 at two and a half times that.
func largeness(t *kit.Type) float64 { return (t.Size(kit.Body)/kit.Body.Size - 1) / 1.5 }

func placeBottom(p *deskPlaces, r kit.Rect, t *kit.Type) {
	large := largeness(t) // the card grows with its text, the knob gives way
	p.card, _ = r.CutLeft(math.Min(r.W*(0.290+0.055*large), 460+240*large))
	p.card = kit.Box(p.card.X, p.card.Y+8, p.card.W, p.card.H-26)
	dialW := math.Min(r.W*0.300, 480)
	p.dials, _ = r.CutRight(dialW)
	p.dials = kit.Box(p.dials.X, p.dials.Y+8, p.dials.W, p.dials.H-26)
	left, right := p.card.Right(), p.dials.X
	mid := (left + right) / 2
	p.answers = kit.Box(left+36, p.card.Y+4, right-left-72, p.card.H-8)
	words := t.Width("turn down", kit.Body) + 16     // beside the knob, either side
	most := math.Min((r.H-24)/2, (right-left)*0.285) // in a wide window its height bounds the knob
	p.radius = kit.Clamp(((right-left)/2-words)/1.2, math.Min((right-left)*0.19, most), most)
	p.knob = kit.Pt(mid, r.Y+r.H/2-4)
	keyH := math.Max(38, t.LineHeight(kit.Body)+12)
	dy := math.Max(0, p.card.Bottom()-keyH-p.knob.Y) // the chip ends where the knob begins at its upper edge
	edge := mid - math.Sqrt(math.Max(0, 1.06*1.06*p.radius*p.radius-dy*dy)) - 6
	keyW := math.Min(edge-left-16, t.Width("hold Space", kit.Body)+54)
	p.key = kit.Box(left+16, p.card.Bottom()-keyH, keyW, keyH)
}
