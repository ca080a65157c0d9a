package main

import (
	"fmt"
	"time"

	"driftdrill/cmd/driftdrill/club/member"
	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"

	"github.com/spf13/cobra"
)

// flyOptions are the options of a desk that opens straight into a run.
type flyOptions struct {
	flightOptions
	deskOptions
	sheet, voice      string
	quitAtEnd         bool
	join, call, class string // of a club night
}

// deskOptions are the options of every desk.
type deskOptions struct {
	frameLog string
	sound    string
	deviceMS int
	radioOptions
}

// flightOfDesk is a run that the command line asked for.
type flightOfDesk struct {
	trainer.Flight
	sheet     string
	voice     trainer.OwnVoice
	quitAtEnd bool
	night     *member.Member // nil = none
}

func newFlyCommand() *cobra.Command {
	var o flyOptions
	cmd := &cobra.Command{
		Use:   "fly",
		Short: "Open the desk straight into a run",
		Args:  cobra.NoArgs,
		RunE:  func(cmd *cobra.Command, _ []string) error { return o.run(cmd) },
	}
	o.flags(cmd)
	fl := cmd.Flags()
	fl.StringVar(&o.sheet, "sheet", "", "write the run sheet to this `file` (the program's own folder if left out)")
	fl.BoolVar(&o.quitAtEnd, "quit-at-end", false, "close the window when the run has its marks")
	fl.StringVar(&o.join, "join", "", "fly the club night at this `address`, with its code: http://192.0.2.7:8437/?code=heron42")
	fl.StringVar(&o.call, "call", "", "your `call`, for a club night")
	fl.StringVar(&o.class, "class", "", "`class` of a club night to fly in (the one you joined in, or its first)")
	o.radioFlags(fl)
	fl.StringVar(&o.frameLog, "frame-log", "", "write the time of each frame to this `file`")
	fl.StringVar(&o.sound, "audio", "device", "`sound`: device or silent")
	fl.StringVar(&o.voice, "voice", "", "own `voice`: tone, vowel, whistle, cw, call, a WAV file, or mic for the live microphone (the drill's if left out)")
	fl.IntVar(&o.deviceMS, "device-ms", 0, "buffer of the sound device in `ms`: more where the sound crackles (0 = what runs clean on this system)")
	return cmd
}

func (o *flyOptions) run(cmd *cobra.Command) error {
	if err := oneOf("--audio", o.sound, "device", "silent"); err != nil {
		return err
	}
	if _, err := o.radios(); err != nil {
		return err
	}
	if err := noClash(o.inputs(o.voice), outfile.Named{What: "--sheet", Path: o.sheet}, outfile.Named{What: "--frame-log", Path: o.frameLog}); err != nil {
		return err
	}
	if o.sheet != "" {
		if err := outfile.Writable(o.sheet); err != nil {
			return badInput("--sheet: %w", err)
		}
	}
	voice, err := readVoice(o.voice, append(voiceNames, "mic")...)
	if err != nil {
		return err
	}
	f, err := o.read(cmd)
	if err != nil {
		return err
	}
	night, err := o.night(cmd)
	if err != nil {
		return err
	}
	if night == nil {
		if _, err := f.Prepare(); err != nil { // bad input is told here, not in a window
			return usageError{err}
		}
	}
	if err := noWindow(); err != nil {
		return err
	}
	if night != nil {
		if err := night.Wait(cmd.Context(), func(line string) { fmt.Fprintln(cmd.ErrOrStderr(), "driftdrill:", line) }); err != nil {
			return err
		}
	}
	return openDesk(cmd, &flightOfDesk{f, o.sheet, voice, o.quitAtEnd, night}, o.deskOptions)
}

// night is the club night that is asked for, or nil.
func (o *flyOptions) night(cmd *cobra.Command) (*member.Member, error) {
	if o.join == "" {
		if o.call != "" || o.class != "" {
			return nil, badInput("--call and --class are for a club night: give --join with its address")
		}
		return nil, nil
	}
	for _, name := range []string{"drill", "bird", "elements", "site", "from", "pass", "seed"} {
		if cmd.Flags().Changed(name) {
			return nil, badInput("--join takes everything that is flown from the club night; leave out --%s", name)
		}
	}
	m, err := member.Join(o.join, o.call, o.class)
	if err != nil {
		return nil, badInput("--join: %w", err)
	}
	return m, nil
}

// hardware is the sound that the options ask for.
func (o deskOptions) hardware() hardware {
	h := hardware{silent: o.sound == "silent"}
	h.device.Device = time.Duration(o.deviceMS) * time.Millisecond
	return h
}
