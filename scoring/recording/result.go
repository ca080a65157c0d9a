package recording

import (
	"math"
	"slices"
)

// RowS is the spacing of a result's rows, seconds.
const RowS = 0.1

// Row is what is known of one moment.
type Row struct {
	TimeS      float64 // from the beginning of the recording
	OffsetHz   float64 // own voice minus true pitch, + is too high; NaN where it cannot be told
	Confidence float64 // 0..1 that the offset is the right line and no neighbour of it
	// SNRDB is the power of the return over that of all else that the receiver
	// gives out, both from 250 to 2750 Hz and over the 0.6 s round the moment,
	// pauses of speech among it, dB within -20..40; NaN where nothing was spoken.
	SNRDB   float64
	RateHzS float64 // how fast the offset moves between notches; NaN where it cannot be told
	// GuessHz is, ByVoice, the likeliest offset also where it cannot be told, for
	// judging the method; NaN where there is not even that, and by other methods 0 or NaN.
	GuessHz float64
	Keyed   bool
	said    float64 // mean energy of the microphone in it
}

// Known tells whether the row has an offset.
func (r *Row) Known() bool { return !math.IsNaN(r.OffsetHz) }

// Over is one stretch of talking whose return was heard.
type Over struct {
	FromS, ToS float64
	DelayS     float64 // from microphone to receiver
}

// Sides of a recording.
const (
	Unknown = -1
	Left    = 0
	Right   = 1
)

// Method is how the offset was measured.
type Method string

// Methods.
const (
	ByMicrophone Method = "microphone and receiver"
	ByVoice      Method = "receiver alone, by the voice's harmonics"
	ByTone       Method = "receiver alone, by a tone"
	BySidetone   Method = "sidetone and receiver, by the tone"
)

// Result is what a recording tells.
type Result struct {
	Method   Method
	LengthS  float64
	Rows     []Row
	Overs    []Over
	Mic      int     // the side with the microphone; Unknown where it could not be found
	DelayS   float64 // median over the overs, seconds
	SpokenS  float64 // time in which the microphone heard talking
	Sides    []Side
	Notes    []Note
	LeakDB   float64 // of the receiver in the microphone, dB; 0 where none was noticed
	Mirrored bool    // the voice comes back with its spectrum turned over: wrong sideband
	MirrorHz float64 // then: audio frequency of the own carrier

	Spectrogram *Spectrogram // of the receiver
}

// Options of an analysis.
type Options struct {
	Mic     int     // Left or Right where it is known, else Unknown
	Mono    bool    // take the receiver alone even where there are two sides
	Tone    bool    // measure a tone, CW or a whistle, instead of the voice
	PitchHz float64 // of the own tone at zero beat, which it asks for too; 0 where the sidetone must tell
	Call    string  // own, as it is sent in CW: tells the own carrier from others'; may be empty
	// RateHzS is the pass's predicted drift of the own offset with no dial turned, at a
	// time from the recording's beginning; nil where the pass is not known.
	RateHzS func(timeS float64) float64
}

// Told tells whether the offset of any moment could be told.
func (r *Result) Told() bool {
	return slices.ContainsFunc(r.Rows, func(row Row) bool { return row.Known() })
}

// MedianSNRDB is the median strength of the return while it was spoken, dB.
func (r *Result) MedianSNRDB() float64 {
	var x []float64
	for i := range r.Rows {
		if row := &r.Rows[i]; row.Keyed && row.Known() && !math.IsNaN(row.SNRDB) {
			x = append(x, row.SNRDB)
		}
	}
	return medianOf(x)
}
