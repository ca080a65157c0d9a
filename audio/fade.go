package audio

import "math"

// fader is the gain of everything: the soft start of a run, the fade to
// silence and back around a pause, and the end.
type fader struct {
	level float32 // at the end of the last tick, [0, 1]
	up    float32 // rise per tick
	want  float32
}

// Fades around a pause and at the end, in ticks of 5 ms.
const (
	fadeOutTicks = 4
	fadeInTicks  = 10
)

// start begins from silence with a rise over so many seconds.
func (f *fader) start(seconds float64) {
	*f = fader{up: float32(1 / math.Max(1, seconds*SampleRate/tickFrames))}
}

// aim says whether sound is wanted.
func (f *fader) aim(on bool) {
	if on {
		f.want = 1
		return
	}
	f.want = 0
	f.up = 1.0 / fadeInTicks
}

func (f *fader) silent() bool { return f.level == 0 && f.want == 0 }

// tick returns the gain at the start and the end of this tick.
func (f *fader) tick() (from, to float32) {
	from = f.level
	if f.want > f.level {
		f.level = min(f.want, f.level+f.up)
	} else {
		f.level = max(f.want, f.level-1.0/fadeOutTicks)
	}
	return from, f.level
}
