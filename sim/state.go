package sim

import (
	"time"

	"driftdrill/orbit"
)

// SpeedOfLight in vacuum, m/s (exact by definition of the metre).
const SpeedOfLight = 299792458.0

// TicksPerSecond is the rate of the simulation.
const TicksPerSecond = 200

// TickLength is the length of one tick: 240 samples at 48 kHz.
const TickLength = 5 * time.Millisecond

// Tick counts 5 ms steps from the start of the drill.
type Tick int64

// Seconds returns the tick as seconds from the start of the drill.
func (t Tick) Seconds() float64 { return float64(t) / TicksPerSecond }

// Phase says what the drill asks of the operator now.
type Phase uint8

// The phases of a run.
const (
	PhaseWait   Phase = iota // the bird is not up yet, or the drill has not begun
	PhaseFind                // find yourself on the downlink
	PhaseTalk                // your over: key and hold
	PhaseListen              // the other station's over: do not key
	PhaseDone                // the run has ended
)

// MaxSignals is the most signals that can be on the air at once: oneself, a
// beacon and twelve other stations.
const MaxSignals = 14

// Sideband is the side of the suppressed carrier on which the speech lies.
type Sideband uint8

// The two sidebands.
const (
	USB Sideband = iota
	LSB
)

// Rule says which dial is the hand's.
type Rule uint8

// The rules of tuning.
const (
	RuleUplink   Rule = iota // the uplink alone
	RuleDownlink             // the receive dial alone
	RuleBoth                 // both by hand
	RuleComputer             // both by a computer, constant at the satellite
)

func ruleOf(word string) Rule {
	switch word {
	case "downlink":
		return RuleDownlink
	case "both":
		return RuleBoth
	case "computer":
		return RuleComputer
	}
	return RuleUplink
}

// SignalKind tells the signals apart.
type SignalKind uint8

// The kinds of signal.
const (
	SignalOwn     SignalKind = iota // the operator's own return
	SignalBeacon                    // the bird's beacon
	SignalStation                   // another station's return
)

// Signal is one emission as it arrives at the operator's receiver.
type Signal struct {
	Kind     SignalKind
	Station  uint8    // index into Setup.Others for SignalStation, otherwise 0
	On       bool     // keyed, and through the transponder
	OffsetHz float64  // received (suppressed) carrier minus the frequency the receiver is tuned to, Hz of radio frequency
	Sideband Sideband // as it arrives at the receiver, after the transponder
	LevelDBW float64  // mean power at the receiver's input while it speaks (a voice has mean square 1), dBW
	DelayS   float64  // from the speaker's microphone to this receiver's input: light time and rig delay
	BirdHz   float64  // carrier as the bird sends it on its downlink
	Script   int16    // index into Run.Scripts of what a station says now; -1 = nothing that is scripted
	ScriptAt Tick     // tick at which it began
	Carrier  bool     // a station tunes up with a steady tone of 1000 Hz
}

// State is everything about one tick that sound, desk, hands and marks read.
// It holds no pointers that change later and may be copied.
type State struct {
	Tick Tick
	UTC  time.Time

	Phase     Phase
	Over      int  // number of the current or last over, 1-based; 0 before the first
	PhaseLeft Tick // until the phase ends by the plan; 0 where it is open-ended
	Assigned  bool // the plan gives the operator the channel now (find or talk)

	UplinkHz        int64 // what the transmitter's dial shows
	ReceiveHz       int64 // what the receiver's dial shows
	ReceiveSideband Sideband
	StepHz          int
	Fast            bool
	Keyed           bool // the transmitter is on
	Latched         bool // keyed by the latch
	ByHand          bool // he sends Morse himself in this over
	Carrier         bool // with ByHand: his key is down
	Sent            SentText
	Identified      bool // he has chosen to say his call in this over or since the one before it

	Look       orbit.Look // from the operator's site
	RateHzS    float64    // speed at which the own offset moves if no dial is turned, Hz/s
	OffsetHz   float64    // own offset e as heard: + is too high (for an LSB receiver the sign of the radio frequency is turned); defined also while not keyed
	TrueHz     float64    // uplink dial that would be at zero beat now for the present receive dial
	InPassband bool       // the own uplink is inside the transponder
	SNRDB      float64    // own return against noise in the SSB filter, dB, while keyed
	FilterDB   float64    // the same in the filter that the receiver uses (2400 or 500 Hz), dB
	BeaconDB   float64    // own return against the beacon, both as the bird sends them, dB; 0 where there is none

	UplinkSideband      Sideband
	Rule                Rule    // which dial the hand turns now
	AidsOn              bool    // the drill's aids are to be shown now (they fade over a drill that says so)
	AntennaAzimuthDeg   float64 // of the hand antenna, where the operator holds it himself
	AntennaElevationDeg float64
	AntennaTwistDeg     float64 // polarisation
	AimErrorDeg         float64 // between the antenna and the bird
	AimLossDB           float64 // by aim and twist together
	NoiseRiseDB         float64 // by one's own transmitter, while keyed
	TransponderOn       bool
	AGCDB               float64 // what the bird's AGC takes from all, <= 0
	PowerW              float64 // of the transmitter as it is set
	Contacts            int     // completed with other stations
	ContactWith         int8    // index of the station that is in contact with the operator; -1 = none
	Note                Note    // the log entry of the latest contact; empty where there is none
	Told                int     // how often others have asked the operator to move
	Rolled              int     // how often the roll has called him
	CardUplinkHz        float64 // what the dial card says for the present receive dial
	CardReceiveHz       float64 // receive dial that keeps still at the satellite by the dial card (rule "both"); otherwise the dial itself
	Exercise            ExerciseState
	Bench               BenchState // the radios of a run that begins before AOS

	Found   bool // the operator has found himself
	FoundAt Tick // first tick of the two seconds that proved it

	NoiseDBWHz float64 // noise density at the receiver's input, dBW/Hz
	Signals    [MaxSignals]Signal
	NumSignals int
}

// Own returns the operator's own return, always the first signal.
func (s *State) Own() *Signal { return &s.Signals[0] }
