package audio

// Rates and block lengths of one tick.
const (
	passRate = 96000 // passband, Hz
	baseRate = 12000 // inside the receiver, Hz

	tickFrames  = 240 // at SampleRate
	passSamples = 480
	baseSamples = 60
)

// Filter is the receiver's channel filter.
type Filter uint8

// The filters.
const (
	FilterSSB Filter = iota // 300-2700 Hz
	FilterCW                // 500 Hz wide around the pitch
)

// PassHz are the edges of a filter's pass band, Hz of audio, where the pitch of
// CW is so many Hz (0 is 700).
func (f Filter) PassHz(pitchHz float64) (low, high float64) {
	if f != FilterCW {
		return 300, 2700
	}
	if pitchHz == 0 {
		pitchHz = defaultPitchHz
	}
	return pitchHz - 250, pitchHz + 250
}

// ssbCentreHz is the middle of the speech band: the receiver and the voices
// work on speech moved down by it, where the band 300-2700 Hz lies
// symmetrically about zero.
const ssbCentreHz = 1500

// receiver turns the passband into audio by the filter method: mix the middle
// of the wanted band to zero, decimate to 12 kHz, low-pass, AGC, interpolate
// to 48 kHz, move back up, real part. All stages have linear phase; the
// group delay is 8 ms.
type receiver struct {
	mixer   oscillator
	up      oscillator
	dec     *firDecimator // 96 to 12 kHz
	ssb, cw *firDecimator // channel filters, no decimation
	interp  *firInterpolator
	agc     agc
	filter  Filter
	pitchHz float64
	lsb     bool

	mixRe, mixIm [passSamples]float32
	lowRe, lowIm [baseSamples]float32
	bandRe       [baseSamples]float32
	bandIm       [baseSamples]float32
	outRe, outIm [tickFrames]float32
	power        float32 // mean square in the filter over the last tick
}

// Filter designs. Pass band of the SSB filter 300-2700 Hz: half amplitude at
// 150 and 2850 Hz, stop band from 0 and 3000 Hz on.
const (
	filterTaps  = 169
	filterDB    = 68
	ssbCutoffHz = 1350
	cwCutoffHz  = 400 - 150 // half amplitude 250 Hz from the pitch
)

func newReceiver() *receiver {
	r := &receiver{
		dec:    newFIRDecimator(lowPass(48, 6000, passRate, 72), passRate/baseRate, passSamples),
		ssb:    newFIRDecimator(lowPass(filterTaps, ssbCutoffHz, baseRate, filterDB), 1, baseSamples),
		cw:     newFIRDecimator(lowPass(filterTaps, cwCutoffHz, baseRate, filterDB), 1, baseSamples),
		interp: newFIRInterpolator(lowPass(24, 6000, SampleRate, 68), SampleRate/baseRate, baseSamples),
	}
	r.pitchHz = 700
	r.agc.floor = agcFloor
	r.agc.set(AGCMedium, baseRate)
	r.agc.reset()
	return r
}

// middle is the audio frequency of the middle of the filter, Hz.
func (r *receiver) middle() float64 {
	if r.filter == FilterCW {
		return r.pitchHz
	}
	return ssbCentreHz
}

// run receives one tick. dialHz is the frequency of the suppressed carrier in
// the passband at the end of the tick. audio gets tickFrames samples: a steady
// signal comes out with amplitude 1.
func (r *receiver) run(audio []float32, re, im []float32, dialHz float64) {
	mid := r.middle()
	mix := dialHz + mid
	if r.lsb {
		mix = dialHz - mid
	}
	copy(r.mixRe[:], re)
	copy(r.mixIm[:], im)
	r.mixer.next(-mix, passRate, passSamples).rotate(r.mixRe[:], r.mixIm[:])
	r.dec.run(r.lowRe[:], r.lowIm[:], r.mixRe[:], r.mixIm[:])
	if r.lsb {
		for i, y := range r.lowIm {
			r.lowIm[i] = -y
		}
	}
	channel := r.ssb
	if r.filter == FilterCW {
		channel = r.cw
	}
	channel.run(r.bandRe[:], r.bandIm[:], r.lowRe[:], r.lowIm[:])
	var power float32
	for i, x := range r.bandRe {
		y := r.bandIm[i]
		power += x*x + y*y
	}
	r.power = power / baseSamples
	r.agc.run(r.bandRe[:], r.bandIm[:])
	r.interp.run(r.outRe[:], r.outIm[:], r.bandRe[:], r.bandIm[:])
	r.up.next(mid, SampleRate, tickFrames).rotate(r.outRe[:], r.outIm[:])
	copy(audio, r.outRe[:])
}

// tune puts the oscillators on a dial without a ramp, for the first tick.
func (r *receiver) tune(dialHz float64) {
	mid := r.middle()
	r.mixer.freq = -(dialHz + mid)
	if r.lsb {
		r.mixer.freq = -(dialHz - mid)
	}
	r.up.freq = mid
}

// Delays of the signal path, ms: of the receiver's filters (half their
// lengths) and of the limiter. A turn of the knob is heard after these, what
// is queued before the device, and the device.
const (
	ReceiverDelayMS = 1000 * ((48-1)/2.0/passRate + (filterTaps-1)/2.0/baseRate + (24-1)/2.0/SampleRate)
	OutputDelayMS   = 1000 * (limiterAhead + 1.0) / SampleRate
)
