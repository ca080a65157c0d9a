package port

import (
	"context"
	"time"

	"driftdrill/sim"
)

// Recording is a recording of a real contact as it was measured. Its functions
// may take long; those that are nil cannot be done with it.
type Recording struct {
	Name    string      // of the file
	Notes   []string    // what to know about it, a sentence each
	Facts   [][2]string // name and value
	Began   time.Time   // its first sample; zero where nobody has told
	LengthS float64     // seconds
	Told    bool        // an offset could be told somewhere in it
	Place   string      // from which the bird was heard, in words
	Pass    string      // "LARK-1, top 64° at 09:36 UTC"; "" = none is laid beside it
	About   *About      // with Result, for the debrief; nil where nothing can be marked
	Result  *Result

	// Offsets are the own ones, as far as they were told, in the order of time,
	// where nothing is marked; none where Result has them. Replay and Unheard are
	// as in Result.
	Offsets []OffsetPoint
	Replay  func(from, length sim.Tick) (stop func(), at func() sim.Tick, err error)
	Unheard func() bool

	// Passes are those in which it can have been made: up at began or, where
	// wholeDay is asked for, on that day, best first.
	Passes func(ctx context.Context, began time.Time, wholeDay bool, p Progress) ([]AirPass, error)
	// Lay lays a pass beside it and returns the recording with what that tells.
	Lay func(ctx context.Context, l Laying, p Progress) (*Recording, error)

	// Correction is what it tells of the oscillators; nil = nothing.
	Correction *Correction
	// Keep keeps something of it, one of the Keep constants, and says what
	// became of it; Keeps are those that it can keep.
	Keep  func(ctx context.Context, what string) (says string, err error)
	Keeps []string

	Stretches [][2]float64 // the minute round each of its worst moments, the costliest first, seconds
	// Again makes a drill of a stretch, seconds, and returns how it is asked for.
	Again func(fromS, toS float64) (drill, title string, err error)
}

// ReadAs says what a recording is taken for. Of the zero value all is found out.
type ReadAs struct {
	Sent    string  // SentFound, SentVoice or SentCW
	Side    string  // of the microphone, in CW of the sidetone: SideFound, SideLeft or SideRight
	Alone   bool    // the receiver alone is measured, even where the other side was recorded
	PitchHz float64 // of the own CW at zero beat, PitchLowHz..PitchHighHz; 0 = the sidetone tells it
	Call    string  // own, as it is sent in CW: tells it from others'; may be empty
}

// What was sent, in ReadAs.Sent.
const (
	SentFound = ""
	SentVoice = "voice"
	SentCW    = "cw"
)

// Which side it is, in ReadAs.Side.
const (
	SideFound = ""
	SideLeft  = "left"
	SideRight = "right"
)

// Between these lies the pitch of CW in a receiver, Hz.
const (
	PitchLowHz  = 200.0
	PitchHighHz = 2500.0
)

// AirPass is a pass in which a recording can have been made.
type AirPass struct {
	Key         string    // for Laying
	Transponder int       // the same; counted from 1
	Words       string    // "LARK-1, 09:31 to 09:43 UTC, 64° high"
	Why         string    // "up when it began", "its drift fits best"; "" = it was up that day
	Guessed     time.Time // when the recording began by its drift; zero = not told by it
}

// Laying says how a pass is laid beside a recording.
type Laying struct {
	Key                  string
	Transponder          int
	Began                time.Time // of its first sample
	Steering             string    // SteerHand, SteerCard or SteerNone
	UplinkHz, DownlinkHz float64   // where the dials stood; 0 = not noted
	DialsAtS             float64   // and when, seconds; below 0 = all the time
}

// How the dials were turned on the air, in Laying.Steering.
const (
	SteerHand = "hand"
	SteerCard = "card"
	SteerNone = "none"
)

// Correction is what a recording tells of the oscillators of bird and radios,
// in words, and what was and would be in force.
type Correction struct {
	Bird   string
	Tells  string // "+34 ± 9 Hz"
	Before string // "+20 Hz, by 2 recordings"; "none"
	After  string
	Kept   bool // it is kept already
}

// What Recording.Keep keeps, beside KeepPage.
const (
	KeepNumbers    = "numbers"    // a row each 0.1 s, as CSV
	KeepLog        = "log"        // a line "on the air" in the logbook
	KeepCorrection = "correction" // for dial cards and runs
)

// OffsetPoint is an own offset, Hz, at a tick.
type OffsetPoint struct {
	Tick sim.Tick
	Hz   float64
}
