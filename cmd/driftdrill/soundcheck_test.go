package main

import (
	"strings"
	"testing"
	"time"

	"driftdrill/audio"
)

// The verdict is one line, and clean only where nothing ran dry and the sound
// kept up with the clock. The bound is that of a run that counts, 0.97.
func TestSoundCheckGivesAVerdict(t *testing.T) {
	for name, c := range map[string]struct {
		seconds   float64 // played
		underruns int64
		took      time.Duration
		clean     bool
		says      string
	}{
		"clean":           {4, 0, 4050 * time.Millisecond, true, "runs clean"},
		"dry":             {4, 3, 4050 * time.Millisecond, false, "ran dry 3 times in 4 s; try a longer buffer, --device-ms 40"},
		"slow, as found":  {300, 0, 411 * time.Second, false, "too slow, 0.73 s of sound in a second"},
		"barely too slow": {96, 0, 100 * time.Second, false, "too slow"},
		"just quick":      {97.5, 0, 100 * time.Second, true, "runs clean"},
		"dead":            {0, 0, 7 * time.Second, false, "takes no sound"},
	} {
		s := soundCheck{DeviceMS: 16, Seconds: 4, Frames: int64(c.seconds * audio.SampleRate), Underruns: c.underruns}
		s.judge(c.took)
		if s.Clean != c.clean || !strings.Contains(s.Verdict, c.says) || strings.Contains(s.Verdict, "\n") {
			t.Errorf("%s: %v, %q", name, s.Clean, s.Verdict)
		}
	}
}
