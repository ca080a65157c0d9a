package out

import (
	"time"

	"driftdrill/audio"
)

// What a browser takes as the buffer of a script processor, frames: a power of
// two between these (Web Audio API, createScriptProcessor).
const leastBrowserFrames, mostBrowserFrames = 256, 16384

// browserBuffer is the shortest buffer that a browser takes and that is not
// shorter than asked for. The sound library counts bytes by cutting, so the time
// is rounded up to the nanosecond.
func browserBuffer(asked time.Duration) time.Duration {
	frames := time.Duration(leastBrowserFrames)
	for frames < mostBrowserFrames && frames*time.Second < asked*audio.SampleRate {
		frames *= 2
	}
	return (frames*time.Second + audio.SampleRate - 1) / audio.SampleRate
}
