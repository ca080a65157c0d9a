package port

// RadioState tells how the operator's own radios go, whose dials turn those of
// the run. Its zero value is that there are none.
type RadioState struct {
	Uplink, Receive bool  // a radio turns this dial now
	TurnedHz        int64 // by which the knob's dial was turned in all, + up
	News            []RadioNews
}

// RadioNews is something to be said of a radio, once.
type RadioNews struct {
	What    RadioEvent
	Of      string // which one, where there are two: "uplink" or "receive"; "" = the only one
	Hz      int64  // what its dial shows; 0 = not known
	WantsHz int64  // RadioFar: what the run's dial shows
}

// RadioEvent is what has happened to a radio.
type RadioEvent uint8

// What can happen. A sane turn of the dial is no news.
const (
	RadioReady   RadioEvent = iota // for the first time since the program was started
	RadioMissing                   // it was not reached yet
	RadioLost
	RadioBack
	RadioJumped // its dial went further than a hand turns it
	RadioFar    // its dial is on another band than the run's
	RadioNear   // and is no more
)
