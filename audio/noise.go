package audio

import "math/rand/v2"

// noiseSource gives complex white noise. Each of the two parts of a sample is
// the sum of four evenly distributed 16-bit numbers: its spectrum is exactly
// flat and, once a filter has averaged many samples, its distribution normal.
type noiseSource struct{ pcg *rand.PCG }

func newNoise(seed, stream uint64) noiseSource { return noiseSource{rand.NewPCG(seed, stream)} }

// quadScale makes the sum of four 16-bit numbers, less its mean, have the
// variance 1/2: four times (2^32-1)/12.
const (
	quadMean  = 2 * 65535
	quadScale = 1 / (37837.227 * 1.41421356) // 1 over sqrt(4 (2^32-1)/12) and sqrt 2
)

// add adds noise to re, im whose mean square (both parts together) goes
// linearly from a*a to b*b in amplitude over the block.
func (n noiseSource) add(re, im []float32, a, b float32) {
	im = im[:len(re)]
	g := a * quadScale
	step := (b - a) * quadScale / float32(len(re))
	for i := range re {
		u, v := n.pcg.Uint64(), n.pcg.Uint64()
		re[i] += g * quad(u)
		im[i] += g * quad(v)
		g += step
	}
}

func quad(u uint64) float32 {
	return float32(int32(u&0xffff) + int32(u>>16&0xffff) + int32(u>>32&0xffff) + int32(u>>48) - quadMean)
}
