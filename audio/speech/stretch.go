package speech

import "math"

// Stretching by overlap and add of pieces that fit together (WSOLA: Verhelst
// and Roelands, ICASSP 1993): pieces of 25 ms are taken from the recording at
// the other pace, each shifted by up to 6 ms to where it continues the one
// before best, and laid over each other with a Hann window. The pitch stays.
const (
	stretchPiece = Rate * 25 / 1000
	stretchHop   = stretchPiece / 2
	stretchReach = Rate * 6 / 1000
)

// stretched returns x in n samples.
func stretched(x []float32, n int) []float32 {
	if n == len(x) || len(x) < 2*stretchPiece || n < 2*stretchPiece {
		return x[:min(n, len(x))]
	}
	y := make([]float32, n+stretchPiece)
	weight := make([]float32, n+stretchPiece)
	pace := float64(len(x)-stretchPiece) / float64(n-stretchPiece)
	taken := 0 // where the piece before was taken
	for at := 0; at < n; at += stretchHop {
		from := min(int(math.Round(float64(at)*pace)), len(x)-stretchPiece)
		if at > 0 {
			from = continued(x, taken+stretchHop, from)
		}
		taken = from
		for i := range stretchPiece {
			w := stretchWindow[i]
			if at == 0 && i < stretchHop { // nothing lies under the first half piece
				w = 1
			}
			y[at+i] += w * x[from+i]
			weight[at+i] += w
		}
	}
	for i := range y[:n] {
		y[i] /= max(weight[i], 0.1)
	}
	return y[:n]
}

// continued finds, near from, the piece that is most like what followed the
// last one.
func continued(x []float32, next, from int) int {
	next = min(next, len(x)-stretchPiece)
	best, at := math.Inf(-1), from
	for d := -stretchReach; d <= stretchReach; d++ {
		k := from + d
		if k < 0 || k+stretchPiece > len(x) {
			continue
		}
		var sum, energy float32
		for i := 0; i < stretchPiece; i += 2 {
			sum += x[k+i] * x[next+i]
			energy += x[k+i] * x[k+i]
		}
		if c := float64(sum) / math.Sqrt(float64(energy)+1e-9); c > best {
			best, at = c, k
		}
	}
	return at
}

var stretchWindow = func() (w [stretchPiece]float32) {
	for i := range w {
		w[i] = float32(0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/stretchPiece))
	}
	return w
}()
