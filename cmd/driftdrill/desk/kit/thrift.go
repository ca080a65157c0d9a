//go:build !nodesk

package kit

import "time"

// thrift draws half as many pictures where the program takes much of the
// processors, and lets no frame pass in which there is nothing new: the library
// shows the whole window in each, and makes more of them than updates where
// the display does not hold it back. Where the processors draw, a frame costs
// 15 to 25 ms of one core at 1280x720; the sound needs them more than the eye does. It
// does not ask who draws: a small computer is short of processors in other ways too.
type thrift struct {
	spent func() time.Duration // what all threads of the program have taken of the processors so far; nil = not known, and every picture is drawn

	halves  bool
	painted int // update in which a picture was worked out last
	updated time.Time
	held    time.Duration // from the update to the end of its frame's drawing, at least
	looked  int           // update of the last look at what is spent
	at      time.Time
	was     time.Duration // spent by then
}

// frame takes note of a frame after so many updates, none or more, and tells for
// how long it is to be held back before it is shown: as long as lets the next one
// come with the next update, found step by step. No update waits for it.
func (t *thrift) frame(updates int, now time.Time) time.Duration {
	switch {
	case !t.halves:
		t.held = 0
	case updates == 0:
		t.held = min(t.held+time.Millisecond, heldMost)
	case updates > 1:
		t.held = max(t.held-2*time.Millisecond, 0)
	}
	if updates == 0 {
		return 0
	}
	return max(0, t.held-now.Sub(t.updated))
}

// heldMost leaves a frame of 60 a second 4 ms to be shown in.
const heldMost = 12 * time.Millisecond

const (
	thriftEvery = 60 // updates from look to look
	// Cores from which on half the pictures are drawn, and under which all of them
	// are again. A flight then cost 0.44 of what it had cost where that fell most,
	// on two cores in software: 0.21 is less than that of 0.5, so that it stays at one.
	thriftFrom = 0.5
	thriftTo   = 0.21
)

// look takes note of what the program has taken of the processors.
func (t *thrift) look(frame int, now time.Time) {
	t.updated = now
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
