package recording

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Spectrogram is the receiver's sound over time, for pictures.
type Spectrogram struct {
	ColumnS       float64   // seconds of one column
	LowHz, HighHz float64   // audio frequencies of the lower and upper edge
	Columns       [][]uint8 // power of each band from low to high, in half decibels over -110 dB
}

const (
	paintBins    = 40 // of 62.5 Hz: 250 to 2750 Hz
	paintFFT     = 64
	paintColumnS = 0.25
	paintLength  = baseRate / 4
	paintFloorDB = -110.0
)

// painter makes a spectrogram as samples come.
type painter struct {
	fft     *fourier.CmplxFFT
	window  []float64
	z       []complex128
	sum     [paintBins]float64
	rest    []complex64
	inside  int // samples of the column at hand
	count   int
	columns [][]uint8
}

func newPainter() *painter {
	return &painter{fft: fourier.NewCmplxFFT(paintFFT), window: hann(paintFFT), z: make([]complex128, paintFFT)}
}

func (p *painter) feed(x []complex64) {
	p.rest = append(p.rest, x...)
	used := 0
	for ; used+paintFFT <= len(p.rest); used += paintFFT {
		p.add(p.rest[used : used+paintFFT])
		if p.inside += paintFFT; p.inside >= paintLength {
			p.close()
			p.inside -= paintLength
		}
	}
	p.rest = p.rest[:copy(p.rest, p.rest[used:])]
}

func (p *painter) add(x []complex64) {
	for k, v := range x {
		p.z[k] = complex128(v) * complex(p.window[k], 0)
	}
	p.fft.Coefficients(p.z, p.z)
	for b := range p.sum {
		v := p.z[(b-paintBins/2+paintFFT)%paintFFT]
		p.sum[b] += real(v)*real(v) + imag(v)*imag(v)
	}
	p.count++
}

func (p *painter) close() {
	column := make([]uint8, paintBins)
	for b, e := range p.sum {
		db := decibel(e / float64(max(1, p.count)) / (paintFFT * paintFFT / 8))
		column[b] = uint8(math.Round(clamp(2*(db-paintFloorDB), 0, 255)))
	}
	p.columns = append(p.columns, column)
	p.sum, p.count = [paintBins]float64{}, 0
}

func (p *painter) spectrogram() *Spectrogram {
	return &Spectrogram{ColumnS: paintColumnS, LowHz: centreHz - halfBand, HighHz: centreHz + halfBand, Columns: p.columns}
}
