package recording

import (
	"fmt"
	"math"
)

// toneAnalysis measures the tone of CW or a whistle.
type toneAnalysis struct {
	opt   Options
	sides []*toneTracker
}

func newToneAnalysis(opt Options, sides int) *toneAnalysis {
	t := &toneAnalysis{opt: opt}
	for range sides {
		t.sides = append(t.sides, newToneTracker(opt.RateHzS))
	}
	return t
}

// own finds the own carrier, the receiver's side and the sidetone's, or Unknown.
// same tells that both sides carry the same sound.
func (t *toneAnalysis) own(rx int, same bool) (f toneFound, side, mic int) {
	if len(t.sides) == 2 && !t.opt.Mono && !same {
		best := 0.0
		mic = Unknown
		for m := range t.sides {
			if t.opt.Mic != Unknown && t.opt.Mic != m {
				continue
			}
			if g, ok := ownByMic(t.sides[1-m], t.sides[m], t.opt); ok && toneChain(g.own).onS() > best {
				best, f, mic = toneChain(g.own).onS(), g, m
			}
		}
		if mic != Unknown {
			return f, 1 - mic, mic
		}
	}
	return ownAlone(t.sides[rx], t.opt), rx, Unknown
}

// whoseConfidence is how sure a carrier is the own where only nobody else is heard.
const whoseConfidence = 0.6

// hiddenHz is how near the return may come to a sidetone in the same sound.
const hiddenHz = 45.0

// rowsOf makes the rows of the own tracks.
func (f *toneFound) rowsOf() []Row {
	best := map[int]*Row{}
	last := 0
	sure := whoseConfidence
	if f.certain {
		sure = 1
	}
	for _, a := range f.own {
		for i, l := range a.lines {
			if !a.seen[i] || f.hidden > 0 && math.Abs(l.hz-f.hidden) < hiddenHz {
				continue
			}
			n := a.first + i
			row := Row{TimeS: float64(n) * RowS, OffsetHz: l.hz - f.pitchHz, RateHzS: l.rateHzS, SNRDB: a.snrDB(i)}
			row.Confidence = sure * (1 - math.Exp(-2*(l.height-1)))
			if old := best[n]; old == nil || old.Confidence < row.Confidence {
				best[n] = &row
			}
			last = max(last, n)
		}
	}
	var rows []Row
	for n := range last + 1 {
		if r := best[n]; r != nil {
			rows = append(rows, *r)
		} else {
			rows = append(rows, Row{TimeS: float64(n) * RowS, OffsetHz: math.NaN(), RateHzS: math.NaN(), SNRDB: math.NaN()})
		}
	}
	return rows
}

// snrDB is the power of the carrier while the key is down round a row over
// that of noise in 2400 Hz.
func (a *toneTrack) snrDB(i int) float64 {
	level := float32(a.level())
	var sum, n float64
	for k := max(0, (i-3)*rowHops); k < min(len(a.on), (i+4)*rowHops); k++ {
		if v := a.on[k]; v >= level {
			sum, n = sum+float64(v)*float64(v), n+1
		}
	}
	if n == 0 {
		return math.NaN()
	}
	const voice = 2400.0
	return clamp(decibel(math.Max(sum/n-1, 1e-3)*noiseHz/voice), -20, 40)
}

// spans are the own overs in hops: keying joined over pauses.
func (f *toneFound) spans() []span {
	const pause = 48 // hops, 1.2 s
	keys := f.keys
	if keys == nil {
		keys = keysOf(f.own)
	}
	var out []span
	for i := 0; i < len(keys); {
		if !keys[i] {
			i++
			continue
		}
		b := span{i, i + 1}
		for i < len(keys) && keys[i] {
			i++
		}
		b.to = i
		if b.to-b.from < 2 {
			continue
		}
		if n := len(out); n > 0 && b.from-out[n-1].to <= pause {
			out[n-1].to = b.to
		} else {
			out = append(out, b)
		}
	}
	return out
}

// spanS are the ends of a span in seconds. A key that goes down is noticed as
// soon as a third of the window has it.
func spanS(s span) (from, to float64) {
	const middle = float64(toneFrame) / 2 / baseRate
	return float64(s.from)*toneHopS + middle - toneHopS/2, float64(s.to-1)*toneHopS + middle + toneHopS/2
}

// toneResult puts together what the tones tell.
func (a *analysis) toneResult(r *Result) {
	f, rx, mic := a.tones.own(a.rx, a.sum.same())
	if mic == Unknown && f.lag >= 0 && r.Sides[rx].wide() {
		f = toneFound{none: true, lag: -1} // music keeps time too
	}
	r.Method, r.Mic = ByTone, mic
	r.Spectrogram = a.paint[rx].spectrogram()
	if mic != Unknown {
		r.Method, r.DelayS = BySidetone, float64(f.lag)*toneHopS
	} else {
		if a.sum.same() {
			r.Notes = append(r.Notes, Note{NoteSame, "Both sides carry the same sound; it is taken for the receiver alone."})
		}
		r.Notes = append(r.Notes, Note{NoteUnrated, "Measured from the receiver alone: it cannot tell for sure whose tone it is. Nothing of it is rated."})
	}
	for i, s := range f.spans() {
		from, to := spanS(s)
		if len(f.own) == 0 {
			break
		}
		r.SpokenS += to - from
		if mic != Unknown {
			r.Overs = append(r.Overs, Over{FromS: from, ToS: to, DelayS: r.DelayS})
		}
		if i == 0 {
			r.Rows = f.rowsOf()
		}
		var part []Row
		for k := range r.Rows {
			if t := r.Rows[k].TimeS; t >= from && t <= to {
				r.Rows[k].Keyed = true
				part = r.Rows[k-len(part) : k+1]
			}
		}
		fillGaps(part, 0)
	}
	if f.pitchHz == 0 {
		for i := range r.Rows {
			r.Rows[i].OffsetHz, r.Rows[i].RateHzS, r.Rows[i].Confidence = math.NaN(), math.NaN(), 0
		}
	}
	if s := r.Sides[rx]; s.LevelDB >= silentDB {
		r.Notes = append(r.Notes, f.notes(&s)...)
	}
	r.Rows = onGrid(r.Rows, r.LengthS)
	r.tellShare()
}

// notes say what the tones do not tell.
func (f *toneFound) notes(s *Side) []Note {
	switch {
	case f.none && s.wide():
		return []Note{{NoteNotRadio, "It does not sound like an SSB receiver: it reaches far above 3 kHz, as music does."}}
	case f.none:
		return []Note{{NoteNoSpeech, "No tone stands out of the noise."}}
	case f.several:
		return []Note{{NoteSeveral, "Tones of more than one station are heard, and nothing tells which is yours. Give your call, or record the sidetone on the other side."}}
	case f.pitchHz == 0:
		return []Note{{NotePitch, "A tone is heard, but not what its pitch is at zero beat. Give the pitch, or record the sidetone too."}}
	case f.lag >= 0 && f.pitchHz > 0:
		return []Note{{NoteSidetone, fmt.Sprintf("The sidetone is heard at %.0f Hz; what is keyed with it is taken for your own.", f.pitchHz)}}
	}
	return nil
}
