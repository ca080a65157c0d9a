package main

import (
	"driftdrill/cmd/driftdrill/radio"

	"github.com/spf13/pflag"
)

// radioOptions are the flags of a desk that a radio's own dial turns.
type radioOptions struct{ knob, receive, way string }

func (o *radioOptions) radioFlags(fl *pflag.FlagSet) {
	fl.StringVar(&o.knob, "radio", "", "the dial of the radio at this `address` is the knob, read through the rig-control daemon (rigctld): HOST:PORT. Transmitter off, dummy load, microphone unplugged: the program only reads")
	fl.StringVar(&o.receive, "radio-receive", "", "the dial of a second radio, at this `address`, is the receive dial")
	fl.StringVar(&o.way, "radio-way", "", "what of a radio's dial counts, `way`: movement, on any band, or frequency, where it shows the pass's own (movement if left out)")
}

// radios reads the flags.
func (o *radioOptions) radios() (p radio.Pair, err error) {
	for _, r := range []struct {
		option, text string
		address      *string
	}{{"--radio", o.knob, &p.Knob}, {"--radio-receive", o.receive, &p.Receive}} {
		if r.text == "" {
			continue
		}
		if *r.address, err = radio.Address(r.text); err != nil {
			return radio.Pair{}, badInput("%s: %w", r.option, err)
		}
	}
	way, err := radio.ReadWay(o.way)
	switch {
	case err != nil:
		return radio.Pair{}, badInput("--radio-way %w", err)
	case p == (radio.Pair{}) && o.way != "":
		return radio.Pair{}, badInput("--radio-way says how a radio's dial counts: give --radio too")
	case p == (radio.Pair{}):
		return p, nil
	case p.Knob == p.Receive:
		return radio.Pair{}, badInput("--radio and --radio-receive name the same radio: each needs a daemon of its own, on its own port")
	}
	p.Way = way
	return p, nil
}
