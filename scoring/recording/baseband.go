package recording

import (
	"math"
	"math/cmplx"
)

// The voice band 250..2750 Hz is carried as complex samples round its middle.
const (
	baseRate = 4000   // complex samples in a second
	centreHz = 1500.0 // audio frequency that becomes zero
	halfBand = 1250.0 // Hz to either side that is kept
)

// downmixer turns real samples of any rate into complex ones of baseRate:
// a polyphase low-pass whose taps carry the oscillator, then a sharper
// low-pass at the lower rate. Output sample m belongs to the time m/baseRate.
type downmixer struct {
	rate   int
	taps   [][]complex64 // a row for each phase between input samples
	step   int           // input samples * phases for one output sample
	phases int
	in     []float32 // what is still needed, oldest first
	next   int       // of the next output, input samples * phases after in[0]
	turn   int       // phase of the oscillator, of 8
	sharp  *lowpass
	out    []complex64
}

func newDownmixer(rate int) *downmixer {
	g := gcd(rate, baseRate)
	d := &downmixer{rate: rate, phases: baseRate / g, step: rate / g, sharp: newLowpass(halfBand, baseRate, 63)}
	// Pass 1250 Hz, stop from 2750 Hz on, whose images begin to fall into the band.
	length := max(32, int(math.Ceil(float64(rate)/1500*3.6))|1+1)
	cut := 2000.0
	if float64(rate) < 2*(centreHz+cut) {
		cut = float64(rate)/2 - centreHz // an old rate: what is there is all that there is
	}
	half := length / 2
	for p := range d.phases {
		row := make([]complex64, length)
		var sum complex128
		frac := float64(p) / float64(d.phases)
		for k := range row {
			t := float64(k-half+1) - frac // input samples from the output's time
			h := sinc(2*cut*t/float64(rate)) * kaiser(t/float64(half), 5.5)
			row[k] = complex64(complex(h, 0) * cmplx.Rect(1, -2*math.Pi*centreHz*t/float64(rate)))
			sum += complex(h, 0)
		}
		for k := range row {
			row[k] /= complex64(sum)
		}
		d.taps = append(d.taps, row)
	}
	d.in = make([]float32, half-1) // silence before the beginning
	return d
}

// feed takes samples and returns the output that they complete; the slice is
// good until the next call.
func (d *downmixer) feed(samples []float32) []complex64 {
	d.in = append(d.in, samples...)
	d.out = d.out[:0]
	length := len(d.taps[0])
	for {
		first := d.next / d.phases
		if first+length > len(d.in) {
			break
		}
		var re, im float32
		row := d.taps[d.next%d.phases]
		for k, x := range d.in[first : first+length] {
			re += x * real(row[k])
			im += x * imag(row[k])
		}
		d.out = append(d.out, complex(re, im)*eighth[d.turn])
		d.turn = (d.turn + 5) % 8 // -1500 Hz at 4000/s: three eighths backwards
		d.next += d.step
	}
	if drop := d.next / d.phases; drop > 0 {
		drop = min(drop, len(d.in))
		n := copy(d.in, d.in[drop:])
		d.in = d.in[:n]
		d.next -= drop * d.phases
	}
	return d.sharp.feed(d.out)
}

// eighth are the eighths of a turn.
var eighth = func() (t [8]complex64) {
	for i := range t {
		t[i] = complex64(cmplx.Rect(1, 2*math.Pi*float64(i)/8))
	}
	return t
}()

// lowpass is a real FIR filter over complex samples without delay: it looks
// ahead, and gives its last samples when flushed.
type lowpass struct {
	taps []float32
	in   []complex64
	out  []complex64
}

// newLowpass returns a windowed-sinc low-pass with an odd number of taps.
func newLowpass(edgeHz, rate float64, taps int) *lowpass {
	l := &lowpass{taps: make([]float32, taps), in: make([]complex64, taps/2)}
	sum := 0.0
	h := make([]float64, taps)
	for k := range h {
		t := float64(k - taps/2)
		h[k] = sinc(2*edgeHz*t/rate) * kaiser(t/float64(taps/2+1), 6)
		sum += h[k]
	}
	for k := range h {
		l.taps[k] = float32(h[k] / sum)
	}
	return l
}

func (l *lowpass) feed(x []complex64) []complex64 {
	l.in = append(l.in, x...)
	l.out = l.out[:0]
	n := len(l.taps)
	i := 0
	for ; i+n <= len(l.in); i++ {
		var re, im float32
		for k, v := range l.in[i : i+n] {
			re += real(v) * l.taps[k]
			im += imag(v) * l.taps[k]
		}
		l.out = append(l.out, complex(re, im))
	}
	l.in = l.in[:copy(l.in, l.in[i:])]
	return l.out
}

// tail is how many samples of silence bring out the last real ones.
func (d *downmixer) tail() int {
	return len(d.taps[0]) + (len(d.sharp.taps)/2+1)*(d.rate/baseRate+1)
}

func sinc(x float64) float64 {
	if math.Abs(x) < 1e-9 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// kaiser is the Kaiser window at x in -1..1.
func kaiser(x, beta float64) float64 {
	if x <= -1 || x >= 1 {
		return 0
	}
	return bessel0(beta*math.Sqrt(1-x*x)) / bessel0(beta)
}

// bessel0 is the modified Bessel function of order zero, by its power series.
func bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-12*sum; k++ {
		term *= x * x / (4 * k * k)
		sum += term
	}
	return sum
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
