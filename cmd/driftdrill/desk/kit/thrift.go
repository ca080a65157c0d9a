//go:build !nodesk

package kit

import "time"

// thrift draws half as many pictures where the program takes much of the
// processors. Where they draw, one picture of a flight costs 15 to 25 ms of
// one core at 1280x720; the sound needs them more than the eye does. It does
// not ask who draws: a small computer is short of processors in other ways too.
type thrift struct {
	spent func() time.Duration // what all threads of the program have taken of the processors so far; nil = not known, and every picture is drawn

	halves  bool
	painted int // update in which a picture was worked out last
	looked  int // update of the last look at what is spent
	at      time.Time
	was     time.Duration // spent by then
}

const (
	thriftEvery = 60 // updates from look to look
	// Cores from which on half the pictures are drawn, and under which all of them
	// are again. Half the pictures cost half at least, so that it stays at one.
	thriftFrom = 0.5
	thriftTo   = 0.25
)

// look takes note of what the program has taken of the processors.
func (t *thrift) look(frame int, now time.Time) {
	if t.spent == nil || frame-t.looked < thriftEvery {
		return
	}
	spent := t.spent()
	if passed := now.Sub(t.at); !t.at.IsZero() && passed > 0 {
		switch cores := float64(spent-t.was) / float64(passed); {
		case cores > thriftFrom:
			t.halves = true
		case cores < thriftTo:
			t.halves = false
		}
	}
	t.looked, t.at, t.was = frame, now, spent
}

// skips tells whether no picture is to be worked out in this update.
func (t *thrift) skips(frame int) bool {
	if t.halves && frame-t.painted < 2 {
		return true
	}
	t.painted = frame
	return false
}
