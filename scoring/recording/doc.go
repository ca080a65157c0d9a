// Package recording measures how well zero beat was held in a recording of a
// real contact: the own offset against time, when the key was down, the delay
// and the strength of the return.
//
// From a stereo recording (microphone on one side, receiver on the other)
// each moment of the receiver is held against the microphone of a moment
// before: the product of the two analytic signals, one conjugated, turns the
// voice into a line at the offset. The lag is searched over everything that
// was spoken, the offset is followed through short spectra of the product by
// a path of least cost that may drift and jump, and each value is refined by
// a chirp fitted round it. From a mono recording of the receiver the offset is
// measured blindly, by the comb of the voice's harmonics, with less certainty,
// and never rated. CW is measured by its tone: carriers are followed through
// short spectra, and the own is told from others' by the sidetone's keying or
// by the own call.
//
// Everything here is pure: samples come through a Source, nothing reads a
// file or the clock. Methods whose source is not named are this project's own,
// and so are constants that none is named for; verify/ holds the results
// against recordings made by an independent program.
package recording
