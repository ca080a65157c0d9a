package audio

// speechBand turns a real sound at SampleRate into speech as transmitters take it:
// analytic, and round the middle of its band. The way goes over the base rate, where
// the band is cut out and what the caller does to its level happens.
type speechBand struct {
	down oscillator
	dec  *firDecimator
	band *firDecimator
	up   *firInterpolator

	wideRe, wideIm [tickFrames]float32
	lowRe, lowIm   [baseSamples]float32
	outRe, outIm   [baseSamples]float32
}

func newSpeechBand() speechBand {
	return speechBand{
		down: oscillator{freq: -ssbCentreHz},
		dec:  newFIRDecimator(lowPass(24, 6000, SampleRate, 68), SampleRate/baseRate, tickFrames),
		band: newFIRDecimator(lowPass(filterTaps, ssbCutoffHz, baseRate, filterDB), 1, baseSamples),
		up:   newFIRInterpolator(lowPass(24, 6000, SampleRate, 68), SampleRate/baseRate, baseSamples),
	}
}

// cut takes the tick of sound in wideRe and leaves its band in outRe and outIm.
func (b *speechBand) cut() {
	clear(b.wideIm[:])
	b.down.next(-ssbCentreHz, SampleRate, tickFrames).rotate(b.wideRe[:], b.wideIm[:])
	b.dec.run(b.lowRe[:], b.lowIm[:], b.wideRe[:], b.wideIm[:])
	b.band.run(b.outRe[:], b.outIm[:], b.lowRe[:], b.lowIm[:])
}

// raise brings outRe and outIm back to SampleRate.
func (b *speechBand) raise(re, im []float32) { b.up.run(re, im, b.outRe[:], b.outIm[:]) }
