package recording

// Activity of the microphone is judged over frames of 10 ms.
const (
	frameLength = baseRate / 100
	framesS     = 100
	overFloorDB = 8.0  // speech stands at least so far over the microphone's noise
	underTalkDB = 27.0 // and not further than this under the loudest of the talking
	burstFrames = 5    // shorter than 50 ms is a click
	shortFrames = 3    // but a sound of 30 ms is a cut syllable ...
	closeFrames = 50   // where somebody speaks within half a second of it
	pauseFrames = 120  // a pause of 1.2 s ends an over
	padFrames   = 3    // the edges of a syllable lie a little outside what is loud
)

// The first and last sounds of an over are followed further down than speech is
// told by: a word dies away by 30 dB and more before the key is let go.
const (
	tailFloorDB = 4.5  // over the microphone's noise
	tailTalkDB  = 40.0 // under the loudest of the talking, at most
	tailFrames  = 40   // and for no longer than this
	tailReach   = 2    // frames to either side that are looked at together
)

// span is a half-open range of frames in which somebody speaks, short pauses included.
type span struct{ from, to int }

// levels returns the energy of each frame.
func levels(x []complex64) []float64 {
	e := make([]float64, len(x)/frameLength)
	for i := range e {
		e[i] = energyOf(x[i*frameLength : (i+1)*frameLength])
	}
	return e
}

// limits are levels of a frame: from speech on it is speech, down to tail it is
// the beginning or the end of one.
type limits struct{ speech, tail float64 }

// threshold returns the level above which a frame is speech, and the loudness
// of the talking; ok is false where nothing stands out of the noise.
func threshold(level []float64) (limit limits, talk float64, ok bool) {
	var heard []float64
	for _, e := range level {
		if e > 0 {
			heard = append(heard, e)
		}
	}
	if len(heard) < framesS {
		return limits{}, 0, false
	}
	floor, loud := quantile(heard, 0.08), quantile(heard, 0.97)
	limit = limits{max(floor*ratioOf(overFloorDB), loud*ratioOf(-underTalkDB)), max(floor*ratioOf(tailFloorDB), loud*ratioOf(-tailTalkDB))}
	return limit, loud, loud > limit.speech*2
}

func ratioOf(db float64) float64 { return pow10(db / 10) }

// spansOf finds the overs: frames above the limit in bursts, joined over
// pauses, with what leads into them and dies away after them.
func spansOf(level []float64, limit limits) []span {
	var spans []span
	for _, b := range withoutClicks(burstsOf(level, limit.speech)) {
		b.from, b.to = max(0, b.from-padFrames), min(len(level), b.to+padFrames)
		if n := len(spans); n > 0 && b.from-spans[n-1].to <= pauseFrames {
			spans[n-1].to = b.to
		} else {
			spans = append(spans, b)
		}
	}
	for i := range spans {
		least, most := 0, len(level)
		if i > 0 {
			least = spans[i-1].to
		}
		if i+1 < len(spans) {
			most = spans[i+1].from
		}
		spans[i] = spans[i].withTails(level, limit.tail, least, most)
	}
	return spans
}

// burst is a stretch above a limit; loud counts its frames without dips.
type burst struct {
	span
	loud int
}

// burstsOf finds stretches above a limit; dips of 30 ms do not part them.
func burstsOf(level []float64, limit float64) []burst {
	var bursts []burst
	for i := 0; i < len(level); i++ {
		if level[i] <= limit {
			continue
		}
		if n := len(bursts); n > 0 && i-bursts[n-1].to <= 3 {
			bursts[n-1].to = i + 1
			bursts[n-1].loud++
		} else {
			bursts = append(bursts, burst{span{i, i + 1}, 1})
		}
	}
	return bursts
}

// withoutClicks leaves out bursts that are too short to be speech.
func withoutClicks(bursts []burst) []span {
	var out []span
	for i, b := range bursts {
		long := func(k int) bool { return k >= 0 && k < len(bursts) && bursts[k].loud >= burstFrames }
		near := long(i-1) && b.from-bursts[i-1].to <= closeFrames || long(i+1) && bursts[i+1].from-b.to <= closeFrames
		if long(i) || near && b.loud >= shortFrames {
			out = append(out, b.span)
		}
	}
	return out
}

// withTails moves both edges outwards as long as the frames round them are
// louder than a limit, within bounds.
func (s span) withTails(level []float64, limit float64, least, most int) span {
	above := func(i int) bool {
		var sum float64
		from, to := max(0, i-tailReach), min(len(level), i+tailReach+1)
		for _, e := range level[from:to] {
			sum += e
		}
		return sum > limit*float64(to-from)
	}
	for first := s.from - tailFrames; s.from > max(least, first) && above(s.from-1); {
		s.from--
	}
	for last := s.to + tailFrames; s.to < min(most, last) && above(s.to); {
		s.to++
	}
	return s
}
