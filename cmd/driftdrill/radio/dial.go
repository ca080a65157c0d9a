package radio

import "fmt"

// Way says what of a radio's dial counts.
type Way string

// The ways.
const (
	ByMovement  Way = "movement"  // any band: how far the dial is turned
	ByFrequency Way = "frequency" // the dial shows the pass's frequency
)

// ReadWay reads the name of a way; "" is the first.
func ReadWay(text string) (Way, error) {
	switch w := Way(text); w {
	case "":
		return ByMovement, nil
	case ByMovement, ByFrequency:
		return w, nil
	}
	return "", fmt.Errorf("%q is none of movement, frequency", text)
}

// What a dial does between two readings. Our choices: at 30 readings a second
// 20 kHz are 600 kHz a second, and half a second of 40 kHz a second where the
// daemon answers from its memory. A dial within 1 MHz of the run's is on its
// band.
const (
	JumpHz = 20_000
	NearHz = 1_000_000
)

// Turn is what a reading does to the dial of a run.
type Turn struct {
	By   int64 // hertz to move it by
	To   int64 // hertz that it shows now; 0 = see By
	News News
}

// News is what is to be said about a reading.
type News uint8

// What there is to be said.
const (
	NoNews  News = iota
	Jumped       // the dial went further than a hand turns it: it counts from there on
	Far          // by frequency: it is on another band, and turns nothing
	NearNow      // it was, and is no more
)

// Dial turns the readings of one radio into movements of one dial. Its zero
// value has read nothing.
type Dial struct {
	last  int64
	known bool
	far   bool
}

// Forget makes the next reading the first: after a loss.
func (d *Dial) Forget() { d.known = false }

// Read takes a reading, where the run's dial shows dialHz. By movement the
// first one turns nothing, nor does a jump.
func (d *Dial) Read(way Way, hz, dialHz int64) Turn {
	last, known := d.last, d.known
	d.last, d.known = hz, true
	if way == ByFrequency {
		return d.show(hz, dialHz, known && hz == last)
	}
	d.far = false
	by := hz - last
	switch {
	case !known || by == 0:
		return Turn{}
	case by > JumpHz || by < -JumpHz:
		return Turn{News: Jumped}
	}
	return Turn{By: by}
}

// show is a reading by frequency: the run's dial goes where the radio's is
// whenever that has moved, or comes onto the band.
func (d *Dial) show(hz, dialHz int64, rests bool) Turn {
	was := d.far
	if d.far = hz-dialHz > NearHz || dialHz-hz > NearHz; d.far {
		if was {
			return Turn{}
		}
		return Turn{News: Far}
	}
	t := Turn{}
	if was {
		t.News = NearNow
	}
	if !rests || was {
		t.To = hz
	}
	if t.To == dialHz {
		t.To = 0
	}
	return t
}
