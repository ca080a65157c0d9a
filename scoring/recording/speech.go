package recording

// Activity of the microphone is judged over frames of 10 ms.
const (
	frameLength = baseRate / 100
	framesS     = 100
	overFloorDB = 8.0  // speech stands at least so far over the microphone's noise
	underTalkDB = 27.0 // and not further than this under the loudest of the talking
	burstFrames = 5    // shorter than 50 ms is a click
	pauseFrames = 120  // a pause of 1.2 s ends an over
	padFrames   = 3    // the edges of a syllable lie a little outside what is loud
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

// threshold returns the level above which a frame is speech, and the loudness
// of the talking; ok is false where nothing stands out of the noise.
func threshold(level []float64) (limit, talk float64, ok bool) {
	var heard []float64
	for _, e := range level {
		if e > 0 {
			heard = append(heard, e)
		}
	}
	if len(heard) < framesS {
		return 0, 0, false
	}
	floor, loud := quantile(heard, 0.08), quantile(heard, 0.97)
	limit = max(floor*ratioOf(overFloorDB), loud*ratioOf(-underTalkDB))
	return limit, loud, loud > limit*2
}

func ratioOf(db float64) float64 { return pow10(db / 10) }

// spansOf finds the overs: frames above the limit in bursts, joined over pauses.
func spansOf(level []float64, limit float64) []span {
	var bursts []span
	for i := 0; i < len(level); {
		if level[i] <= limit {
			i++
			continue
		}
		b := span{i, i}
		loud := 0
		for quiet := 0; i < len(level) && quiet <= 3; i++ {
			if level[i] > limit {
				quiet, loud, b.to = 0, loud+1, i+1
			} else {
				quiet++
			}
		}
		if loud >= burstFrames {
			bursts = append(bursts, b)
		}
	}
	var spans []span
	for _, b := range bursts {
		b.from, b.to = max(0, b.from-padFrames), min(len(level), b.to+padFrames)
		if n := len(spans); n > 0 && b.from-spans[n-1].to <= pauseFrames {
			spans[n-1].to = b.to
		} else {
			spans = append(spans, b)
		}
	}
	return spans
}
