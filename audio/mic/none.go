//go:build !mic

package mic

import (
	"errors"
	"io"

	"driftdrill/audio"
)

// Available tells whether this build can open a microphone.
const Available = false

var errNoMicrophone = errors.New("this build has no live microphone; build it with: go build -tags mic ./cmd/driftdrill")

// Open says that this build has no microphone.
func Open(*audio.Microphone) (io.Closer, error) { return nil, errNoMicrophone }
