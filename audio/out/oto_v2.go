//go:build !nodesk && !darwin && !js

package out

import (
	"io"
	"time"

	"github.com/hajimehoshi/oto/v2"

	"driftdrill/audio"
)

// context is the sound library's handle on the device.
type context struct{ *oto.Context }

// openContext opens the device; ready is closed when it can be asked for its error.
func openContext(buffer time.Duration) (context, chan struct{}, error) {
	ctx, ready, err := oto.NewContextWithOptions(&oto.NewContextOptions{
		SampleRate:   audio.SampleRate,
		ChannelCount: 2,
		Format:       oto.FormatFloat32LE,
		BufferSize:   buffer,
	})
	return context{ctx}, ready, err
}

// player makes a player with a queue of the given length in bytes.
func (c context) player(r io.Reader, queueBytes int) player {
	p := c.NewPlayer(r)
	if s, ok := p.(oto.BufferSizeSetter); ok {
		s.SetBufferSize(queueBytes)
	}
	return p
}
