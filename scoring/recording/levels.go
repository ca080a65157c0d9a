package recording

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Side is what one side of a recording holds.
type Side struct {
	LevelDB  float64 // mean level without the steady part, dB of full scale
	PeakDB   float64 // dB of full scale
	OffsetDC float64 // of full scale
	Clipped  float64 // share of the samples that lie flat at a peak
	HighDB   float64 // density of what lies above 3.5 kHz against that of 1.5 to 2.7 kHz, dB: an SSB receiver has next to nothing there
	SpeechS  float64 // time in which something is spoken, or sounds as loud
}

// silentDB is the level below which a side is empty: the least significant bit
// of 16 bits makes -98 dB.
const silentDB = -80.0

// Lengths and limits of the look at the whole band.
const (
	snapshot    = 4096 // samples
	snapshotGap = 0.5  // seconds from one to the next
	flatRun     = 3    // equal samples at a peak that make a clipped one
	flatFrom    = 0.5  // of full scale: recorders clip above this
)

// meter measures the levels of one side as its samples come.
type meter struct {
	rate                int
	n                   int
	sum, power          float64
	peak                float32
	last                float32
	run                 int
	flat                int
	fft                 *fourier.FFT
	snap                []float64
	skip                int
	voice, high         float64 // power 1500 to 2700 Hz, and 3500 to 5500 Hz
	voiceBins, highBins int
}

func newMeter(rate int) *meter {
	return &meter{rate: rate, fft: fourier.NewFFT(snapshot), snap: make([]float64, 0, snapshot)}
}

func (m *meter) feed(x []float32) {
	for _, v := range x {
		m.sum += float64(v)
		m.power += float64(v) * float64(v)
		a := v
		if a < 0 {
			a = -a
		}
		m.peak = max(m.peak, a)
		if v == m.last && a > flatFrom {
			if m.run++; m.run >= flatRun-1 {
				m.flat++
			}
		} else {
			m.run = 0
		}
		m.last = v
	}
	m.n += len(x)
	m.look(x)
}

// look takes a spectrum now and then.
func (m *meter) look(x []float32) {
	for len(x) > 0 {
		if m.skip > 0 {
			n := min(m.skip, len(x))
			m.skip -= n
			x = x[n:]
			continue
		}
		n := min(snapshot-len(m.snap), len(x))
		for _, v := range x[:n] {
			m.snap = append(m.snap, float64(v))
		}
		x = x[n:]
		if len(m.snap) == snapshot {
			m.take()
			m.snap = m.snap[:0]
			m.skip = max(0, int(snapshotGap*float64(m.rate))-snapshot)
		}
	}
}

func (m *meter) take() {
	for i, w := range hannSnapshot {
		m.snap[i] *= w
	}
	for k, c := range m.fft.Coefficients(nil, m.snap) {
		hz := float64(k) * float64(m.rate) / snapshot
		e := real(c)*real(c) + imag(c)*imag(c)
		switch {
		case hz >= 3500 && hz <= 5500:
			m.high, m.highBins = m.high+e, m.highBins+1
		case hz >= 1500 && hz <= 2700:
			m.voice, m.voiceBins = m.voice+e, m.voiceBins+1
		}
	}
}

var hannSnapshot = hann(snapshot)

// side sums up.
func (m *meter) side() Side {
	n := math.Max(1, float64(m.n))
	mean := m.sum / n
	s := Side{LevelDB: decibel(math.Max(0, m.power/n-mean*mean)), PeakDB: 2 * decibel(float64(m.peak)), OffsetDC: mean, Clipped: float64(m.flat) / n}
	s.HighDB = -100
	if m.voice > 0 && m.high > 0 {
		s.HighDB = decibel(m.high / float64(m.highBins) / (m.voice / float64(m.voiceBins)))
	}
	return s
}

// wide tells that a side holds what no SSB receiver lets through: more than
// hiss, and far above 3 kHz.
func (s *Side) wide() bool { return s.HighDB > notRadioDB && s.HighDB < hissDB && s.LevelDB > -60 }

// Note is something to know about a recording.
type Note struct {
	Code string // one word for machines
	Text string // one sentence for people
}

// Codes of notes.
const (
	NoteCut      = "cut-off"      // the file ends before it should, or is damaged from some place on
	NoteShort    = "short"        // too short to measure
	NoteSilent   = "silent"       // nothing on either side
	NoteOneSide  = "one-side"     // one side is empty
	NoteSame     = "same-sides"   // both sides carry the same
	NoteClipped  = "clipped"      // too loud for the recorder
	NoteNoSpeech = "no-speech"    // nobody talks
	NoteNoReturn = "no-return"    // the microphone's voice is not in the other side
	NoteNotRadio = "not-a-radio"  // music or such: too wide for an SSB receiver
	NoteMirrored = "wrong-way-up" // the voice comes back with its spectrum turned over
	NoteLeak     = "leak"         // one side leaks into the other
	NoteUnrated  = "unrated"      // by the receiver alone
	NoteSeveral  = "several"      // tones of several stations, and nothing tells which is the own
	NotePitch    = "pitch"        // a tone, but its pitch at zero beat is not known
	NoteSidetone = "sidetone"     // the sidetone is in the recording
	NoteAside    = "aside"        // talking that did not come back, though the voice did before or after it
	NoteRaw      = "cannot-tell"  // so much of it could not be told
)

// Shares and levels for notes.
const (
	clippedShare = 0.002 // of the samples
	hissDB       = -3.0  // what is as dense above as below is a recorder's noise
	notRadioDB   = -18.0 // SSB filters cut by 40 dB and more; speech in the open and music fall by 5 to 15
)

var sideWords = [...]string{"left", "right"}

// levelNotes tells what the levels say.
func levelNotes(sides []Side) []Note {
	var notes []Note
	silent := 0
	for _, s := range sides {
		if s.LevelDB < silentDB {
			silent++
		}
	}
	switch {
	case silent == len(sides):
		return []Note{{NoteSilent, "The recording is silent: nothing on it is louder than -80 dB of full scale. Was the recorder's input plugged in?"}}
	case silent > 0:
		for i, s := range sides {
			if s.LevelDB < silentDB {
				notes = append(notes, Note{NoteOneSide, fmt.Sprintf("The %s side is silent; the other is taken for the receiver alone.", sideWords[i])})
			}
		}
	}
	for i, s := range sides {
		if s.Clipped > clippedShare {
			where := "The recording"
			if len(sides) > 1 {
				where = "The " + sideWords[i] + " side"
			}
			notes = append(notes, Note{NoteClipped, fmt.Sprintf("%s is clipped: %.1f %% of it lies flat at its peak. Record it at a lower level; what is measured is less sure.", where, 100*s.Clipped)})
		}
	}
	return notes
}
