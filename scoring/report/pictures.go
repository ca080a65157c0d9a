package report

import (
	"fmt"
	"math"
	"strconv"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// offsetScale spreads the middle, where it matters, and keeps far offsets in sight.
func offsetScale(hz float64) float64 { return math.Asinh(hz / 60) }

const wide = 1000.0

// offsetPicture is the offset over the run, with overs, finding, and the worst moments.
func offsetPicture(tr *scoring.Trace, worst []scoring.Moment) string {
	n := len(tr.Samples)
	p := newPicture(wide, 360, "Offset over the run: above the middle too high, below too low")
	end := 1.0
	if n > 0 {
		end = tr.Samples[n-1].Tick.Seconds()
	}
	p.yScale = offsetScale
	p.frame(78, wide-10, 34, 310, 0, end, -1500, 1500)
	p.area("well", 0, end, -1500, 1500)
	overs(p, tr)
	for _, w := range []float64{100, 50, 25} {
		p.area("tone", 0, end, -w, w)
	}
	for _, hz := range []float64{-1000, -300, -100, 100, 300, 1000} {
		p.line("rule", 0, hz, end, hz)
		p.text("dim", "end", 70, p.y(hz)+5, strconv.Itoa(int(math.Abs(hz))))
	}
	p.line("true", 0, 0, end, 0)
	p.text("ink", "end", 70, p.y(0)+5, "true")
	p.text("dim", "end", 70, p.top-12, "Hz high")
	p.text("dim", "end", 70, p.bottom+20, "Hz low")
	offsetCurves(p, tr)
	foundMark(p, tr)
	for i, w := range worst {
		mid := (w.From + w.To).Seconds() / 2
		p.dot("mark", math.Max(p.left+12, math.Min(p.right-12, p.x(mid))), p.top+2, 12, strconv.Itoa(i+1))
	}
	timeAxis(p, tr, end)
	return p.done()
}

// overs shades the time in which the plan gives the operator the channel.
func overs(p *picture, tr *scoring.Trace) {
	for i := 0; i < len(tr.Samples); {
		j := i
		for j < len(tr.Samples) && tr.Samples[j].Assigned == tr.Samples[i].Assigned {
			j++
		}
		if tr.Samples[i].Assigned {
			p.area("over", tr.Samples[i].Tick.Seconds(), tr.Samples[j-1].Tick.Seconds(), p.y0, p.y1)
		}
		i = j
	}
}

// offsetCurves draws the offset: full while keyed, dotted while not.
func offsetCurves(p *picture, tr *scoring.Trace) {
	pick := func(keyed bool) func(i int) (float64, float64) {
		return func(i int) (float64, float64) {
			s := &tr.Samples[i]
			if s.Keyed != keyed || s.Phase == sim.PhaseWait || s.Phase == sim.PhaseDone {
				return math.NaN(), 0
			}
			return s.Tick.Seconds(), s.OffsetHz
		}
	}
	p.curve("unkeyed", len(tr.Samples), pick(false))
	p.curve("yours", len(tr.Samples), pick(true))
}

func foundMark(p *picture, tr *scoring.Trace) {
	if !tr.HasFound || tr.Plan.BeginsFound {
		return
	}
	x := tr.FoundAt.Seconds()
	p.line("found", x, p.y0, x, p.y1)
	p.text("ink", "start", math.Min(p.x(x)+6, p.right-60), p.bottom-8, "found")
}

// timeAxis writes minutes and the closest approach under a picture.
func timeAxis(p *picture, tr *scoring.Trace, end float64) {
	every := 60.0
	for _, e := range []float64{60, 120, 180, 300, 600} {
		if every = e; end/e <= 9 {
			break
		}
	}
	for t := 0.0; t <= end; t += every {
		p.line("rule", t, p.y0, t, p.y1)
		if t == 0 || tr.HasTCA && math.Abs(t-tr.TCA.Seconds()) < every/3 {
			continue
		}
		p.text("dim", "middle", p.x(t), p.bottom+20, fmt.Sprintf("%.0f min", t/60))
	}
	if tr.HasTCA {
		t := tr.TCA.Seconds()
		p.line("tca", t, p.y0, t, p.y1)
		p.text("ink", "middle", math.Max(p.left+20, math.Min(p.right-20, p.x(t))), p.bottom+20, "TCA")
	}
}

// knobPicture is the dial of the hand against where it had to be.
func knobPicture(tr *scoring.Trace) string {
	p := newPicture(480, 300, "The knob against the pass")
	n := len(tr.Samples)
	if n == 0 {
		return p.done()
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
	p.frame(10, 470, 12, 262, 0, end, lo-margin, hi+margin)
	p.area("well", 0, end, lo-margin, hi+margin)
	p.curve("yours", n, func(i int) (float64, float64) { return tr.Samples[i].Tick.Seconds(), was(i) })
	p.curve("ideal", n, func(i int) (float64, float64) { return tr.Samples[i].Tick.Seconds(), ideal(i) })
	where, turn := 40.0, 22.0
	if ideal(n-1) < zero { // the curve falls: the words go where it is not
		where, turn = 210, 22
	}
	p.text("dim", "start", 24, where, "dotted: where it had to be")
	p.text("amber", "start", 24, where+turn, "line: where it was")
	p.text("dim", "end", 462, 282, fmt.Sprintf("%.1f kHz in all", (hi-lo)/1000))
	return p.done()
}

// ratePicture is the drift rate over the run.
func ratePicture(tr *scoring.Trace) string {
	p := newPicture(wide, 150, "Drift rate over the run")
	n := len(tr.Samples)
	if n == 0 {
		return p.done()
	}
	peak := 1.0
	for i := range tr.Samples {
		peak = math.Max(peak, math.Abs(tr.Samples[i].RateHzS))
	}
	end := tr.Samples[n-1].Tick.Seconds()
	p.frame(78, wide-10, 14, 116, 0, end, 0, peak*1.1)
	p.area("well", 0, end, 0, peak*1.1)
	timeAxis(p, tr, end)
	p.curve("others", n, func(i int) (float64, float64) {
		return tr.Samples[i].Tick.Seconds(), math.Abs(tr.Samples[i].RateHzS)
	})
	p.text("dim", "end", 70, p.y(peak)+5, fmt.Sprintf("%.0f Hz/s", peak))
	p.text("dim", "end", 70, p.y(0), "0")
	return p.done()
}

// ladderPicture is the curve of the reference hands with the run's place on it.
func ladderPicture(l *scoring.Ladder, r *scoring.Rating, index float64) string {
	p := newPicture(480, 300, "The run among the reference hands of this pass")
	p.frame(44, 470, 12, 250, 0, 100, 0, 1000)
	p.area("well", 0, 100, 0, 1000)
	for _, v := range []float64{0, 250, 500, 750, 1000} {
		p.line("rule", 0, v, 100, v)
		p.text("dim", "end", 38, p.y(v)+5, fmt.Sprintf("%.0f", v))
	}
	if r != nil {
		p.area("span", math.Max(0, r.Hand-r.SD), math.Min(100, r.Hand+r.SD), 0, 1000)
	}
	n := len(l.Rungs)
	p.band("spread", n, func(i int) (float64, float64, float64) {
		g := &l.Rungs[i]
		return 100 * g.Level, g.Index.Mid - g.Index.SD, g.Index.Mid + g.Index.SD
	})
	p.curve("ideal-line", n, func(i int) (float64, float64) { return 100 * l.Rungs[i].Level, l.Rungs[i].Index.Mid })
	if r != nil {
		p.line("hair", 0, index, r.Hand, index)
		p.dot("you", p.x(r.Hand), p.y(index), 8, "")
	}
	for _, w := range []struct {
		at     float64
		anchor string
		word   string
	}{{0, "start", "first evening"}, {50, "middle", "regular"}, {100, "end", "expert"}} {
		p.text("dim", w.anchor, p.x(w.at), 274, w.word)
	}
	return p.done()
}
