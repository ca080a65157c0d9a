//go:build !nodesk

package desk

import (
	"fmt"
	"math"

	"driftdrill/sim"
)

// dials shows both dials, the step selector and the signal.
type dials struct {
	steps []int
	pills []Rect
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
func (d *dials) update(in *Input) int {
	for _, c := range in.Contacts {
		if !c.Pressed {
			continue
		}
		for i, r := range d.pills {
			if r.Inset(-5).Has(c.At) {
				return d.steps[i]
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
func (d *dials) styles(t *Type, r Rect) (big, end, label Style, digit, pill, meter float64) {
	for f := 1.0; ; f *= 0.95 {
		big, end, label = DialBig, DialEnd, Small
		big.Size, end.Size, label.Size = big.Size*f, end.Size*f, label.Size*math.Sqrt(f)
		digit = t.Size(big) * 1.02
		pill = t.LineHeight(Mono16)*math.Min(1, f*1.2) + 8
		meter = math.Max(t.LineHeight(Tiny)*math.Min(1, f*1.2), 16)
		wide := t.Width("435.148", big) + t.Width(".00", end) + 2
		tall := 2*(t.LineHeight(label)+digit) + pill + meter + 12
		if f < 0.4 || wide <= r.W && tall <= r.H {
			return
		}
	}
}

func (d *dials) draw(c *Canvas, r Rect, ab *About, s *sim.State) {
	big, end, small, digit, pill, meter := d.styles(c.Type, r)
	label := c.Type.LineHeight(small)
	spare := r.H - 2*(label+digit) - pill - meter
	gap := clamp(spare/4, 2, 18)
	y := r.Y + c.Type.Size(small)
	rows := []struct {
		name string
		side sim.Sideband
		hz   int64
		mine bool
	}{
		{"uplink", s.UplinkSideband, s.UplinkHz, s.Rule == sim.RuleUplink || s.Rule == sim.RuleBoth},
		{"downlink", s.ReceiveSideband, s.ReceiveHz, s.Rule == sim.RuleDownlink || s.Rule == sim.RuleBoth},
	}
	for _, row := range rows {
		name, col := row.name+" · "+row.side.String(), c.Pal.Ink
		if row.mine {
			name, col = name+" · yours to turn", c.Pal.Yours
		}
		c.Text(r.X, y, name, c.Type.Fit(name, small, r.W), c.Pal.Dim, Left)
		y += digit * 0.93
		head, tail := dialText(row.hz)
		w := c.Digits(r.X, y, head, big, col, Left)
		c.Digits(r.X+w+2, y, tail, end, col.Alpha(dialEndAlpha), Left)
		y += gap + label
	}
	y -= c.Type.Size(small) - 2
	d.drawSteps(c, Rect{r.X, y, r.W, pill}, ab, s)
	y += pill + gap*0.9
	drawSignal(c, Rect{r.X, y, r.W, meter}, s)
}

func (d *dials) drawSteps(c *Canvas, r Rect, ab *About, s *sim.State) {
	d.steps = ab.Steps
	if len(d.steps) == 0 {
		d.steps = []int{10, 20, 50, 100}
	}
	base := r.Y + r.H/2 + c.Type.Size(Mono16)*0.34
	x := r.X + c.Type.Width("signal", Small) + 14
	d.pills = d.pills[:0]
	unitW := c.Type.Width(" Hz", Small) + 4
	if need := (c.Type.Width("100", Mono16) + 14) * float64(len(d.steps)); x+need+unitW <= r.Right() {
		c.Text(r.X, base, "step", Small, c.Pal.Dim, Left)
	} else {
		x = r.X // the steps need the room of their name
	}
	room := math.Max(r.Right()-x-unitW, 40) / float64(len(d.steps))
	style := c.Type.Fit("1000", Mono16, room-4)
	for _, step := range d.steps {
		str := fmt.Sprint(step)
		w := math.Min(c.Type.Width(str, style)+20, room-2)
		p := Rect{x, r.Y, w, r.H}
		col := c.Pal.Dim
		if step == s.StepHz {
			col = c.Pal.Ink
			c.RoundRect(p, 5, c.Pal.PanelHi)
			c.RoundFrame(p.Inset(0.75), 5, 1.6, c.Pal.Yours)
		}
		c.Text(x+w/2, base, str, style, col, Middle)
		d.pills = append(d.pills, p)
		x += w + 6
	}
	unit := "Hz"
	if s.Fast {
		unit = "Hz × 10"
	}
	c.Text(x+4, base, unit, Small, c.Pal.Dim, Left)
}

// drawSignal shows the own return over noise as a row of blocks, the beacon as a mark.
func drawSignal(c *Canvas, r Rect, s *sim.State) {
	const blocks = 18
	const full = 30.0 // dB
	base := r.Y + r.H/2 + c.Type.Size(Small)*0.34
	x := r.X + c.Type.Width("signal", Small) + 14
	c.Text(r.X, base, "signal", Small, c.Pal.Dim, Left)
	word := c.Type.Width("beacon", Tiny) + 12
	if r.Right()-x-word < 130 { // the blocks need the room of the word
		word = 0
	}
	w := math.Max(r.Right()-x-word, 60)
	lit := 0.0
	if s.Keyed && s.InPassband {
		lit = clamp(s.SNRDB/full, 0, 1) * blocks
	}
	h := math.Min(r.H, 15)
	y := r.Y + (r.H-h)/2
	for i := 0; i < blocks; i++ {
		b := Rect{x + float64(i)*w/blocks, y, w/blocks - 3, h}
		c.Rect(b, c.Pal.Rule.Alpha(0.9))
		if share := clamp(lit-float64(i), 0, 1); share > 0 {
			c.Rect(Rect{b.X, b.Y, b.W * share, b.H}, c.Pal.Ink)
		}
	}
	if s.Keyed && s.InPassband {
		bx := x + clamp((s.SNRDB-s.BeaconDB)/full, 0, 1)*w
		c.VLine(bx-1, y-4, y+h+4, 2, c.Pal.Others)
		if word > 0 {
			c.Text(x+w+6, base, "beacon", Tiny, c.Pal.Dim, Left)
		}
	}
}
