// Package port is what the screens and the program say to each other: a session
// and its result, the entries of the pages, the settings, the actions of the
// desk. It is all that a program without a window needs of the desk, and knows
// no window.
package port

import (
	"context"

	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/scoring"
	"driftdrill/sim"
	"driftdrill/sim/morse"
)

// Progress is told how far long work has come; total 0 = not known.
type Progress func(done, total int)

// RunRequest says what is to be flown.
type RunRequest struct {
	Drill string // name of a drill or a file; "" = the first drill
	Pass  string // PassEntry.Key; "" = the pass that the drill asks for
	Seed  uint64 // 0 = drawn anew
	Same  bool   // the very same pass and seed as the run before ("again")
	Voice string // what the operator speaks with, as Settings.OwnVoice; "" = as the settings say
}

// Session is one run with its sound. Its methods are called from the window's
// goroutine and must not block for longer than a millisecond or so, but
// Finish and Replay, which the desk calls on goroutines of their own.
type Session interface {
	About() *About
	Snapshot(s *sim.State)
	Post(kind sim.CommandKind, value int64)
	Pause(on bool)
	Done() bool
	// Spectrum fills dst with dB over noise from centre-span/2 to centre+span/2, Hz of radio frequency.
	Spectrum(dst []float32) (centreHz, spanHz float64)
	Sound() SoundState
	SetLevels(l Levels)
	// Finish ends the run, lets the sheet be marked and stored, and closes the sound.
	Finish(ctx context.Context) (*Result, error)
	// Close gives up the run: the sheet stays as far as it was written.
	Close()
}

// About is what does not change during a run.
type About struct {
	Bird        string
	DrillTitle  string
	DrillNumber int    // 0 = not one of the path
	Brief       string // what the drill asks, one or two sentences
	Coach       string // the coach's line; "" = none
	Overs       int    // planned overs; 0 = one long over
	Rule        string // "uplink", "downlink" or "both": the dial that the hand turns
	Aids        Aids
	Search      bool // one's own voice may begin beyond hearing, with others on the bird

	Answers  []sim.Choice // what an exercise that asks takes, in the order in which to show it
	Straight []bool       // for each trial: the transponder does not invert
	AimTask  bool         // the operator holds the antenna himself
	Free     bool         // no plan: he listens and calls as he likes
	Morse    bool         // he sends Morse: the Morse key works
	Bench    *sim.Bench   // the radios that are his to set before AOS; nil = none

	PassbandLowHz, PassbandHighHz int64 // of the downlink
	UplinkSideband                sim.Sideband
	BeaconHz                      int64   // 0 = none
	FilterLowHz, FilterHighHz     float64 // of the receiver, Hz of audio

	Start, End      sim.Tick // the run's first and last tick by the plan
	AOS, TCA, LOS   sim.Tick // of the whole pass; may lie outside the run
	AOSText         string   // "19:04:10"
	TCAText         string
	LOSText         string
	MaxElevationDeg float64
	TopRateHzS      float64     // the drift rate at its greatest, without sign
	Hill            []HillPoint // the whole pass, in order of time
}

// HillPoint is one point of the pass as it is drawn.
type HillPoint struct {
	Tick         sim.Tick
	ElevationDeg float64
	AzimuthDeg   float64 // 0 with elevation 0 = not known
	RateHzS      float64
}

// Aids says what a drill lets the operator see and hear.
type Aids struct {
	Ribbon, Strip, Arrow, Rate bool
	Yours                      bool // the own return looks other than the rest in the strip
}

// SoundState tells how the sound goes.
type SoundState struct {
	Silent    bool   // nothing can be heard: there is no sound device, or none was wanted
	Unwanted  bool   // silence was asked for
	Message   string // what to say about it, once
	Underruns int64
	Live      bool   // the operator speaks into a microphone
	Muted     bool   // and has muted it
	Howls     int64  // how often the guard muted it by itself
	Halting   string // why the run will not count as it stands: "the sound breaks up"; "" = it does
	Paused    bool   // the run was paused after the operator was first permitted to key: it does not count
}

// Levels are the sound levels, dB; 0 is the level as it was made.
type Levels struct {
	MasterDB, SidetoneDB, ReturnDB float64
	OthersDB, NoiseDB              float64 // other stations and noise, against the physics: aids
	Split                          bool    // own voice in the left ear, the return in the right one
	Swap                           bool    // with Split: the other way round
	Ticks                          bool    // a tick for each notch of the knob
	BalanceDB                      float64 // + turns the left ear down, - the right one
	Region                         string  // of the hearing range that is lifted: "low", "middle", "high"; "" or "all" = none
}

// Result is what a run earned.
type Result struct {
	Marks    scoring.Marks
	Trace    *scoring.Trace
	Contacts []scoring.Contact // with what the contact log held of them
	Headline string            // the advice
	Detail   string            // why
	Counting string            // whether it counts, a sentence; "" = it does, for what it is
	Verdict  string            // "passed", "not yet: ...", "" where the drill has no goal
	Passed   bool
	Air      bool // measured from a recording: it cannot be flown again from here
	// Unsteered is where the pass would have taken the own voice from the
	// beginning of each over on, had nobody turned a dial; nil where it is not known.
	Unsteered [][]OffsetPoint
	Saved     string // "saved to the logbook as run 41", or what went wrong
	Next      *RunRequest
	NextName  string // "drill 7"

	// Rate finds the hand that would have done as well. It may take a second
	// or two: the desk calls it on a goroutine once the debrief is shown. nil = no rating.
	Rate func(ctx context.Context, p Progress) (*Rated, error)

	// Replay plays the run again from a tick, exactly as it sounded, for
	// length ticks, and returns what stops it. nil where it cannot.
	Replay func(from, length sim.Tick) (stop func(), at func() sim.Tick, err error)
	// Keep writes the run to a file of a kind that people keep, KeepPage or
	// KeepSound, and says where it lies. It may take long. nil where it cannot.
	Keep func(ctx context.Context, kind string, p Progress) (where string, err error)
	// Discard takes a run that was cut short out of the logbook again: it counts
	// nowhere, and its sheet stays under another name. nil where there is no
	// reason to. It is called once the rating is there.
	Discard func() error
	// Unheard tells that what is being replayed cannot be heard: there is no
	// device, or none was wanted. nil = it can.
	Unheard func() bool
}

// What Result.Keep writes.
const (
	KeepPage  = "page"  // a page with pictures, for any browser
	KeepSound = "sound" // the whole run as it was heard, as WAV
)

// Rated is a hand rating on its ladder.
type Rated struct {
	Hand     float64       // 0..100
	SD       float64       // standard deviation of one run's rating
	Words    string        // the rating with what it is worth: "42 ± 6", "72 or more"; "" = there is none
	Note     string        // what it is worth beside the goal, where that is little; "" = the words are enough
	Ladder   []LadderPoint // the reference hands on this pass, level rising
	Saved    string        // takes the place of Result.Saved once it is known; "" = stays
	Verdict  string        // takes the place of Result.Verdict, which is then passed; "" = stays
	Counting string        // takes the place of Result.Counting, as the logbook has it
}

// LadderPoint is one reference hand: its level 0..100 and the hold index that it got.
type LadderPoint struct{ Level, HoldIndex float64 }

// Settings are what a person chose. They are kept by the program.
type Settings struct {
	Call, Site    string
	Station       string   // name of the operator's station, whose corrections hold; "" = the usual one
	Stations      []string // those that were given a name
	Elements      string   // file or address for the passes page; "" = the bundled birds
	Operator      string
	TextScale     float64 // 1 to 2.5
	Palette       string  // "night" or "sun"
	ReducedMotion bool
	EarsOnly      bool    // speak menus, prompts and results
	SpeechRate    int     // of the spoken voice, words a minute
	Voice         string  // who speaks: VoiceSystem, VoiceBundled or VoiceService
	OffsetSound   string  // when pulses tell the offset: OffsetSoundSpoken, ...Always, ...Never
	WheelNotches  float64 // notches of the knob for one of the wheel
	WheelTurned   bool    // the wheel turns the dial the other way
	DragNotches   float64 // notches for one turn of a circular drag, or of a stick
	StickDeadZone float64
	KnobStick     string // the gamepad's stick that is the knob: "right" or "left"; the other one does what is left to do
	RadioKnob     string // address of the radio whose dial is the knob; "" = none
	RadioReceive  string // and of one whose dial is the receive dial
	RadioShows    bool   // what a radio's dial shows counts, instead of how far it is turned
	StepHz        int
	OwnVoice      string  // what the operator speaks with: one of Pages.OwnVoices; "" = as the drill asks
	HearMyself    bool    // his own speech, recorded or live, is heard as spoken, too
	ToneHz        float64 // pitch of the own tone as spoken, and of Morse
	MorseKey      string  // the kind of key, one of morse.Kinds
	MorseSwapped  bool    // dot and dash paddle change places
	MorseWPM      int     // speed of the keyer, words per minute
	BufferMS      int     // of sound; 0 = what runs clean on this system
	Levels        Levels
	Bindings      keys.Bindings // nil = the default ones
	Welcomed      bool          // the first-run welcome is over
	HintsSeen     int           // runs in which the knob was turned; hints fade after two
}

// DefaultSettings are the settings of a fresh installation.
func DefaultSettings() Settings {
	return Settings{TextScale: 1, Palette: "night", SpeechRate: 185, WheelNotches: 1, DragNotches: 36, StickDeadZone: 0.35, KnobStick: "right",
		StepHz: 20, ToneHz: 700, MorseKey: string(morse.IambicB), MorseWPM: morse.UsualWPM, Levels: Levels{Split: true}, Bindings: DefaultBindings()}
}

// How fast the spoken voice may be set to talk, words a minute.
const (
	SlowestSpeech = 120
	FastestSpeech = 400
)

// BalanceEnd is how far one ear may be turned down against the other, dB.
const BalanceEnd = 30

// Who speaks, in Settings.Voice.
const (
	VoiceSystem  = ""        // the system's voice where it has one
	VoiceBundled = "bundled" // the words that the program carries
	VoiceService = "service" // a speech service of the system, which plays by itself: no limiter, no level
)

// When the offset is told by pulses, in Settings.OffsetSound; only ever where
// the drill allows an aid.
const (
	OffsetSoundSpoken = ""       // while everything is said aloud
	OffsetSoundAlways = "always" // also without
	OffsetSoundNever  = "never"
)
