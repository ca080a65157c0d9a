//go:build !nodesk

package flying

import (
	"fmt"
	"math"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// benchRadios are the two radios and what lies on the table, with their settings.
var benchRadios = []struct {
	title    string
	from, to sim.BenchSetting
}{{"receiver", sim.BenchReceiveMemory, sim.BenchUplinkMemory}, {"transmitter", sim.BenchUplinkMemory, sim.BenchHeadphones}, {"on the table", sim.BenchHeadphones, sim.BenchSettings}}

// foldAbove is from what largeness of the text on an upright bench shows only the
// radio that is being set, the others by their names: all of them would leave their
// rows smaller letters than with text as usual. A choice of this project.
const foldAbove = 0.05

// drawBench draws the radios and the card below the pass.
func (f *flying) drawBench(a *screen.App, c *kit.Canvas) {
	p := f.places
	page := kit.Box(p.top.X, p.top.Bottom()+16, p.top.W, a.Size.Y-p.top.Bottom()-28)
	f.bench.rows, f.bench.heads = [sim.BenchSettings]kit.Rect{}, [3]kit.Rect{}
	if p.upright {
		page = kit.Box(p.hill.X, p.hill.Bottom()+14, p.hill.W, a.Size.Y-p.hill.Bottom()-28)
		if largeness(c.Type) > foldAbove {
			f.drawFolded(a, c, page)
			return
		}
		card, radios := page.CutTop(page.H * 0.43)
		f.drawDialCard(a, c, kit.Box(card.X, card.Y, card.W, card.H-8))
		receive, rest := radios.CutTop(radios.H * 0.44)
		send, table := rest.CutTop(rest.H * 0.786)
		f.drawRadio(c, 0, kit.Box(receive.X, receive.Y, receive.W, receive.H-6))
		f.drawRadio(c, 1, kit.Box(send.X, send.Y, send.W, send.H-6))
		f.drawTable(c, table)
		return
	}
	card, radios := page.CutLeft(math.Min(page.W*(0.34+0.08*largeness(c.Type)), 640))
	f.drawDialCard(a, c, kit.Box(card.X, card.Y, card.W-26, card.H-6))
	top, table := radios.CutTop(radios.H * 0.84)
	for i, r := range kit.Box(top.X, top.Y, top.W, top.H-14).Columns(2, 16) {
		f.drawRadio(c, i, r)
	}
	f.drawTable(c, table)
}

// drawFolded draws the card and, under it, the radio that is being set. Of the
// others there is the name, which can be pressed.
func (f *flying) drawFolded(a *screen.App, c *kit.Canvas, page kit.Rect) {
	card, r := page.CutTop(page.H * 0.48)
	f.drawDialCard(a, c, kit.Box(card.X, card.Y, card.W, card.H-8))
	const head, gap = 50.0, 6.0
	for i, radio := range benchRadios {
		var part kit.Rect
		switch open := f.bench.at >= radio.from && f.bench.at < radio.to; {
		case !open:
			part, r = r.CutTop(head)
			f.drawHead(c, i, part)
		case i == 2:
			part, r = r.CutTop(math.Min(r.H, 140))
			f.drawTable(c, part)
		default:
			part, r = r.CutTop(r.H - float64(2-i)*(head+gap))
			f.drawRadio(c, i, part)
		}
		r = r.InsetTop(gap)
	}
}

// drawHead draws a radio as its name, with a tip that points down to what it hides.
func (f *flying) drawHead(c *kit.Canvas, i int, r kit.Rect) {
	f.bench.heads[i] = r
	c.RoundRect(r, 12, c.Pal.Panel)
	c.RoundFrame(r.Inset(1), 11, 2, c.Pal.Rule)
	name := benchRadios[i].title
	st := c.Type.Fit(name, c.Type.Within(kit.Body, r.H*0.55), r.W-70)
	m := kit.Pt(r.Right()-26, r.Centre().Y)
	c.Text(r.X+18, m.Y+c.Type.Size(st)*0.35, name, st, c.Pal.Ink, kit.Left)
	c.Convex([]kit.Point{{X: m.X - 8, Y: m.Y - 5}, {X: m.X + 8, Y: m.Y - 5}, {X: m.X, Y: m.Y + 6}}, c.Pal.Dim)
}

// drawDialCard draws what the operator took along: dials of the first minute and the settings.
func (f *flying) drawDialCard(a *screen.App, c *kit.Canvas, r kit.Rect) {
	in := f.bench.card.DrawPaper(c, r)
	b := f.about.Bench
	rows := make([][2]string, 0, 16)
	for _, k := range []sim.BenchSetting{sim.BenchReceiveSideband, sim.BenchUplinkSideband, sim.BenchRIT, sim.BenchReceiveStep, sim.BenchUplinkStep, sim.BenchKeying, sim.BenchHeadphones, sim.BenchRecorder} {
		rows = append(rows, [2]string{k.Title(), b.WantsText(k)})
	}
	how := benchHow(a.Set.Bindings, f.state.Bench.Above)
	lines := float64(1+len(b.Card)+len(rows)) + 2.6
	title, text, mono := kit.Title, kit.Body, kit.Style{Face: kit.Mono, Size: kit.Body.Size}
	for k := 1.0; k > 0.25; k *= 0.95 {
		text.Size, mono.Size = kit.Body.Size*k, kit.Body.Size*k
		if title.Size = kit.Title.Size * k * k; f.places.upright {
			title.Size = math.Max(title.Size, text.Size*1.2)
		}
		wide := c.Type.Width("after", text) + 2*c.Type.Width("145.960.00", mono) + 40
		if c.Type.Size(title)*1.5+lines*c.Type.Size(text)*1.42 <= in.H && wide <= in.W {
			break
		}
	}
	step := math.Min(c.Type.Size(text)*1.62, (in.H-c.Type.Size(title)*1.5)/lines)
	head := f.about.Bird + ", " + f.about.AOSText + " UTC"
	y := in.Y + c.Type.Size(title)*0.98
	c.Text(in.X, y, head, c.Type.Fit(head, title, in.W), c.Pal.CardInk, kit.Left)
	c.HLine(in.X, in.Right(), y+c.Type.Size(title)*0.42, 1, c.Pal.CardRule)
	y += c.Type.Size(title)*0.42 + step
	second := in.Right() - c.Type.Width("145.960.00", mono) - 16
	c.Text(in.X, y, "after", text, c.Pal.CardNote, kit.Left)
	c.Text(second, y, "receive", text, c.Pal.CardNote, kit.Right)
	c.Text(in.Right(), y, "uplink", text, c.Pal.CardNote, kit.Right)
	for _, row := range b.Card {
		y += step
		c.Text(in.X, y, fmt.Sprintf("%d:%02d", row.AfterS/60, row.AfterS%60), mono, c.Pal.CardInk, kit.Left)
		c.Digits(second, y, sim.DialText(row.ReceiveHz), mono, c.Pal.CardInk, kit.Right)
		c.Digits(in.Right(), y, sim.DialText(row.UplinkHz), mono, c.Pal.CardInk, kit.Right)
	}
	c.HLine(in.X, in.Right(), y+step*0.45, 1, c.Pal.CardRule)
	y += step * 0.4
	for _, row := range rows {
		y += step
		w := c.Text(in.Right(), y, row[1], c.Type.Fit(row[1], text, in.W*0.55), c.Pal.CardInk, kit.Right)
		c.Text(in.X, y, row[0], c.Type.Fit(row[0], text, in.W-w-12), c.Pal.CardInk, kit.Left)
	}
	f.drawTask(c, kit.Box(in.X, y+step*0.7, in.W, in.Bottom()-y-step*1.7), text)
	c.Text(in.X, in.Bottom()-c.Type.Size(text)*0.3, how, c.Type.Fit(how, text, in.W), c.Pal.CardNote, kit.Left)
}

// drawTask writes under the card what is to be done, where there is room for it.
func (f *flying) drawTask(c *kit.Canvas, r kit.Rect, st kit.Style) {
	const task = "Set your radios as it says here, before the bird comes up."
	text := strings.TrimSpace(task + " " + f.about.Coach)
	if f.state.Bench.Above {
		text = "The bird is up: what you set now counts as late."
	}
	lines := c.Type.Wrap(text, st, r.W)
	step := c.Type.Size(st) * 1.5
	if float64(len(lines))*step > r.H && !f.state.Bench.Above {
		lines = c.Type.Wrap(task, st, r.W)
	}
	if float64(len(lines))*step > r.H {
		return
	}
	for i, line := range lines {
		c.Text(r.X, r.Y+step*(float64(i)+0.8), line, st, c.Pal.CardNote, kit.Left)
	}
}

// drawRadio draws one of the two radios: a case, a window with the dial, a
// lamp, and a row for each setting.
func (f *flying) drawRadio(c *kit.Canvas, i int, r kit.Rect) {
	s := &f.state
	radio := benchRadios[i]
	c.RoundRect(r, 12, c.Pal.PanelHi)
	c.RoundFrame(r.Inset(1), 11, 2, c.Pal.Rule)
	in := kit.Box(r.X+18, r.Y+10, r.W-36, r.H-22)
	title := c.Type.Fit(radio.title+" on the air", c.Type.Within(kit.Small, in.H*0.11), in.W-30)
	y := in.Y + c.Type.Size(title)*1.05
	c.Text(in.X, y, radio.title, title, c.Pal.Dim, kit.Left)
	_, in = in.CutTop(c.Type.Size(title) * 1.6)
	window, rest := in.CutTop(math.Min(in.H*0.29, c.Type.Size(kit.DialBig)*2))
	hz, side := s.ReceiveHz, s.ReceiveSideband.String()
	if i == 1 {
		hz, side = s.UplinkHz, s.UplinkSideband.String()
		if lamp := kit.Pt(in.Right()-7, y-c.Type.Size(title)*0.36); s.Keyed {
			c.Disc(lamp.X, lamp.Y, 6, c.Pal.Yours)
			c.Text(lamp.X-14, y, "on the air", title, c.Pal.Yours, kit.Right)
		} else {
			c.Ring(lamp.X, lamp.Y, 5.5, 1.5, c.Pal.Dim)
		}
	} else if s.Bench.RITHz != 0 {
		side = fmt.Sprintf("RIT %+d · %s", s.Bench.RITHz, side)
	}
	c.RoundRect(window, 6, c.Pal.Ground)
	c.RoundFrame(window.Inset(0.5), 6, 1, c.Pal.Rule)
	f.drawWindow(c, kit.Box(window.X+14, window.Y+4, window.W-28, window.H-8), sim.DialText(hz), side)
	_, rest = rest.CutTop(8)
	for j, cell := range rest.Rows(int(radio.to-radio.from), 4) {
		f.drawSetting(c, radio.from+sim.BenchSetting(j), cell)
	}
}

// drawWindow draws a dial with what stands under it.
func (f *flying) drawWindow(c *kit.Canvas, r kit.Rect, dial, side string) {
	most := r.H * 0.56
	big := c.Type.Within(kit.Style{Face: kit.MonoBold, Size: kit.DialBig.Size}, most)
	for f.places.upright && c.Type.Size(big) > most { // a heading's size is not in proportion to its style's
		big.Size *= 0.95
	}
	big = c.Type.Fit(dial, big, r.W)
	small := c.Type.Within(kit.Small, r.H*0.3)
	foot := r.Bottom() - c.Type.Size(small)*1.3
	c.Digits(r.X, math.Min(r.Y+c.Type.Size(big), (r.Y+foot)/2+c.Type.Size(big)*0.42), dial, big, c.Pal.Ink, kit.Left)
	c.Text(r.Right(), r.Bottom()-c.Type.Size(small)*0.3, side, c.Type.Fit(side, small, r.W), c.Pal.Ink, kit.Right)
}

// drawTable draws what lies beside the radios.
func (f *flying) drawTable(c *kit.Canvas, r kit.Rect) {
	table := benchRadios[2]
	c.RoundRect(r, 12, c.Pal.Panel)
	in := kit.Box(r.X+18, r.Y+8, r.W-36, r.H-16)
	cells := in.Columns(2, 52)
	if f.places.upright { // side by side they would have no room for their words
		cells = kit.Box(in.X, r.Y+4, in.W, r.H-8).Rows(2, 4)
	}
	for j, cell := range cells {
		f.drawSetting(c, table.from+sim.BenchSetting(j), kit.Box(cell.X, cell.Y, cell.W, cell.H))
	}
}

// drawSetting draws one setting: its name, and its value on a switch, framed
// where the keys are.
func (f *flying) drawSetting(c *kit.Canvas, k sim.BenchSetting, r kit.Rect) {
	f.bench.rows[k] = r
	short := map[sim.BenchSetting]string{sim.BenchReceiveMemory: "memory", sim.BenchUplinkMemory: "memory", sim.BenchReceiveSideband: "sideband", sim.BenchUplinkSideband: "sideband",
		sim.BenchReceiveStep: "step", sim.BenchUplinkStep: "step"}
	name := short[k]
	if name == "" {
		name = k.Title()
	}
	value := f.about.Bench.Text(k, f.state.Bench.Values[k])
	st := c.Type.Fit("headphones loudspeaker", c.Type.Within(kit.Body, r.H*0.62), r.W-64)
	mid := r.Centre().Y + c.Type.Size(st)*0.35
	left, right := r.CutLeft(c.Type.Width("headphones", st) + 14)
	c.Text(left.X, mid, name, st, c.Pal.Dim, kit.Left)
	h := math.Min(right.H, c.Type.Size(st)*1.9)
	pill := kit.Box(right.X, right.Centre().Y-h/2, right.W, h)
	c.RoundRect(pill, 5, c.Pal.Ground)
	frame, width, ink := c.Pal.Rule, 1.0, c.Pal.Ink
	if f.bench.at == k {
		frame, width, ink = c.Pal.Yours, 2, c.Pal.Yours
	}
	c.RoundFrame(pill.Inset(0.75), 5, width, frame)
	x := pill.Centre().X
	c.Text(x, mid, value, c.Type.Fit(value, st, pill.W-44), ink, kit.Middle)
	if f.bench.at != k {
		return
	}
	w := math.Min(6, h*0.22)
	for _, side := range []float64{-1, 1} {
		tip := pill.Centre().X + side*(pill.W/2-8)
		c.Convex([]kit.Point{{X: tip - side*w, Y: pill.Centre().Y - w}, {X: tip, Y: pill.Centre().Y}, {X: tip - side*w, Y: pill.Centre().Y + w}}, ink)
	}
}

// ritWords is what the receive dial tells of its RIT; "" where it is off.
func ritWords(s *sim.State) string {
	if s.Bench.RITHz == 0 {
		return ""
	}
	return fmt.Sprintf("RIT %+d", s.Bench.RITHz)
}

// benchPrompt is the card of a run in which the radios were to be set.
func benchPrompt(out *kit.Sheet, s *sim.State, key string, ab *port.About, radios string) {
	if ab.Bench == nil {
		return
	}
	switch s.Phase {
	case sim.PhaseFind:
		out.Title, out.Body = "The bird is up", "A station calls you on the card's frequency. Hold "+key+", bring your own voice true, and answer. "+radios+": your radios."
	case sim.PhaseTalk:
		out.Body = "Hold " + key + ": your call and your report, true all the way. " + radios + ": your radios."
	}
}
