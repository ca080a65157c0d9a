package audio

const (
	// limiterCeiling is the greatest sample that leaves the limiter's gain
	// stage. After it comes a smoothing filter with the taps 1/4, 1/2, 1/4:
	// whatever samples of at most 1 go into that, its output has no peak over
	// 1.0611 between samples (the greatest sum over n of |k(t-n)|, k being the
	// taps interpolated by the sinc function), so the true peak stays below
	// 0.8 x 1.0611 = -1.4 dB of full scale whatever comes in.
	limiterCeiling = 0.8

	limiterAhead   = 64         // samples, 1.3 ms
	limiterRelease = 1 / 4800.0 // per sample: 100 ms
	limiterInput   = 1e6        // greater input is cut off, not a number is silence
)

// limiter is the last stage before every sink: nothing goes around it. It
// looks ahead, turns both channels down together in time before a peak, and
// lets go slowly.
type limiter struct {
	left, right [limiterAhead]float32 // waiting samples
	at          int

	queue            [limiterAhead]need // falling back to front: candidates for the least gain
	head, length     int
	count            int64
	gain             float64 // after release
	track            [limiterAhead]float64
	sum              float64
	last, beforeLast [2]float32 // for the smoothing filter
}

// need is the gain that one sample asks for.
type need struct {
	count int64
	gain  float64
}

func newLimiter() *limiter {
	l := &limiter{}
	l.reset()
	return l
}

// reset returns to silence.
func (l *limiter) reset() {
	*l = limiter{gain: 1, sum: limiterAhead}
	for i := range l.track {
		l.track[i] = 1
	}
}

// run limits interleaved stereo in place and delays it by limiterAhead samples.
func (l *limiter) run(frames []float32) {
	for i := 0; i+1 < len(frames); i += 2 {
		a, b := bounded(frames[i]), bounded(frames[i+1])
		g := l.step(max(abs32(a), abs32(b)))
		oldA, oldB := l.left[l.at], l.right[l.at]
		l.left[l.at], l.right[l.at] = a, b
		l.at = (l.at + 1) % limiterAhead
		frames[i] = l.smooth(0, clipped(oldA*g))
		frames[i+1] = l.smooth(1, clipped(oldB*g))
	}
}

// step takes the peak of the newest frame and returns the gain for the one
// that entered limiterAhead frames before.
func (l *limiter) step(peak float32) float32 {
	want := 1.0
	if peak > limiterCeiling {
		want = limiterCeiling / float64(peak)
	}
	for l.length > 0 && l.queue[(l.head+l.length-1)%limiterAhead].gain >= want {
		l.length--
	}
	for l.length > 0 && l.queue[l.head].count <= l.count-limiterAhead {
		l.head = (l.head + 1) % limiterAhead
		l.length--
	}
	l.queue[(l.head+l.length)%limiterAhead] = need{l.count, want}
	l.length++
	least := l.queue[l.head].gain
	if least < l.gain {
		l.gain = least
	} else {
		l.gain += (least - l.gain) * limiterRelease
	}
	slot := l.count % limiterAhead
	l.sum += l.gain - l.track[slot]
	l.track[slot] = l.gain
	l.count++
	return float32(l.sum / limiterAhead)
}

func (l *limiter) smooth(channel int, x float32) float32 {
	y := 0.25*(l.beforeLast[channel]+x) + 0.5*l.last[channel]
	l.beforeLast[channel], l.last[channel] = l.last[channel], x
	return y
}

func clipped(x float32) float32 {
	return max(-limiterCeiling, min(limiterCeiling, x))
}

// bounded makes any number a usable sample.
func bounded(x float32) float32 {
	switch {
	case x != x:
		return 0
	case x > limiterInput:
		return limiterInput
	case x < -limiterInput:
		return -limiterInput
	}
	return x
}

func abs32(x float32) float32 {
	if x < 0 {
		return -x
	}
	return x
}
