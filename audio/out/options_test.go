package out

import (
	"runtime"
	"testing"
	"time"
)

// What waits between the engine and the ear on Linux is 20 ms at the most: a turn
// of the knob is heard within 42 ms in the median (audio/latency measures that),
// and 22 of these are the window's frame, receiver, limiter and sound server. A
// period is a tick, so that a whole number of them fills both buffers.
func TestBuffersThatNobodyChose(t *testing.T) {
	o := Options{}.withDefaults()
	if runtime.GOOS == "linux" && (o.Device+o.Player > 20*time.Millisecond || o.Device/2 != tickLength || o.Player%tickLength != 0) {
		t.Errorf("device %v, queue %v", o.Device, o.Player)
	}
	for _, asked := range []time.Duration{20, 40, 80, 160} { // the settings' longer ones
		o := Options{Device: asked * time.Millisecond}.withDefaults()
		if o.Device < asked*time.Millisecond || o.Player < o.Device/2+tickLength {
			t.Errorf("%d ms are asked for: device %v, queue %v", asked, o.Device, o.Player)
		}
	}
}
