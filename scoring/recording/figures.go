package recording

import (
	"math"
	"sort"
)

func energyOf(x []complex64) float64 {
	var e float64
	for _, v := range x {
		e += float64(real(v))*float64(real(v)) + float64(imag(v))*float64(imag(v))
	}
	return e
}

func sortBy[T any](x []T, less func(a, b T) bool) {
	sort.SliceStable(x, func(i, j int) bool { return less(x[i], x[j]) })
}

// quantile returns the value below which a share q of x lies; 0 for none.
func quantile(x []float64, q float64) float64 {
	if len(x) == 0 {
		return 0
	}
	y := append([]float64(nil), x...)
	sort.Float64s(y)
	return y[min(len(y)-1, int(q*float64(len(y))))]
}

func medianOf(x []float64) float64 { return quantile(x, 0.5) }

// medianAndDeviation returns the median and a standard deviation that outliers
// do not move: 1.4826 times the median absolute deviation.
func medianAndDeviation(x []float64) (median, deviation float64) {
	median = medianOf(x)
	away := make([]float64, len(x))
	for i, v := range x {
		away[i] = math.Abs(v - median)
	}
	return median, 1.4826 * medianOf(away)
}

func decibel(ratio float64) float64 { return 10 * math.Log10(math.Max(ratio, 1e-12)) }

func clamp(x, low, high float64) float64 { return math.Max(low, math.Min(high, x)) }

func pow10(x float64) float64 { return math.Pow(10, x) }
