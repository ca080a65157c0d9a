package audio

import (
	"math"
	"testing"
)

// What is played stays under the limiter's ceiling whatever was recorded, starts
// softly, keeps its two sides apart, and ends when it is over.
func TestPlayback(t *testing.T) {
	const rate = 16000
	left, right := make([]float32, rate), make([]float32, rate)
	for i := range left {
		left[i] = float32(0.001 * math.Sin(2*math.Pi*440*float64(i)/rate))
	}
	left[rate/2], left[rate/2+1] = float32(math.Inf(1)), float32(math.NaN())
	right[rate/4] = 1e9
	p := NewPlayback(left, right, rate, 12)
	dst := make([]float32, 2*777)
	var all []float32
	for {
		n := p.Fill(dst)
		all = append(all, dst[:2*n]...)
		if n < 777 {
			break
		}
	}
	if len(all) != 2*SampleRate || p.Frames() != SampleRate {
		t.Fatalf("%d samples, %d frames", len(all), p.Frames())
	}
	for i, v := range all {
		if !(v <= limiterCeiling && v >= -limiterCeiling) {
			t.Fatalf("sample %d is %g", i, v)
		}
	}
	for i := range SampleRate / 200 {
		if math.Abs(float64(all[2*i])) > 0.02 {
			t.Fatalf("it starts at %g", all[2*i])
		}
	}
	if n := testing.AllocsPerRun(10, func() { p.Fill(dst) }); n > 0 {
		t.Errorf("%g allocations in a Fill", n)
	}
}
