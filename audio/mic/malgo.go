//go:build cgo && (linux || darwin || windows) && !nomic

package mic

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"

	"github.com/gen2brain/malgo"

	"driftdrill/audio"
)

// Available tells whether this build can open a microphone.
const Available = true

// Missing says why there is no microphone.
const Missing = ""

// periodMS is how much the system hands over at once.
const periodMS = 5

// capture is an open microphone.
type capture struct {
	ctx    *malgo.AllocatedContext
	device *malgo.Device
}

// Open captures from the system's default microphone into m until it is
// closed: one channel at audio.SampleRate.
func Open(m *audio.Microphone) (io.Closer, error) {
	ctx, err := malgo.InitContext(nil, malgo.ContextConfig{}, nil)
	if err != nil {
		return nil, fmt.Errorf("no microphone: %w", err)
	}
	config := malgo.DefaultDeviceConfig(malgo.Capture)
	config.Capture.Format = malgo.FormatF32
	config.Capture.Channels = 1
	config.SampleRate = audio.SampleRate
	config.PeriodSizeInMilliseconds = periodMS
	config.Alsa.NoMMap = 1
	var samples []float32
	device, err := malgo.InitDevice(ctx.Context, config, malgo.DeviceCallbacks{
		Data: func(_, in []byte, frames uint32) {
			samples = samples[:0]
			for i := range int(frames) {
				samples = append(samples, math.Float32frombits(binary.LittleEndian.Uint32(in[4*i:])))
			}
			m.Write(samples)
		},
	})
	if err != nil {
		_ = ctx.Uninit()
		ctx.Free()
		return nil, fmt.Errorf("no microphone: %w", err)
	}
	c := &capture{ctx, device}
	if err := device.Start(); err != nil {
		_ = c.Close()
		return nil, fmt.Errorf("the microphone does not start: %w", err)
	}
	return c, nil
}

// Close stops capturing.
func (c *capture) Close() error {
	c.device.Uninit()
	err := c.ctx.Uninit()
	c.ctx.Free()
	if err != nil {
		return fmt.Errorf("closing the microphone: %w", err)
	}
	return nil
}
