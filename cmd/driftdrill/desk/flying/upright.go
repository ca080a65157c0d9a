//go:build !nodesk

package flying

import (
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
)

// Upright implements kit.Upright: a run can be flown on a telephone that is held
// upright, by the knob, the key and the card.
func (*flying) Upright() bool { return true }

// leastKnob is the height that is kept for the knob in an upright window, however
// large the text is, dips: a thumb's width for its radius, and a gap.
const leastKnob = 175

// placeUpright lays out the desk for an upright window: what is read on top, what
// the hands need at the bottom. There is no strip; the ribbon, or the sky, is
// there where the drill needs it.
func placeUpright(size kit.Point, t *kit.Type, ab *port.About) deskPlaces {
	p := deskPlaces{upright: true, tight: true}
	page := kit.Box(16, 14, size.X-32, size.Y-28)
	const gap = 14.0
	p.top, page = page.CutTop(t.Size(kit.Title)*1.05 + t.LineHeight(kit.Body)*1.3)
	p.name, p.times = p.top.CutLeft(p.top.W * 0.56)
	p.hill, page = page.CutTop(64)
	_, page = page.CutTop(gap)
	p.chart = page
	list := math.Min(listHeight(ab.Answers, t, page.W), page.H*0.2) // in the ribbon's place
	if ab.AimTask || ab.Aids.Ribbon || list > 0 {
		p.ribbon, page = page.CutTop(math.Max(math.Max(leastBand*1.5, page.H*0.13), list))
		_, page = page.CutTop(gap)
	}
	p.card, page = page.CutTop(math.Min(kit.Clamp(page.H*0.26, t.LineHeight(kit.Body)*5, 260), page.H*0.35))
	_, page = page.CutTop(gap + 4)
	dials := kit.Clamp(page.H*0.30, t.LineHeight(kit.Small)*2+t.Size(kit.DialBig)*2.2+t.LineHeight(kit.Mono16)+50, 240)
	row, knob := page.CutTop(math.Min(dials, page.H-math.Min(leastKnob, page.H/2))) // larger digits would not fit the width
	p.dials, p.key = row.CutRight(math.Max(row.W*0.56, 250))
	p.key = kit.Box(p.key.X, p.key.Y+4, p.key.W-gap, p.key.H-gap)
	p.answers = kit.Box(knob.X, knob.Y+gap, knob.W, knob.H-gap)
	words := t.Width("turn down", kit.Body) + 12
	most := math.Min(knob.W/2, knob.H/2-gap)
	p.radius = kit.Clamp((knob.W/2-words)/1.20, 0.7*most, most) // large words give way to the thumb
	p.knob = kit.Pt(knob.X+knob.W/2, knob.Y+knob.H/2+gap/2)
	return p
}

// keyName is what to hold to be on the air.
func (p *prompter) keyName(b keys.Bindings) string {
	if p.upright {
		return "the button"
	}
	return b.NameOf(port.Key)
}
