//go:build cgo && (linux || darwin || windows) && !nomic

package mic

import (
	"encoding/binary"
	"io"
	"math"
	"runtime"

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
	ctx, err := malgo.InitContext(backends(), malgo.ContextConfig{}, nil)
	if err != nil {
		return nil, plain("no microphone answers; plug one in and try again", err)
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
		return nil, plain("no microphone answers; plug one in and try again", err)
	}
	c := &capture{ctx, device}
	if err := device.Start(); err != nil {
		_ = c.Close()
		return nil, plain("the microphone does not start; plug it in again", err)
	}
	return c, nil
}

// Close stops capturing.
func (c *capture) Close() error {
	c.device.Uninit()
	err := c.ctx.Uninit()
	c.ctx.Free()
	if err != nil {
		return plain("the microphone is lost; plug it in again", err)
	}
	return nil
}

// plainError says in the program's own words what is wrong with the microphone;
// what the library said of it can be unwrapped, and is never shown.
type plainError struct {
	words string
	cause error
}

func (e *plainError) Error() string { return e.words }

// Unwrap returns what the library said.
func (e *plainError) Unwrap() error { return e.cause }

func plain(words string, cause error) error { return &plainError{words, cause} }

// backends are the ways to a microphone that are tried; nil = all. On Linux a
// third one writes lines of its own to standard error where its server is not there.
func backends() []malgo.Backend {
	if runtime.GOOS == "linux" {
		return []malgo.Backend{malgo.BackendPulseaudio, malgo.BackendAlsa}
	}
	return nil
}
