package sim

// CommandKind names what the operator did.
type CommandKind string

// The commands that a desk, a hand or a replay can post.
const (
	CommandKnob    CommandKind = "knob"    // Value = notches, + is up; moves the dial that the drill's rule gives to the hand
	CommandReceive CommandKind = "receive" // Value = notches of the receive dial
	CommandUplink  CommandKind = "uplink"  // Value = notches of the uplink dial, whatever the rule
	// A radio's own dial at the knob, whatever its step; see Setup.Knob.
	CommandTuneUplink  CommandKind = "tune-uplink"  // Value = hertz by which the uplink dial moved
	CommandTuneReceive CommandKind = "tune-receive" // Value = hertz by which the receive dial moved
	CommandSetUplink   CommandKind = "set-uplink"   // Value = hertz that the uplink dial shows from here on
	CommandSetReceive  CommandKind = "set-receive"  // Value = hertz that the receive dial shows from here on

	CommandStep    CommandKind = "step"    // Value = step in Hz: 10, 20, 50 or 100
	CommandFast    CommandKind = "fast"    // Value = 1 while one notch counts as ten, otherwise 0
	CommandKey     CommandKind = "key"     // Value = 1 pressed, 0 released
	CommandLatch   CommandKind = "latch"   // Value = 1 latched, 0 released
	CommandPause   CommandKind = "pause"   // a pause happened here; the physics stood still
	CommandAnswer  CommandKind = "answer"  // Value = the choice in an exercise that asks
	CommandAim     CommandKind = "aim"     // Value = degrees x 10 of azimuth to add to the hand antenna
	CommandRaise   CommandKind = "raise"   // Value = degrees x 10 of elevation to add
	CommandTwist   CommandKind = "twist"   // Value = degrees x 10 of polarisation to add
	CommandSound   CommandKind = "sound"   // Value = sound underruns up to here; no effect on the physics
	CommandStop    CommandKind = "stop"    // the operator ended the run
	CommandSay     CommandKind = "say"     // Value = what the operator chooses to say in this over or the next: SayCall ... SayStandBy
	CommandNote    CommandKind = "note"    // Value = a character for the contact log's latest entry, by NoteValue; no effect on the physics
	CommandCarrier CommandKind = "carrier" // Value = 1 the carrier goes on, 0 off: a sign of Morse sent by hand, where the own voice is "cw"
	CommandPower   CommandKind = "power"   // Value = decibels over the station's power, -30..10

	// What is set at the radios of a run that begins before AOS; other runs pass
	// over them. See BenchValues.
	CommandReceiveMemory   CommandKind = "receive-memory"   // Value = number of the memory, 1 to BenchMemories
	CommandUplinkMemory    CommandKind = "uplink-memory"    //
	CommandReceiveSideband CommandKind = "receive-sideband" // Value = a Sideband
	CommandUplinkSideband  CommandKind = "uplink-sideband"  //
	CommandRIT             CommandKind = "rit"              // Value = 1 on, 0 off
	CommandReceiveStep     CommandKind = "receive-step"     // Value = step in Hz: 10, 20, 50, 100 or 1000
	CommandUplinkStep      CommandKind = "uplink-step"      //
	CommandVOX             CommandKind = "vox"              // Value = 1 the voice keys, 0 the key alone
	CommandHeadphones      CommandKind = "headphones"       // Value = 1 plugged in, 0 the loudspeaker is heard
	CommandRecorder        CommandKind = "recorder"         // Value = 1 running

	CommandAid CommandKind = "aids" // Value = sum of the Aid constants that are on from here; no effect on the physics
)

// Aids that the operator gave himself beside those of the drill, as
// CommandAid tells of them. The numbers never change.
const (
	AidNoise  = 1 << iota // noise below the drill's level, or off
	AidOthers             // other stations below the drill's level, or off
	AidDrift              // the drift rate shown live
	AidPlaces             // his own return marked in the strip apart from the others
	AidOther              // anything else that a radio would not give
	aidBits   = iota
)

// AidWords names the aids that a sum of Aid constants holds, in their order.
func AidWords(sum int64) []string {
	var words []string
	for i, w := range [aidBits]string{"less noise", "others turned down", "the drift rate shown", "your own return marked", "other help"} {
		if sum&(1<<i) != 0 {
			words = append(words, w)
		}
	}
	return words
}

// Command is one action of the operator, stamped with the tick that was being
// rendered when it was taken.
type Command struct {
	Tick  Tick        `json:"tick"`
	Kind  CommandKind `json:"do"`
	Value int64       `json:"value,omitempty"`
}
