//go:build !cgo || !(linux || darwin || windows) || nomic

package mic

import (
	"errors"
	"io"

	"driftdrill/audio"
)

// Available tells whether this build can open a microphone.
const Available = false

var errNoMicrophone = errors.New("this build has no live microphone: it was made without cgo, which the microphone needs")

// Open says that this build has no microphone.
func Open(*audio.Microphone) (io.Closer, error) { return nil, errNoMicrophone }
