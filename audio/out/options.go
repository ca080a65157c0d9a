package out

import (
	"runtime"
	"time"
)

// Options are the buffers between the engine and the ear. A zero value is
// the default for the system.
type Options struct {
	Device time.Duration // buffer of the sound device, two periods
	Player time.Duration // queue between the engine and the device, at least a period and a tick
}

// tickLength is what the engine renders at once.
const tickLength = 5 * time.Millisecond

// Effective returns the buffers that a sink made with these options asks for.
func (o Options) Effective() Options { return o.withDefaults() }

// withDefaults fills in the buffers that run clean: on Linux the shortest that were
// measured here, elsewhere as reported by users of the library (20 ms Windows and 40 ms macOS are the
// least that were found to do). In a browser it is how far ahead of its time
// sound is handed over: longer than a picture takes to draw.
func (o Options) withDefaults() Options {
	if o.Device <= 0 {
		switch runtime.GOOS {
		case "darwin":
			o.Device = 40 * time.Millisecond
		case "windows":
			o.Device = 30 * time.Millisecond
		case "js":
			o.Device = 80 * time.Millisecond
		default:
			o.Device = 2 * tickLength // a period is a tick: nothing waits for the rest of one
		}
	}
	o.Device = max(4*time.Millisecond, min(o.Device, time.Second))
	if least := o.Device/2 + tickLength; o.Player < least {
		o.Player = least
	}
	o.Player = min(o.Player, time.Second)
	return o
}
