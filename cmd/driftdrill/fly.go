package main

import (
	"github.com/spf13/cobra"
)

// flyOptions are the options of the desk that a command line can set.
type flyOptions struct {
	flight
	sheet, sound string
	quitAtEnd    bool
	deviceMS     int
	voice        ownVoice
}

func newFlyCommand() *cobra.Command {
	var o flyOptions
	var voice, frameLog string
	cmd := &cobra.Command{
		Use:   "fly",
		Short: "Open the desk straight into a run",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := oneOf("--audio", o.sound, "device", "silent"); err != nil {
				return err
			}
			var err error
			if o.voice, err = readVoice(voice, append(voiceNames, "mic")...); err != nil {
				return err
			}
			_, err = o.prepare() // bad input is told here, not in a window
			if err != nil {
				return err
			}
			if err := noWindow(); err != nil {
				return err
			}
			return openDesk(cmd, &o, frameLog)
		},
	}
	o.flags(cmd)
	fl := cmd.Flags()
	fl.StringVar(&o.sheet, "sheet", "", "write the run sheet to this `file` (the program's own folder if left out)")
	fl.BoolVar(&o.quitAtEnd, "quit-at-end", false, "close the window when the run has its marks")
	fl.StringVar(&frameLog, "frame-log", "", "write the time of each frame to this `file`")
	fl.StringVar(&o.sound, "audio", "device", "`sound`: device or silent")
	fl.StringVar(&voice, "voice", "", "own `voice`: tone, vowel, whistle, cw, call, a WAV file, or mic in a build with the tag mic (the drill's if left out)")
	fl.IntVar(&o.deviceMS, "device-ms", 0, "buffer of the sound device in `ms`: more where the sound crackles (0 = what runs clean on this system)")
	return cmd
}
