package speech

import (
	"math"
	"testing"
)

// A tone keeps its pitch and level at any speed, and does not click.
func TestStretchingKeepsPitchAndLevel(t *testing.T) {
	x := make([]float32, Rate/2)
	for i := range x {
		x[i] = 0.3 * float32(math.Sin(2*math.Pi*220*float64(i)/Rate))
	}
	for _, speed := range []float64{0.6, 0.8, 1.3, 1.7, 2.2} {
		n := int(float64(len(x)) / speed)
		y := stretched(x, n)
		if len(y) != n {
			t.Fatalf("speed %v: %d samples, want %d", speed, len(y), n)
		}
		crossings, sum, step := 0, 0.0, 0.0
		for i := 1; i < len(y); i++ {
			if y[i-1] < 0 && y[i] >= 0 {
				crossings++
			}
			sum += float64(y[i]) * float64(y[i])
			step = math.Max(step, math.Abs(float64(y[i]-y[i-1])))
		}
		if hz := float64(crossings) / (float64(n) / Rate); math.Abs(hz-220) > 6 {
			t.Errorf("speed %v: %.0f Hz, want 220", speed, hz)
		}
		if db := 10 * math.Log10(sum/float64(n)/0.045); math.Abs(db) > 1 {
			t.Errorf("speed %v: level %.2f dB", speed, db)
		}
		if most := 0.3 * 2 * math.Pi * 220 / Rate; step > 1.5*most {
			t.Errorf("speed %v: a step of %.4f, in the tone %.4f", speed, step, most)
		}
	}
}

func TestStretchingTakesAnyLength(t *testing.T) {
	for _, n := range []int{0, 1, stretchPiece, 2 * stretchPiece, 2*stretchPiece + 1, 5000} {
		for _, m := range []int{0, 1, stretchHop, 2 * stretchPiece, 3000, 12000} {
			if y := stretched(make([]float32, n), m); len(y) > m {
				t.Errorf("%d samples in %d: %d", n, m, len(y))
			}
		}
	}
}
