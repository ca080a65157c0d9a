package recording

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Tones: CW dits and whistles, in the receiver alone. Their pitch minus what
// it is at zero beat is the offset.
const (
	toneFrame  = 200 // samples, 50 ms: a dit at 24 words a minute
	toneHop    = 100 // 25 ms
	toneFFT    = 2048
	toneBinHz  = float64(baseRate) / toneFFT
	tonePoolS  = 0.3 // to either side that is added up
	toneKeep   = 4 * baseRate
	toneReach  = 1000.0 // Hz from the pitch at zero beat
	toneClear  = 9.0    // times the median over frequency that a tone stands out, pooled
	vibratoHz  = 16.0   // what is averaged round a peak: a whistle's vibrato has sidebands 5 Hz off
	toneKeyed  = 0.15   // of the loudest in two seconds, from which the key is down
	toneNarrow = 0.35   // of the power within the reach that must lie near the peak while it sounds
)

// toneFinder follows one tone.
type toneFinder struct {
	pitchHz float64
	fft     *fourier.CmplxFFT
	window  []float64
	rowsTo  int // rows made so far
}

func newToneFinder(pitchHz float64) *toneFinder {
	return &toneFinder{pitchHz: pitchHz, fft: fourier.NewCmplxFFT(toneFFT), window: hann(toneFrame)}
}

// bins is the range of bins, in rising order, that is looked at.
func (t *toneFinder) bins() (from, to int) {
	low := math.Max(320, t.pitchHz-toneReach)
	high := math.Min(2700, t.pitchHz+toneReach)
	return int((low-centreHz)/toneBinHz) + toneFFT/2, int((high-centreHz)/toneBinHz) + toneFFT/2
}

// work makes the rows of a stretch, but for its last second unless it is the last.
func (t *toneFinder) work(x []complex64, start int, last bool) []Row {
	from, to := t.bins()
	var spectra [][]float64
	for i := 0; i+toneFrame <= len(x); i += toneHop {
		spectra = append(spectra, t.power(x[i:i+toneFrame], from, to))
	}
	endS := float64(start+len(x)) / baseRate
	if !last {
		endS -= 1
	}
	var rows []Row
	for ; float64(t.rowsTo)*RowS < endS; t.rowsTo++ {
		timeS := float64(t.rowsTo) * RowS
		at := (int(timeS*baseRate) - start - toneFrame/2) / toneHop
		rows = append(rows, t.row(spectra, timeS, at, from))
	}
	return rows
}

func (t *toneFinder) power(x []complex64, from, to int) []float64 {
	z := make([]complex128, toneFFT)
	for k, v := range x {
		z[k] = complex128(v) * complex(t.window[k], 0)
	}
	t.fft.Coefficients(z, z)
	p := make([]float64, to-from)
	for k := range p {
		v := z[(from+k+toneFFT/2)%toneFFT]
		p[k] = real(v)*real(v) + imag(v)*imag(v)
	}
	return p
}

// row measures the tone round one moment.
func (t *toneFinder) row(spectra [][]float64, timeS float64, at, from int) Row {
	row := Row{TimeS: timeS, OffsetHz: math.NaN(), RateHzS: math.NaN(), SNRDB: math.NaN()}
	reach := int(tonePoolS * baseRate / toneHop)
	first, last := max(0, at-reach), min(len(spectra), at+reach+1)
	if last-first < 4 {
		return row
	}
	sum := make([]float64, len(spectra[0]))
	for _, s := range spectra[first:last] {
		for k, v := range s {
			sum[k] += v
		}
	}
	best := 0
	for k, v := range sum {
		if v > sum[best] {
			best = k
		}
	}
	floor := math.Max(medianOf(sum), 1e-30)
	wide := int(math.Round(vibratoHz / toneBinHz))
	var w, wk, next float64
	for k, v := range sum {
		switch d := k - best; {
		case d >= -wide && d <= wide:
			w += v
			wk += v * float64(k)
		case d < -4*wide || d > 4*wide:
			next = math.Max(next, v)
		}
	}
	if sum[best] < toneClear*floor {
		return row
	}
	row.Confidence = clamp(1-next/sum[best], 0, 1)
	row.SNRDB = decibel(sum[best] / floor / (2400 / (1.5 * baseRate / toneFrame)))
	row.Keyed = t.sounds(spectra, at, best)
	if next <= cannotTell*sum[best] {
		row.OffsetHz = (wk/w+float64(from)-toneFFT/2)*toneBinHz + centreHz - t.pitchHz
	}
	return row
}

// sounds tells whether the tone is on at a moment.
func (t *toneFinder) sounds(spectra [][]float64, at, best int) bool {
	const around = 2 * baseRate / toneHop
	var loudest, now float64
	for k := max(0, at-around); k < min(len(spectra), at+around); k++ {
		loudest = math.Max(loudest, spectra[k][best])
	}
	for k := max(0, at-1); k < min(len(spectra), at+2); k++ {
		now = math.Max(now, spectra[k][best])
	}
	return now > toneKeyed*loudest
}
