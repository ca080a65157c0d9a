package onair

import (
	"context"
	"math"
	"math/cmplx"
	"slices"

	"driftdrill/scoring/recording"

	"gonum.org/v1/gonum/dsp/fourier"
)

// SoundsLikeCW tells whether a sound file is CW, or a whistle, and no speech: in
// its first ten minutes the loud moments of a side are one tone, again and again
// of the same pitch. A weak return alone does not show it. A file that cannot be
// read sounds like nothing.
func SoundsLikeCW(ctx context.Context, path string) bool {
	s, err := Open(path)
	if err != nil {
		return false
	}
	defer s.Close()
	return toneIn(&stoppable{s.Stream, ctx})
}

// How a tone is told from speech and music. Limits are our own choice: sidetones
// and returns 10 dB over the noise have 84 % and more of their loud moments in
// one tone, and 47 % and more of them near one pitch; six espeak-ng voices at
// most 30 % in one tone, made-up music 9 % near one pitch.
const (
	listenS    = 600.0 // most that is listened to
	listenHz   = 8000  // rate that is enough
	momentS    = 0.064
	loudest    = 0.95 // a loud moment has a tenth of the power of this quantile
	loudPart   = 0.1
	toneLowHz  = 200.0
	toneHighHz = 3000.0
	tonePart   = 0.7  // of a moment's power, in five lines of its spectrum
	toneShare  = 0.75 // of the loud moments are so
	toneNearHz = 25.0 // of the median pitch
	toneStays  = 0.4  // of the loud moments lie there
	leastLoud  = 20   // moments
)

// moment is one stretch of momentS of one side.
type moment struct{ power, part, hz float64 }

// toneIn listens to the first two sides.
func toneIn(src recording.Source) bool {
	sides := make([]*ear, min(2, src.Channels()))
	for i := range sides {
		sides[i] = newEar(src.Rate())
	}
	channels := src.Channels()
	buf := make([]float32, 8192*channels)
	for done := 0; float64(done) < listenS*float64(src.Rate()); {
		n, err := src.Read(buf)
		for i, e := range sides {
			for k := range n {
				e.add(float64(buf[k*channels+i]))
			}
		}
		if done += n; err != nil || n == 0 {
			break
		}
	}
	return slices.ContainsFunc(sides, (*ear).tone)
}

// ear collects the moments of one side.
type ear struct {
	every   int // samples of the file make one
	rate    float64
	sum     float64
	count   int
	x       []float64
	window  []float64
	fft     *fourier.FFT
	lines   []complex128
	moments []moment
}

func newEar(rate int) *ear {
	e := &ear{every: max(1, rate/listenHz)}
	e.rate = float64(rate) / float64(e.every)
	n := 1 << int(math.Round(math.Log2(e.rate*momentS)))
	e.fft, e.window = fourier.NewFFT(n), make([]float64, n)
	for i := range e.window {
		e.window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(n))
	}
	return e
}

// add takes a sample of the file.
func (e *ear) add(v float64) {
	e.sum += v
	if e.count++; e.count < e.every {
		return
	}
	e.x = append(e.x, e.sum*e.window[len(e.x)])
	e.sum, e.count = 0, 0
	if len(e.x) == len(e.window) {
		e.moments = append(e.moments, e.moment())
		e.x = e.x[:0]
	}
}

// moment measures what was collected.
func (e *ear) moment() moment {
	e.lines = e.fft.Coefficients(e.lines, e.x)
	n := float64(len(e.window))
	low := int(toneLowHz * n / e.rate)
	high := min(int(toneHighHz*n/e.rate), len(e.lines)-1)
	var m moment
	best, most := low, 0.0
	power := func(k int) float64 { a := cmplx.Abs(e.lines[k]); return a * a }
	for k := low; k <= high; k++ {
		p := power(k)
		if m.power += p; p > most {
			best, most = k, p
		}
	}
	if m.power == 0 {
		return m
	}
	for k := max(low, best-2); k <= min(high, best+2); k++ {
		m.part += power(k) / m.power
	}
	m.hz = float64(best) * e.rate / n
	return m
}

// tone tells whether the loud moments are one tone of one pitch.
func (e *ear) tone() bool {
	sounding := slices.DeleteFunc(e.moments, func(m moment) bool { return m.power == 0 })
	if len(sounding) == 0 {
		return false
	}
	quantile := func(x []float64, q float64) float64 { slices.Sort(x); return x[int(q*float64(len(x)-1))] }
	var powers []float64
	for _, m := range sounding {
		powers = append(powers, m.power)
	}
	least := loudPart * quantile(powers, loudest)
	loud := slices.DeleteFunc(sounding, func(m moment) bool { return m.power < least })
	var pitches []float64
	for _, m := range loud {
		pitches = append(pitches, m.hz)
	}
	middle := quantile(pitches, 0.5)
	pure, near := 0, 0
	for _, m := range loud {
		if m.part > tonePart {
			pure++
		}
		if math.Abs(m.hz-middle) <= toneNearHz {
			near++
		}
	}
	n := float64(len(loud))
	return len(loud) >= leastLoud && float64(pure) >= toneShare*n && float64(near) >= toneStays*n
}
