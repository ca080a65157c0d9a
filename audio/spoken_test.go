package audio

import (
	"math"
	"testing"
)

// A recording of a spoken text comes out at the level of the bundled words,
// 0.1 RMS of its voiced part and 0.7 at most, whatever its rate, level and
// peaks; silence and what is no number stay silent. The figures are ours.
func TestSpokenRecordingHasTheBundledLevel(t *testing.T) {
	const seconds = 2
	for _, rate := range []int{8000, 16000, 22050, 48000} {
		for _, amplitude := range []float64{0.01, 1} {
			x := make([]float32, seconds*rate)
			for i := range x { // half of it a pause
				if i < len(x)/2 {
					x[i] = float32(amplitude * math.Sin(2*math.Pi*500*float64(i)/float64(rate)))
				}
			}
			x[rate/2] = float32(20 * amplitude) // a click
			u := (&Recording{Rate: rate, Samples: x}).Utterance()
			y := u.Samples()
			if math.Abs(u.Seconds()-seconds) > 0.001 {
				t.Errorf("%d Hz: %.3f s of %d", rate, u.Seconds(), seconds)
			}
			sum, peak := 0.0, 0.0
			for i, v := range y {
				if i > len(y)/8 && i < len(y)/5 {
					sum += float64(v) * float64(v)
				}
				peak = math.Max(peak, math.Abs(float64(v)))
			}
			if rms := math.Sqrt(sum / float64(len(y)/5-len(y)/8)); peak > 0.7 || rms < 0.02 || rms > 0.11 {
				t.Errorf("%d Hz, amplitude %g: RMS %.3f, peak %.2f", rate, amplitude, rms, peak)
			}
		}
	}
	for name, v := range map[string]float32{"silence": 0, "no number": float32(math.NaN()), "infinity": float32(math.Inf(1))} {
		x := make([]float32, 1600)
		for i := range x {
			x[i] = v
		}
		for _, y := range (&Recording{Rate: 16000, Samples: x}).Utterance().Samples() {
			if y != 0 {
				t.Fatalf("%s is heard as %g", name, y)
			}
		}
	}
}
