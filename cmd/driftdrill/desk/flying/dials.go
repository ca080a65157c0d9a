//go:build !nodesk

package flying

import (
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// dials shows both dials, the step selector and the signal.
type dials struct {
	pills []kit.Rect
	rows  [3]kit.Rect // where the digits of each dial are
	over  dialName    // the dial that the mouse is over
	held  dialName    // the dial whose digits are dragged
	by    int         // contact that drags them
	keys  string      // what turns the receive dial besides the wheel: "R F"
	rule  sim.Rule    // at the update before
	ruled bool        // there was one
	fresh int         // updates for which a change of the rule is still shown
	radio [3]bool     // a radio's own dial turns this one
	power string      // what is told of the transmitter's power; "" = nothing
}

// dialName is one of the two dials.
type dialName uint8

const (
	noDial dialName = iota
	uplinkDial
	receiveDial
)

// freshUpdates is for how long a change of the rule is shown, updates.
const freshUpdates = 10 * 60

// stepsHz are what one notch may turn, Hz.
var stepsHz = []int{10, 20, 50, 100}

// dipsPerNotch is how far digits are dragged up or down for a notch.
const dipsPerNotch = 9.0

// look finds out what the mouse is over and which digits are held.
func (d *dials) look(in *kit.Input) {
	d.over = noDial
	for n := uplinkDial; n <= receiveDial; n++ {
		if in.HasMouse && d.rows[n].Has(in.Hover) {
			d.over = n
		}
		for _, c := range in.Contacts {
			if c.Pressed && d.held == noDial && d.rows[n].Has(c.At) {
				d.held, d.by = n, c.ID
			}
		}
	}
}

// ruleWords says whose the dials are now.
func ruleWords(r sim.Rule, keys string) string {
	switch r {
	case sim.RuleBoth:
		return "Both dials are yours now: the receive dial by its card, with " + keys + " or the wheel over its digits; the uplink by your ear."
	case sim.RuleDownlink:
		return "The receive dial is yours now: the knob turns it. The uplink stays."
	case sim.RuleUplink:
		return "The uplink is yours now: the knob turns it. The receive dial stays."
	}
	return "A computer turns both dials now."
}

// change returns what to say where the rule has changed.
func (d *dials) change(s *sim.State, b keys.Bindings) string {
	d.keys = b.NameOf(port.ReceiveUp) + " " + b.NameOf(port.ReceiveDown)
	d.fresh = max(d.fresh-1, 0)
	was, had := d.rule, d.ruled
	if d.rule, d.ruled = s.Rule, true; !had || was == s.Rule {
		return ""
	}
	d.fresh = freshUpdates
	return ruleWords(s.Rule, b.NameOf(port.ReceiveUp)+" and "+b.NameOf(port.ReceiveDown))
}

// dragged is how many notches the digits of a dial were dragged by, + is up.
func (d *dials) dragged(in *kit.Input, n dialName) float64 {
	if d.held != n {
		return 0
	}
	sum, down := 0.0, false
	for _, c := range in.Contacts {
		if c.ID == d.by {
			down = c.Down
			if !c.Pressed {
				sum += (c.Last.Y - c.At.Y) / dipsPerNotch
			}
		}
	}
	if !down {
		d.held = noDial
	}
	return sum
}

// dialEndAlpha makes the tens of hertz a little fainter than the rest.
const dialEndAlpha = 0.9

// dialText writes a dial the way a radio does: MHz and kHz, then tens of hertz.
func dialText(hz int64) (big, end string) {
	if hz < 0 {
		hz = 0
	}
	return fmt.Sprintf("%d.%03d", hz/1_000_000, hz/1000%1000), fmt.Sprintf(".%02d", hz%1000/10)
}

// update returns the step that was chosen by pointing, or 0.
func (d *dials) update(in *kit.Input) int {
	for _, c := range in.Contacts {
		if !c.Pressed {
			continue
		}
		for i, r := range d.pills {
			if r.Inset(-5).Has(c.At) {
				return stepsHz[i]
			}
		}
	}
	return 0
}

// next is the step one smaller (by < 0) or larger than the present one.
func nextStep(steps []int, now, by int) int {
	at := 0
	for i, s := range steps {
		if s <= now {
			at = i
		}
	}
	return steps[min(max(at+by, 0), len(steps)-1)]
}

// styles are the sizes of the dials' digits and labels that fit r.
func (d *dials) styles(t *kit.Type, r kit.Rect) (big, end, label kit.Style, digit, pill, meter float64) {
	for f := 1.0; ; f *= 0.95 {
		big, end, label = kit.DialBig, kit.DialEnd, kit.Small
		big.Size, end.Size, label.Size = big.Size*f, end.Size*f, label.Size*math.Sqrt(f)
		digit = t.Size(big) * 1.02
		pill = t.LineHeight(kit.Mono16)*math.Min(1, f*1.2) + 8
		meter = math.Max(t.LineHeight(kit.Tiny)*math.Min(1, f*1.2), 16)
		wide := t.Width("435.148", big) + t.Width(".00", end) + 2
		tall := 2*(t.LineHeight(label)+digit) + pill + meter + 12
		if f < 0.4 || wide <= r.W && tall <= r.H {
			return
		}
	}
}

func (d *dials) draw(c *kit.Canvas, r kit.Rect, ab *port.About, s *sim.State) {
	big, end, small, digit, pill, meter := d.styles(c.Type, r)
	label := c.Type.LineHeight(small)
	spare := r.H - 2*(label+digit) - pill - meter
	gap := kit.Clamp(spare/4, 2, 18)
	y := r.Y + c.Type.Size(small)
	for _, row := range dialRows(s, d.keys) {
		if row.name == uplinkDial {
			row.aside = d.power
		}
		if row.name == receiveDial && ritWords(s) != "" {
			row.aside, row.way = ritWords(s), 0
		}
		if d.radio[row.name] {
			row.how = "your radio"
		}
		col := c.Pal.Ink
		if row.mine {
			col = c.Pal.Yours
		}
		d.drawLabel(c, kit.Box(r.X, y, r.W, label), small, row)
		y += digit * 0.93
		head, tail := dialText(row.hz)
		w := c.Digits(r.X, y, head, big, col, kit.Left)
		w += 2 + c.Digits(r.X+w+2, y, tail, end, col.Alpha(dialEndAlpha), kit.Left)
		d.rows[row.name] = kit.Box(r.X-6, y-digit*0.86, w+12, digit*0.98)
		if d.over == row.name || d.held == row.name {
			c.HLine(r.X, r.X+w, y+digit*0.16, 2, c.Pal.Yours.Alpha(0.7))
		}
		if row.mine && d.fresh > 0 {
			c.RoundFrame(d.rows[row.name].Inset(-1), 6, 1.6, c.Pal.Yours)
		}
		y += gap + label
	}
	y -= c.Type.Size(small) - 2
	d.drawSteps(c, kit.Box(r.X, y, r.W, pill), s)
	y += pill + gap*0.9
	drawSignal(c, kit.Box(r.X, y, r.W, meter), s)
}

// dialRow is what is written about one dial.
type dialRow struct {
	name  dialName
	text  string
	how   string // how it is turned
	hz    int64
	mine  bool
	aside string // at the right end of the label
	way   int    // an arrow beside it: 1 up, -1 down
}

// dialRows says of both dials whose they are. Where both are the operator's
// the receive dial tells what its card says, and what turns it.
func dialRows(s *sim.State, keys string) []dialRow {
	up := dialRow{name: uplinkDial, text: "uplink · " + s.UplinkSideband.String(), hz: s.UplinkHz, mine: s.Rule == sim.RuleUplink || s.Rule == sim.RuleBoth}
	down := dialRow{name: receiveDial, text: "downlink · " + s.ReceiveSideband.String(), hz: s.ReceiveHz, mine: s.Rule == sim.RuleDownlink || s.Rule == sim.RuleBoth}
	switch {
	case s.Rule == sim.RuleBoth:
		up.how, down.how = "knob, by ear", keys
		head, tail := dialText(int64(math.Round(s.CardReceiveHz/10)) * 10)
		down.aside, down.way = "card "+head+tail, cardWay(s)
	case up.mine:
		up.how = "yours to turn"
	case down.mine:
		down.how = "yours to turn"
	}
	return []dialRow{up, down}
}

// cardWay tells which way the receive dial must be turned to stand on its
// card: 1 up, -1 down, 0 where it stands there to within a notch.
func cardWay(s *sim.State) int {
	switch d := s.CardReceiveHz - float64(s.ReceiveHz); {
	case s.Rule != sim.RuleBoth || math.Abs(d) <= float64(s.StepHz)*0.75:
		return 0
	case d > 0:
		return 1
	}
	return -1
}

// drawLabel writes a dial's name on a line whose baseline is r.Y.
func (d *dials) drawLabel(c *kit.Canvas, r kit.Rect, small kit.Style, row dialRow) {
	room := r.W
	if row.aside != "" {
		st := c.Type.Fit(row.aside, kit.Style{Face: kit.Mono, Size: small.Size}, r.W*0.5)
		arrow := c.Type.Size(st)
		w := c.Text(r.Right()-arrow-4, r.Y, row.aside, st, c.Pal.Ink, kit.Right)
		room -= w + arrow + 14
		if m := (kit.Pt(r.Right()-arrow/2, r.Y-arrow*0.36)); row.way != 0 {
			v := -float64(row.way) * arrow * 0.36
			c.Convex([]kit.Point{{X: m.X - arrow*0.4, Y: m.Y - v}, {X: m.X + arrow*0.4, Y: m.Y - v}, {X: m.X, Y: m.Y + v}}, c.Pal.Yours)
		}
	}
	text := row.text
	if row.how != "" {
		text += " · " + row.how
	}
	c.Text(r.X, r.Y, text, c.Type.Fit(text, small, room), c.Pal.Dim, kit.Left)
}

// smallIn is the small style, its capitals no higher than a line of h.
func smallIn(t *kit.Type, h float64) kit.Style { return t.Within(kit.Small, h*1.35) }

func (d *dials) drawSteps(c *kit.Canvas, r kit.Rect, s *sim.State) {
	small := smallIn(c.Type, r.H)
	base := r.Y + r.H/2 + c.Type.Size(kit.Mono16)*0.34
	x := r.X + c.Type.Width("signal", small) + 14
	d.pills = d.pills[:0]
	unitW := c.Type.Width(" Hz", small) + 4
	if need := (c.Type.Width("100", kit.Mono16) + 14) * float64(len(stepsHz)); x+need+unitW <= r.Right() {
		c.Text(r.X, base, "step", small, c.Pal.Dim, kit.Left)
	} else {
		x = r.X // the steps need the room of their name
	}
	room := math.Max(r.Right()-x-unitW, 40) / float64(len(stepsHz))
	style := c.Type.Fit("1000", kit.Mono16, room-4)
	if size := c.Type.Size(style); size < c.Type.Size(small)*0.75 { // narrow: all of the row is as large as its figures
		base = r.Y + r.H/2 + size*0.34
		small.Size *= size / c.Type.Size(small)
	}
	for _, step := range stepsHz {
		str := fmt.Sprint(step)
		w := math.Min(c.Type.Width(str, style)+20, room-2)
		p := kit.Box(x, r.Y, w, r.H)
		col := c.Pal.Dim
		if step == s.StepHz {
			col = c.Pal.Ink
			c.RoundRect(p, 5, c.Pal.PanelHi)
			c.RoundFrame(p.Inset(0.75), 5, 1.6, c.Pal.Yours)
		}
		c.Text(x+w/2, base, str, style, col, kit.Middle)
		d.pills = append(d.pills, p)
		x += w + 6
	}
	unit := "Hz"
	if s.Fast {
		unit = "Hz × 10"
	}
	c.Text(x+4, base, unit, small, c.Pal.Dim, kit.Left)
}

// drawSignal shows the own return over noise as a row of blocks, the beacon as a mark.
func drawSignal(c *kit.Canvas, r kit.Rect, s *sim.State) {
	const blocks = 18
	const full = 30.0 // dB
	small := smallIn(c.Type, r.H)
	base := r.Y + r.H/2 + c.Type.Size(small)*0.34
	x := r.X + c.Type.Width("signal", small) + 14
	c.Text(r.X, base, "signal", small, c.Pal.Dim, kit.Left)
	word := c.Type.Width("beacon", kit.Tiny) + 12
	if r.Right()-x-word < 130 { // the blocks need the room of the word
		word = 0
	}
	w := math.Max(r.Right()-x-word, 60)
	lit := 0.0
	if s.Keyed && s.InPassband {
		lit = s.SNRDB / full * blocks
	}
	h := math.Min(r.H, 15)
	y := r.Y + (r.H-h)/2
	for i := 0; i < blocks; i++ {
		b := kit.Box(x+float64(i)*w/blocks, y, w/blocks-3, h)
		c.Rect(b, c.Pal.Rule.Alpha(0.9))
		if share := kit.Clamp(lit-float64(i), 0, 1); share > 0 {
			c.Rect(kit.Box(b.X, b.Y, b.W*share, b.H), c.Pal.Ink)
		}
	}
	if s.Keyed && s.InPassband {
		bx := x + kit.Clamp((s.SNRDB-s.BeaconDB)/full, 0, 1)*w
		c.VLine(bx-1, y-4, y+h+4, 2, c.Pal.Others)
		if word > 0 {
			c.Text(x+w+6, base, "beacon", kit.Tiny, c.Pal.Dim, kit.Left)
		}
	}
}
