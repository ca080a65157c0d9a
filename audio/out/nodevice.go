//go:build nodesk

package out

import (
	"errors"

	"driftdrill/audio"
)

// errNoDevice is what a program built without sound answers.
var errNoDevice = errors.New("this build has no sound device (it was made with the tag nodesk)")

type noDevice struct{}

// NewDevice returns a sink that cannot start: this build has no sound library.
func NewDevice(Options) audio.Sink { return noDevice{} }

func (noDevice) Start(audio.Source) error { return errNoDevice }
func (noDevice) Stats() audio.Stats       { return audio.Stats{} }
func (noDevice) Err() error               { return errNoDevice }
func (noDevice) Close() error             { return nil }

func probeDevice(Options) error { return errNoDevice }
