package audio

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/dsp/fourier"
)

// scopeSamples is the length of one panorama: 42.7 ms, bins of 23.4 Hz.
const scopeSamples = 4096

// scope keeps the latest passband samples for the panorama.
type scope struct {
	mu       sync.Mutex // held for copies only
	re, im   [scopeSamples]float32
	end      int
	centreHz float64
	noise    float32 // amplitude of the noise over the whole passband

	work   sync.Mutex // held by whoever transforms
	fft    *fourier.CmplxFFT
	window []float64
	in     []complex128
	out    []complex128
}

func newScope() *scope {
	s := &scope{fft: fourier.NewCmplxFFT(scopeSamples)}
	s.window = make([]float64, scopeSamples)
	for i := range s.window { // Hann, equivalent noise bandwidth 1.5 bins (Harris 1978)
		s.window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/scopeSamples)
	}
	s.in = make([]complex128, scopeSamples)
	s.out = make([]complex128, scopeSamples)
	return s
}

// put appends the samples of one tick.
func (s *scope) put(re, im []float32, centreHz float64, noise float32) {
	s.mu.Lock()
	for len(re) > 0 {
		n := copy(s.re[s.end:], re)
		copy(s.im[s.end:], im[:n])
		s.end = (s.end + n) % scopeSamples
		re, im = re[n:], im[n:]
	}
	s.centreHz = centreHz
	s.noise = noise
	s.mu.Unlock()
}

// Spectrum fills dst with the panorama: the power of the latest passband
// samples (42.7 ms, Hann window) in len(dst) equal cells from centreHz -
// spanHz/2 up, in dB over the mean noise power of a cell. Noise alone is 0 dB
// on average; a steady carrier stands at its S/N in 2400 Hz plus
// 10 log(2400/35 Hz) spread over its cell. Safe from any goroutine.
func (e *Engine) Spectrum(dst []float32) (centreHz, spanHz float64) {
	s := e.scope
	s.work.Lock()
	defer s.work.Unlock()
	s.mu.Lock()
	for i := range s.in {
		k := (s.end + i) % scopeSamples
		s.in[i] = complex(float64(s.re[k])*s.window[i], float64(s.im[k])*s.window[i])
	}
	centreHz = s.centreHz
	noise := float64(s.noise)
	s.mu.Unlock()
	s.fft.Coefficients(s.out, s.in)
	// A bin of noise with mean square n^2 has the mean power n^2 sum(w^2) = n^2 N 3/8.
	scale := 1 / (math.Max(noise*noise, 1e-20) * scopeSamples * 3 / 8)
	for i := range dst {
		from := i * scopeSamples / len(dst)
		to := max(from+1, (i+1)*scopeSamples/len(dst))
		sum := 0.0
		for k := from; k < to; k++ {
			x := s.out[(k+scopeSamples/2)%scopeSamples]
			sum += real(x)*real(x) + imag(x)*imag(x)
		}
		dst[i] = float32(10 * math.Log10(math.Max(sum*scale/float64(to-from), 1e-12)))
	}
	return centreHz, passRate
}
