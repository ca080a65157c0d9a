//go:build !cgo || !(linux || darwin || windows) || nomic

package mic

import (
	"errors"
	"io"

	"driftdrill/audio"
)

// Available tells whether this build can open a microphone.
const Available = false

// Missing says why there is no microphone.
const Missing = "this build has no live microphone: it was made without cgo, which the microphone needs"

var errNoMicrophone = errors.New(Missing)

// Open says that this build has no microphone.
func Open(*audio.Microphone) (io.Closer, error) { return nil, errNoMicrophone }
