package main

import (
	"io"
	"path/filepath"
	"time"

	"driftdrill/audio"
	"driftdrill/audio/mic"
	"driftdrill/audio/out"
	"driftdrill/cmd/driftdrill/trainer"

	"github.com/adrg/xdg"
)

// hardware is where sound comes from and goes to.
type hardware struct {
	silent bool        // no device is wanted
	device out.Options // buffers of the device; 0 = as bufferMS says
}

// Wanted tells that sound is.
func (h hardware) Wanted() bool { return !h.silent }

// options are the buffers of a device; bufferMS is what the settings say.
func (h hardware) options(bufferMS int) out.Options {
	o := h.device
	if o.Device == 0 {
		o.Device = time.Duration(bufferMS) * time.Millisecond
	}
	return o
}

// Run is for the sound of a run, which goes on in silence where there is no device.
func (h hardware) Run(bufferMS int) trainer.Output {
	if h.silent {
		return silence{out.NewSilent()}
	}
	return out.NewSteady(h.options(bufferMS))
}

// Sound is for a sound that is nothing without a device.
func (h hardware) Sound(bufferMS int) audio.Sink {
	if h.silent {
		return out.NewSilent()
	}
	return out.NewDevice(h.options(bufferMS))
}

// Microphone opens the microphone.
func (h hardware) Microphone(m *audio.Microphone) (io.Closer, error) { return mic.Open(m) }

// NoMicrophone says why this build has no microphone; "" = it has one.
func (hardware) NoMicrophone() string {
	if mic.Available {
		return ""
	}
	return mic.Missing
}

// silence is the silent clock, as it was asked for.
type silence struct{ audio.Sink }

// Silent implements trainer.Output.
func (silence) Silent() bool { return true }

// Message implements trainer.Output.
func (silence) Message() string { return "no sound, as asked" }

// dataFolder is where the program keeps what it fetched and what was flown.
func dataFolder() string { return filepath.Join(xdg.DataHome, "driftdrill") }

// disk is where sheets, logbook and settings lie.
func disk() trainer.Disk {
	return trainer.Disk{Data: dataFolder(), Config: filepath.Join(xdg.ConfigHome, "driftdrill")}
}

// flock is the birds that there are, the operator's own among them.
func flock() trainer.Flock {
	return trainer.Flock{Folder: disk().BirdFolder(), Corrections: func() []trainer.Correction {
		all, _ := disk().Corrections() // a file that cannot be read is told by `correction list` and `dial`
		return all
	}, Station: func() string {
		name, _ := disk().Station() // what is no name is told by `correction` and at the start of the window
		return name
	}}
}
