package report

import (
	"fmt"
	"math"
	"strconv"

	"golang.org/x/image/font"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// spread is the scale of offsets: it spreads the middle, where it matters, and
// keeps far offsets in sight.
type spread struct{}

// Normalize is the place of an offset in Hz between the frame's edges, as a fraction.
func (spread) Normalize(low, high, hz float64) float64 {
	of := func(hz float64) float64 { return math.Asinh(hz / 60) }
	return (of(hz) - of(low)) / (of(high) - of(low))
}

const wide = 1000.0

// timeFrame is the frame of a chart over the time of the run.
func timeFrame(top, bottom float64) box {
	return box{left: 78, right: wide - 10, top: top, bottom: bottom}
}

// offsetPicture is the offset over the run, with overs, finding, and the worst moments.
func offsetPicture(tr *scoring.Trace, worst []scoring.Moment) string {
	const far = 1500.0 // Hz at the frame's edges
	end := 1.0
	if n := len(tr.Samples); n > 0 {
		end = tr.Samples[n-1].Tick.Seconds()
	}
	c := newChart("Offset over the run: above the middle too high, below too low", wide, 360, timeFrame(34, 310), 0, end, -far, far)
	c.Y.Scale = spread{}
	overs(c, tr)
	offsetScale(c, end)
	timeAxis(c, tr, end)
	c.line(pen(inkDim, 1.2), 0, 0, end, 0)
	c.word(lettering(inkInk, text.XRight), 0, 0, -besideFrame, -5, "true")
	c.word(lettering(inkDim, text.XRight), 0, far, -besideFrame, 12, "Hz high")
	c.word(lettering(inkDim, text.XRight), 0, -far, -besideFrame, -belowFrame, "Hz low")
	offsetCurves(c, tr)
	foundMark(c, tr)
	numbered(c, worst, far)
	return c.svg()
}

// offsetScale draws the bands within 100, 50 and 25 Hz of true up to a chart's
// end, seconds, and says which heights its rules are to name.
func offsetScale(c *chart, end float64) {
	for _, w := range []float64{100, 50, 25} {
		c.area(inkTone, 0, end, -w, w)
	}
	var ticks plot.ConstantTicks
	for _, hz := range []float64{-1000, -300, -100, 100, 300, 1000} {
		ticks = append(ticks, plot.Tick{Value: hz, Label: strconv.Itoa(int(math.Abs(hz)))})
	}
	c.Y.Tick.Marker = ticks
}

// numbered puts the numbers of the worst moments at the top of a chart.
func numbered(c *chart, worst []scoring.Moment, top float64) {
	number := lettering(inkMarkInk, text.XCenter)
	number.Font.Weight, number.Font.Size = font.WeightBold, 14
	for i, w := range worst {
		x := c.within((w.From+w.To).Seconds()/2, 12)
		c.dot(inkMark, x, top, 12)
		c.word(number, x, top, 0, -5, strconv.Itoa(i+1))
	}
}

// overs shades the time in which the plan gives the operator the channel.
func overs(c *chart, tr *scoring.Trace) {
	for i := 0; i < len(tr.Samples); {
		j := i
		for j < len(tr.Samples) && tr.Samples[j].Assigned == tr.Samples[i].Assigned {
			j++
		}
		if tr.Samples[i].Assigned {
			c.area(inkOver, tr.Samples[i].Tick.Seconds(), tr.Samples[j-1].Tick.Seconds(), c.Y.Min, c.Y.Max)
		}
		i = j
	}
}

// offsetCurves draws the offset: full while keyed, dotted while not.
func offsetCurves(c *chart, tr *scoring.Trace) {
	pick := func(keyed bool) func(i int) (float64, float64) {
		return func(i int) (float64, float64) {
			s := &tr.Samples[i]
			if s.Keyed != keyed || s.Phase == sim.PhaseWait || s.Phase == sim.PhaseDone {
				return math.NaN(), 0
			}
			return s.Tick.Seconds(), s.OffsetHz
		}
	}
	c.curve(pen(inkDim, 1.3, 2, 4), len(tr.Samples), pick(false))
	c.curve(pen(inkYours, 2), len(tr.Samples), pick(true))
}

func foundMark(c *chart, tr *scoring.Trace) {
	if !tr.HasFound || tr.Plan.BeginsFound {
		return
	}
	x := tr.FoundAt.Seconds()
	c.line(pen(inkInk, 1.2, 6, 4), x, c.Y.Min, x, c.Y.Max)
	c.word(lettering(inkInk, text.XLeft), math.Min(x, c.within(c.X.Max, 66)), c.Y.Min, 6, 8, "found")
}

// timeAxis writes minutes and the closest approach under a chart, and draws its rules.
func timeAxis(c *chart, tr *scoring.Trace, end float64) {
	every := 60.0
	for _, e := range []float64{60, 120, 180, 300, 600} {
		if every = e; end/e <= 9 {
			break
		}
	}
	var ticks plot.ConstantTicks
	for t := 0.0; t <= end; t += every {
		label := fmt.Sprintf("%.0f min", t/60)
		if t == 0 || tr.HasTCA && math.Abs(t-tr.TCA.Seconds()) < every/3 {
			label = " " // a rule without a word
		}
		ticks = append(ticks, plot.Tick{Value: t, Label: label})
	}
	c.X.Tick.Marker = ticks
	c.rules()
	if tr.HasTCA {
		t := tr.TCA.Seconds()
		c.line(pen(inkDim, 1.2, 2, 5), t, c.Y.Min, t, c.Y.Max)
		c.word(lettering(inkInk, text.XCenter), c.within(t, 20), c.Y.Min, 0, -belowFrame, "TCA")
	}
}

// knobPicture is the dial of the hand against where it had to be.
func knobPicture(tr *scoring.Trace) string {
	const title = "The knob against the pass"
	frame := box{left: 10, right: 470, top: 12, bottom: 262}
	n := len(tr.Samples)
	if n == 0 {
		return newChart(title, 480, 300, frame, 0, 1, 0, 1).svg()
	}
	ideal := func(i int) float64 { return tr.Samples[i].TrueHz }
	was := func(i int) float64 { return float64(tr.Samples[i].UplinkHz) }
	if tr.Plan.Rule == "downlink" {
		ideal = func(i int) float64 { return float64(tr.Samples[i].ReceiveHz) + tr.Samples[i].OffsetHz }
		was = func(i int) float64 { return float64(tr.Samples[i].ReceiveHz) }
	}
	zero := ideal(0)
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range n {
		lo, hi = math.Min(lo, ideal(i)), math.Max(hi, ideal(i))
	}
	margin := math.Max(100, (hi-lo)/12)
	end := tr.Samples[n-1].Tick.Seconds()
	c := newChart(title, 480, 300, frame, 0, end, lo-margin, hi+margin)
	c.curve(pen(inkYours, 2), n, func(i int) (float64, float64) { return tr.Samples[i].Tick.Seconds(), was(i) })
	c.curve(pen(inkInk, 2, 2, 5), n, func(i int) (float64, float64) { return tr.Samples[i].Tick.Seconds(), ideal(i) })
	down := 28.0
	if ideal(n-1) < zero { // the curve falls: the words go where it is not
		down = 198
	}
	c.word(lettering(inkDim, text.XLeft), 0, c.Y.Max, 14, -down, "dotted: where it had to be")
	c.word(lettering(inkYours, text.XLeft), 0, c.Y.Max, 14, -down-22, "line: where it was")
	c.word(lettering(inkDim, text.XRight), end, c.Y.Min, -8, -belowFrame, fmt.Sprintf("%.1f kHz in all", (hi-lo)/1000))
	return c.svg()
}

// ratePicture is the drift rate over the run.
func ratePicture(tr *scoring.Trace) string {
	const title = "Drift rate over the run"
	n := len(tr.Samples)
	if n == 0 {
		return newChart(title, wide, 150, timeFrame(14, 116), 0, 1, 0, 1).svg()
	}
	peak := 1.0
	for i := range tr.Samples {
		peak = math.Max(peak, math.Abs(tr.Samples[i].RateHzS))
	}
	end := tr.Samples[n-1].Tick.Seconds()
	c := newChart(title, wide, 150, timeFrame(14, 116), 0, end, 0, peak*1.1)
	timeAxis(c, tr, end)
	c.curve(pen(inkOthers, 2), n, func(i int) (float64, float64) {
		return tr.Samples[i].Tick.Seconds(), math.Abs(tr.Samples[i].RateHzS)
	})
	c.word(lettering(inkDim, text.XRight), 0, peak, -besideFrame, -5, fmt.Sprintf("%.0f Hz/s", peak))
	c.word(lettering(inkDim, text.XRight), 0, 0, -besideFrame, 0, "0")
	return c.svg()
}

// ladderPicture is the curve of the reference hands with the run's place on it.
func ladderPicture(l *scoring.Ladder, r *scoring.Rating, index float64) string {
	c := newChart("The run among the reference hands of this pass", 480, 300, box{left: 44, right: 470, top: 12, bottom: 250}, 0, 100, 0, 1000)
	c.Y.Tick.Marker = levels(1000)
	c.rules()
	if r != nil {
		c.area(inkSpan, math.Max(0, r.Hand-r.SD), math.Min(100, r.Hand+r.SD), 0, 1000)
	}
	n := len(l.Rungs)
	c.band(inkSpread, n, func(i int) (float64, float64, float64) {
		g := &l.Rungs[i]
		return 100 * g.Level, g.Index.Mid - g.Index.SD, g.Index.Mid + g.Index.SD
	})
	c.curve(pen(inkInk, 2), n, func(i int) (float64, float64) { return 100 * l.Rungs[i].Level, l.Rungs[i].Index.Mid })
	if r != nil {
		c.line(pen(inkYours, 1, 3, 3), 0, index, r.Hand, index)
		c.dot(inkYours, r.Hand, c.inFrame(index), 8)
	}
	for _, w := range []struct {
		at     float64
		anchor text.XAlignment
		word   string
	}{{0, text.XLeft, "first evening"}, {50, text.XCenter, "regular"}, {100, text.XRight, "expert"}} {
		c.word(lettering(inkDim, w.anchor), w.at, 0, 0, -24, w.word)
	}
	return c.svg()
}

// levels are the quarters of a scale from 0 to top.
func levels(top float64) plot.ConstantTicks {
	var ticks plot.ConstantTicks
	for i := range 5 {
		v := top * float64(i) / 4
		ticks = append(ticks, plot.Tick{Value: v, Label: fmt.Sprintf("%.0f", v)})
	}
	return ticks
}
