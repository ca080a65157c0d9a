package audio

// tickOut is the sound of one tick and how much of it has not been given away,
// for sources that render a tick at a time and are asked for any number of frames.
type tickOut struct {
	out  [2 * tickFrames]float32
	left int // frames of out
}

// give fills dst with want frames, rendering ticks as they are needed, and
// returns how many there were; render makes the next tick, false = it is over.
func (t *tickOut) give(dst []float32, want int, render func() bool) (n int) {
	for n < want {
		if t.left == 0 {
			if !render() {
				break
			}
			t.left = tickFrames
		}
		k := min(want-n, t.left)
		from := tickFrames - t.left
		copy(dst[2*n:], t.out[2*from:2*(from+k)])
		t.left -= k
		n += k
	}
	return n
}
