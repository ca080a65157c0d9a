//go:build !nodesk

package flying

import (
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
)

// paddler is a session with a Morse key.
type paddler interface{ Paddle(dot, dash bool) }

// morse tells the session which contacts of the Morse key are closed, where the
// operator sends Morse. A keyboard that repeats a held key changes nothing: only
// down and up count.
func (f *flying) morse(in *kit.Input) {
	if f.about.Morse {
		f.paddle(in.Held(port.Dot), in.Held(port.Dash))
	}
}

func (f *flying) paddle(dot, dash bool) {
	if now := [2]bool{dot, dash}; now != f.paddles {
		f.paddles = now
		if p, ok := f.ses.(paddler); ok {
			p.Paddle(dot, dash)
		}
	}
}

// morseHow says how to send, for the prompt.
func morseHow(b keys.Bindings) string {
	return b.NameOf(port.Dot) + " and " + b.NameOf(port.Dash) + " are your Morse key; " + b.NameOf(port.Key) + ", held, sends by itself."
}
