//go:build !nodesk

package flying

import (
	"fmt"
	"image"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

const (
	stripColumns  = 480
	historyRows   = 96
	historyTicks  = 30 // 0.15 s a row
	spectrumBins  = 2048
	stripRangeDB  = 42.0
	stripMarginHz = 1200.0
	beaconReachHz = 40_000.0 // how far from the passband a beacon may lie to be shown
)

// what a column of the strip shows
const (
	noiseColumn = iota
	otherColumn
	ownColumn
)

// strip is the passband as the receiver hears it, with a slow history.
type strip struct {
	bracket []kit.Point
	raw     []float32
	smooth  [stripColumns]float64
	kind    [stripColumns]uint8
	low, hi float64 // Hz at its edges
	ring    *ebiten.Image
	row     []byte
	next    int // row of the ring that is written next
	lastRow sim.Tick
	pts     []kit.Point
	started bool
	yours   bool // the own return is marked: an aid, which no receiver has
	version int  // counts updates
}

// update takes the newest spectrum.
func (t *strip) update(ses port.Session, s *sim.State, pal *kit.Palette) {
	ab := ses.About()
	t.version++
	if t.raw == nil {
		t.raw = make([]float32, spectrumBins)
		t.row = make([]byte, stripColumns*4)
	}
	t.low, t.hi = float64(ab.PassbandLowHz)-stripMarginHz, float64(ab.PassbandHighHz)+stripMarginHz
	if b := float64(ab.BeaconHz); b > t.low-beaconReachHz && b < t.hi+beaconReachHz { // a beacon on another band has no place here
		t.low, t.hi = math.Min(t.low, b-stripMarginHz/2), math.Max(t.hi, b+stripMarginHz/2)
	}
	centre, span := ses.Spectrum(t.raw)
	if span > 0 {
		t.gather(centre, span)
	}
	t.yours = ab.Aids.Yours && s.AidsOn
	t.classify(s)
	if s.Tick-t.lastRow >= historyTicks || s.Tick < t.lastRow || !t.started {
		t.lastRow, t.started = s.Tick, true
		t.writeRow(pal)
	}
}

// gather smooths the bins into columns: quickly up, slowly down.
func (t *strip) gather(centre, span float64) {
	bin := span / float64(len(t.raw))
	first := centre - span/2
	var now [stripColumns]float64
	for i := range now {
		f0 := kit.Lerp(t.low, t.hi, float64(i)/stripColumns)
		f1 := kit.Lerp(t.low, t.hi, float64(i+1)/stripColumns)
		b0, b1 := int((f0-first)/bin), int(math.Ceil((f1-first)/bin))
		v := -60.0
		for b := max(b0, 0); b < min(b1, len(t.raw)); b++ {
			v = math.Max(v, float64(t.raw[b]))
		}
		now[i] = v
	}
	for i := range now {
		v := now[i] * 0.5
		v += now[max(i-1, 0)]*0.25 + now[min(i+1, stripColumns-1)]*0.25
		if v > t.smooth[i] {
			t.smooth[i] += (v - t.smooth[i]) * 0.45
		} else {
			t.smooth[i] += (v - t.smooth[i]) * 0.10
		}
	}
}

// classify says for each column whose signal lies there.
func (t *strip) classify(s *sim.State) {
	for i := range t.kind {
		t.kind[i] = noiseColumn
	}
	for n := s.NumSignals - 1; n >= 0; n-- {
		g := &s.Signals[n]
		if !g.On {
			continue
		}
		f0 := float64(s.ReceiveHz) + g.OffsetHz
		lo, hi := f0+150, f0+2900
		if g.Sideband == sim.LSB {
			lo, hi = f0-2900, f0-150
		}
		kind := uint8(otherColumn)
		switch g.Kind {
		case sim.SignalBeacon:
			lo, hi = f0-120, f0+120
		case sim.SignalOwn:
			if t.yours {
				kind = ownColumn
			}
		}
		for i := max(t.column(lo), 0); i <= min(t.column(hi), stripColumns-1); i++ {
			t.kind[i] = kind
		}
	}
}

func (t *strip) column(f float64) int { return int((f - t.low) / (t.hi - t.low) * stripColumns) }

func (t *strip) writeRow(pal *kit.Palette) {
	if t.ring == nil {
		t.ring = ebiten.NewImage(stripColumns, historyRows)
	}
	for i := range t.smooth {
		v := kit.Clamp((t.smooth[i]-3)/26, 0, 1)
		col, a := pal.Dim, v*0.35
		switch t.kind[i] {
		case ownColumn:
			col, a = pal.Yours, v*0.95
		case otherColumn:
			col, a = pal.Others, v*0.8
		}
		t.row[4*i], t.row[4*i+1] = kit.Byte(float64(col.R)*a), kit.Byte(float64(col.G)*a)
		t.row[4*i+2], t.row[4*i+3] = kit.Byte(float64(col.B)*a), kit.Byte(a)
	}
	t.next = (t.next + historyRows - 1) % historyRows
	t.ring.SubImage(image.Rect(0, t.next, stripColumns, t.next+1)).(*ebiten.Image).WritePixels(t.row)
}

// x is the place of a frequency in r.
func (t *strip) x(r kit.Rect, f float64) float64 { return r.X + (f-t.low)/(t.hi-t.low)*r.W }

func (t *strip) draw(c *kit.Canvas, r kit.Rect, ab *port.About, s *sim.State) {
	past, panel := r.CutBottom(math.Min(r.H*0.36, 90))
	if r.H < c.Type.LineHeight(kit.Mono13)+62 { // too low for a history as well
		past, panel = kit.Rect{}, r
	}
	c.Gradient(panel, c.Pal.Panel.Mix(c.Pal.PanelHi, 0.55), c.Pal.Panel)
	c.Rect(past, c.Pal.Ground.Mix(c.Pal.Panel, 0.4))
	scale, plot := panel.CutBottom(c.Type.LineHeight(kit.Mono13) + 2)
	t.drawScale(c, scale, plot, r)
	t.drawTraces(c, plot)
	t.drawHistory(c, past.InsetTop(4))
	t.drawFilter(c, plot, ab, s)
	if b := float64(ab.BeaconHz); b > t.low && b < t.hi && plot.H > 2.4*c.Type.LineHeight(kit.Tiny) {
		x := t.x(r, b)
		for n := 0; n < s.NumSignals; n++ {
			if s.Signals[n].Kind == sim.SignalBeacon {
				x = t.x(r, float64(s.ReceiveHz)+s.Signals[n].OffsetHz)
			}
		}
		w, size := c.Type.Width("beacon", kit.Tiny), c.Type.Size(kit.Tiny)
		c.Text(t.clear(plot, x+6, w, panel.Y+size*1.7), panel.Y+size*1.4, "beacon", kit.Tiny, c.Pal.Others, kit.Left)
	}
}

// clear is where a word of a width stands clear of the traces that reach above y: at
// x or as little to the right as can be, else to the left of x.
func (t *strip) clear(r kit.Rect, x, width, y float64) float64 {
	const beside = 3.0 // dips from a trace
	end := r.Right() - width - 4
	free := func(x float64) bool {
		from, to := t.columnAt(r, x-beside), t.columnAt(r, x+width+beside)
		for i := from; i <= to; i++ {
			if t.point(r, i).Y < y {
				return false
			}
		}
		return true
	}
	at := kit.Clamp(x, r.X+4, end)
	for right := at; right <= end; right++ {
		if free(right) {
			return right
		}
	}
	for left := at; left >= r.X+4; left-- {
		if free(left) {
			return left
		}
	}
	return at
}

// columnAt is the column drawn at x.
func (t *strip) columnAt(r kit.Rect, x float64) int {
	return min(max(int((x-r.X)/r.W*stripColumns), 0), stripColumns-1)
}

// point is where the trace stands in a column.
func (t *strip) point(r kit.Rect, i int) kit.Point {
	h := kit.Clamp(t.smooth[i]/stripRangeDB, 0.012, 1)
	return kit.Pt(r.X+(float64(i)+0.5)/stripColumns*r.W, r.Bottom()-h*(r.H-6))
}

func (t *strip) drawScale(c *kit.Canvas, r, plot, whole kit.Rect) {
	y := r.Y + c.Type.Size(kit.Mono13)*1.05
	var step float64
	need := c.Type.Width("145.000", kit.Mono13) + 26
	for _, s := range []float64{1000, 2000, 5000, 10000, 20000, 50000, 100000, 500000} {
		if step = s; s/(t.hi-t.low)*whole.W >= need {
			break
		}
	}
	for f := math.Ceil(t.low/step) * step; f <= t.hi; f += step {
		x := t.x(whole, f)
		c.VLine(x, plot.Bottom()-4, plot.Bottom(), 1, c.Pal.Rule)
		if half := need / 2; x > whole.X+half-10 && x < whole.Right()-half+10 {
			c.Text(x, y, fmt.Sprintf("%.3f", f/1e6), kit.Mono13, c.Pal.Dim, kit.Middle)
		}
	}
}

// drawTraces draws noise and other stations as lines and the own return as a filled wedge.
func (t *strip) drawTraces(c *kit.Canvas, r kit.Rect) {
	for i := 0; i < stripColumns; {
		j := i
		for j < stripColumns && t.kind[j] == t.kind[i] {
			j++
		}
		t.pts = t.pts[:0]
		for n := max(i-1, 0); n < min(j+1, stripColumns); n++ {
			t.pts = append(t.pts, t.point(r, n))
		}
		switch t.kind[i] {
		case ownColumn:
			c.Under(t.pts, r.Bottom(), c.Pal.Yours, 0.95, 0.55)
			c.Polyline(t.pts, 1.6, c.Pal.Yours, false)
		case otherColumn:
			c.Polyline(t.pts, 1.5, c.Pal.Others, false)
		default:
			c.Polyline(t.pts, 1, c.Pal.Dim.Alpha(0.55), false)
		}
		i = j
	}
}

func (t *strip) drawHistory(c *kit.Canvas, r kit.Rect) {
	if t.ring == nil || r.H <= 0 {
		return
	}
	rows := min(historyRows, int(r.H*c.Scale()/1.5)+1)
	high := r.H / float64(rows)
	newest := min(rows, historyRows-t.next) // up to the end of the ring; the others are at its beginning
	t.drawRows(c, kit.Box(r.X, r.Y, r.W, high), t.next, newest)
	t.drawRows(c, kit.Box(r.X, r.Y+high*float64(newest), r.W, high), 0, rows-newest)
}

// drawRows draws n rows of the ring, the first one in r.
func (t *strip) drawRows(c *kit.Canvas, r kit.Rect, from, n int) {
	if n == 0 {
		return
	}
	op := ebiten.DrawImageOptions{Filter: ebiten.FilterLinear}
	op.GeoM.Scale(r.W*c.Scale()/stripColumns, r.H*c.Scale())
	op.GeoM.Translate(r.X*c.Scale(), r.Y*c.Scale())
	c.Stamp(t.ring, image.Rect(0, from, stripColumns, from+n), t.version, op)
}

// filterEdges are the edges of what the receiver hears, Hz of radio frequency.
func filterEdges(ab *port.About, s *sim.State) (low, high float64) {
	dial := float64(s.ReceiveHz)
	if s.ReceiveSideband == sim.LSB {
		return dial - ab.FilterHighHz, dial - ab.FilterLowHz
	}
	return dial + ab.FilterLowHz, dial + ab.FilterHighHz
}

// drawFilter draws the receiver's filter as a frame with open sides.
func (t *strip) drawFilter(c *kit.Canvas, r kit.Rect, ab *port.About, s *sim.State) {
	f0, f1 := filterEdges(ab, s)
	x0, x1 := t.x(r, f0)-3, t.x(r, f1)+3
	if x1 < r.X || x0 > r.Right() {
		return
	}
	x0, x1 = math.Max(x0, r.X+1), math.Min(x1, r.Right()-1)
	y0, y1 := r.Y+3, r.Bottom()+1
	arm := math.Min(10, (x1-x0)/3)
	for _, side := range [][2]float64{{x0, arm}, {x1, -arm}} {
		t.bracket = append(t.bracket[:0], kit.Pt(side[0]+side[1], y0), kit.Pt(side[0], y0), kit.Pt(side[0], y1), kit.Pt(side[0]+side[1], y1))
		c.Polyline(t.bracket, 1.6, c.Pal.Ink, false)
	}
}
