package out

import (
	"testing"
	"time"

	"driftdrill/audio"
)

// Whatever is asked for, the library hands a browser a power of two of frames:
// bytes = time x bytes a second, cut to whole frames, as oto v2.4.3 has it.
func TestABrowserGetsAPowerOfTwo(t *testing.T) {
	const bytesPerSecond = audio.SampleRate * 2 * 4
	for asked := time.Duration(0); asked <= time.Second; asked += 777 * time.Microsecond {
		b := browserBuffer(asked)
		bytes := int64(b) * bytesPerSecond / int64(time.Second)
		frames := bytes / 8
		if bytes%8 != 0 || frames&(frames-1) != 0 || frames < 256 || frames > 16384 {
			t.Fatalf("%v gives %v: %d bytes", asked, b, bytes)
		}
		if frames < 16384 && b < asked {
			t.Fatalf("%v gives %v", asked, b)
		}
	}
	if b := browserBuffer(60 * time.Millisecond); b.Round(time.Microsecond) != 85333*time.Microsecond {
		t.Errorf("60 ms give %v; 4096 frames are 85.333 ms", b)
	}
}
