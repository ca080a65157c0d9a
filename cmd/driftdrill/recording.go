package main

import (
	"fmt"
	"io"
	"runtime/debug"

	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer/onair"
	"driftdrill/scoring/recording"

	"github.com/spf13/cobra"
)

// recordingRequest is what `recording` was asked for.
type recordingRequest struct {
	source
	form, report, mic, site, start string
	steering, drill, stretch       string
	mono, log, keep                bool
	operator, logbook, station     string // station: "" = as the settings say
	call                           string
	cw                             bool
	pitchHz, uplinkHz, downlinkHz  float64
	dialsAt                        float64
	hasDials                       bool
	ut1                            float64
	transponder, stepHz            int
}

const recordingHelp = `Recording measures your own offset against time in a recording of a real pass:
WAV, FLAC, MP3 or Ogg Vorbis, your microphone on one side and the receiver on the
other. Which side is which, the delay and a leaking headset are found. It prints
a row each 0.1 s; the offset is left out where it cannot be told. snr_db is the
power of your return over that of all else in the receiver, from 250 to 2750 Hz
and over 0.6 s round the moment.

A recording of the receiver alone is measured by your voice's harmonics; that is
less sure and never rated; as JSON its rows also have guess_hz, the likeliest
offset where it cannot be told. With --cw it is the tone of your CW: by the sidetone
where that is recorded too, on the other side or in the same; else with --pitch,
and with --call where others are heard, since a tone does not tell whose it is.
Music cannot be told from a sidetone: give --cw only where CW was recorded.

Talking with the key up (in the room) is left out: it does not come back. Where
you come back weaker than the noise that cannot be told, and it may count as keyed.

With the elements, your place and the time of the first sample (the file's own
time stamp if it has one) the pass's drift is laid beside it, and clock, elements
and oscillators are fitted. --steering says how you turned the dials: hand, by
ear; card, as predicted, by a dial card or a computer; none, not at all. Turning
by ear hides the oscillators' constant error: note where both dials stood at one
moment, and give it as --uplink, --downlink and --dials-at. --keep-correction
keeps that error for dial cards and runs; driftdrill correction shows it.`

func newRecordingCommand() *cobra.Command {
	var r recordingRequest
	cmd := &cobra.Command{
		Use:   "recording FILE [--elements F --bird BIRD --site PLACE --start TIME] [--report FILE] [--make-drill FILE]",
		Short: "Measure how well zero beat was held in a recording of a real contact",
		Long:  recordingHelp,
		Args: func(_ *cobra.Command, files []string) error {
			if len(files) != 1 {
				return badInput("recording needs one sound file to measure, not %d", len(files))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, files []string) error {
			r.hasDials = cmd.Flags().Changed("dials-at")
			return r.run(cmd, files[0])
		},
	}
	r.flags(cmd)
	return cmd
}

func (r *recordingRequest) flags(cmd *cobra.Command) {
	fl := cmd.Flags()
	r.source.flags(cmd)
	fl.StringVar(&r.site, "site", "", "`place` of the pass: LAT,LON[,ALT_M], a locator, or a TOML site file")
	fl.StringVar(&r.start, "start", "", "`time` of the first sample, RFC 3339 (the file's own time stamp if left out, taken as UTC)")
	fl.IntVar(&r.transponder, "transponder", 1, "which transponder of the bird, counted from 1")
	fl.Float64Var(&r.ut1, "ut1-utc", 0, "UT1-UTC in `seconds`")
	fl.StringVar(&r.steering, "steering", string(recording.ByHand), "how the dials were turned: hand, card or none")
	fl.Float64Var(&r.uplinkHz, "uplink", 0, "where the uplink dial stood, `Hz`: at --dials-at, or with --steering none")
	fl.Float64Var(&r.downlinkHz, "downlink", 0, "where the receive dial stood then, `Hz`")
	fl.Float64Var(&r.dialsAt, "dials-at", 0, "the moment at which --uplink and --downlink were noted, in `seconds` of the recording: tells the oscillators also where you steered by ear")
	fl.BoolVar(&r.keep, "keep-correction", false, "keep what the recording tells of the oscillators, for dial cards and runs of that bird")
	stationFlag(fl, &r.station)
	fl.StringVar(&r.mic, "mic", "", "the `side` with the microphone, left or right (found if left out)")
	fl.BoolVar(&r.mono, "mono", false, "measure the receiver alone even where there is a microphone")
	fl.Float64Var(&r.pitchHz, "pitch", 0, "with CW or a whistle: its pitch at zero beat, `Hz`, where no sidetone tells it; implies --cw")
	fl.BoolVar(&r.cw, "cw", false, "measure the tone of your CW instead of your voice, by the sidetone on the other side or in the same")
	fl.StringVar(&r.call, "call", "", "with --cw: your own `call`, which tells your carrier from others'")
	fl.IntVar(&r.stepHz, "step", 20, "step of the knob, `Hz`, for the advice")
	fl.StringVar(&r.report, "report", "", "write a report to this HTML `file`")
	fl.StringVar(&r.drill, "make-drill", "", "write a drill `file` that flies a stretch of the pass again, talking as you did")
	fl.StringVar(&r.stretch, "stretch", "", "the stretch for --make-drill, FROM-TO in `seconds` (the worst minute if left out)")
	fl.BoolVar(&r.log, "log", false, "write it into the logbook, as a line \"on the air\" beside the drills")
	fl.StringVar(&r.operator, "operator", "", "with --log: whose it is, a `name`")
	fl.StringVar(&r.logbook, "logbook", "", "with --log: logbook `file` (left out: the one in the data folder)")
	fl.StringVar(&r.form, "out", "", outHelp)
}

func (r *recordingRequest) check() error {
	if err := oneOf("--steering", r.steering, string(recording.ByHand), string(recording.ByCard), string(recording.Still)); err != nil {
		return err
	}
	if r.mic != "" {
		if err := oneOf("--mic", r.mic, "left", "right"); err != nil {
			return err
		}
	}
	switch {
	case r.pitchHz != 0 && (r.pitchHz < 200 || r.pitchHz > 2500):
		return badInput("--pitch %.0f: the pitch of CW lies between 200 and 2500 Hz", r.pitchHz)
	case r.call != "" && !r.cw && r.pitchHz == 0:
		return badInput("--call goes with --cw: a voice is not known by its call")
	case r.call != "" && !recording.Sendable(r.call):
		return badInput("--call %q: a call has letters and figures", r.call)
	case r.stepHz < 1 || r.stepHz > 10000:
		return badInput("--step %d: a knob's step lies between 1 and 10000 Hz", r.stepHz)
	case r.hasDials && !(r.dialsAt >= 0 && r.uplinkHz > 0 && r.downlinkHz > 0):
		return badInput("--dials-at needs a moment in the recording, and where both dials stood then: --uplink and --downlink")
	case r.keep && (r.site == "" || len(r.birds) == 0):
		return badInput("--keep-correction needs the pass: give --elements, --bird, --site and --start")
	case r.drill != "" && (r.site == "" || len(r.birds) == 0):
		return badInput("--make-drill needs the pass: give --elements, --bird, --site and --start")
	}
	return nil
}

func (r *recordingRequest) run(cmd *cobra.Command, file string) error {
	form, err := tableForm(cmd, r.form)
	if err != nil {
		return err
	}
	if err := r.check(); err != nil {
		return err
	}
	if err := r.checkFiles(file); err != nil {
		return err
	}
	h, err := r.measure(cmd, file, form)
	if err != nil {
		return err
	}
	if form != "text" {
		for _, n := range h.Result.Notes {
			fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: %s: %s\n", file, n.Text)
		}
	}
	if !r.cw && r.pitchHz == 0 && onair.SoundsLikeCW(cmd.Context(), file) {
		fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: %s: this sounds like CW and was measured as speech; --cw measures its tone\n", file)
	}
	if err := r.keepAll(cmd, h); err != nil {
		return err
	}
	switch form {
	case "csv":
		return writeRows(cmd.OutOrStdout(), form, h.Result)
	case "json":
		return writeHeardJSON(cmd.OutOrStdout(), h)
	}
	return writeHeardText(cmd.OutOrStdout(), h)
}

// checkFiles finds files that would be written over what is read.
func (r *recordingRequest) checkFiles(file string) error {
	inputs := []outfile.Named{{What: "the recording", Path: file}}
	for _, e := range r.elements {
		inputs = append(inputs, outfile.Named{What: "--elements", Path: e})
	}
	return noClash(inputs, outfile.Named{What: "--report", Path: r.report}, outfile.Named{What: "--make-drill", Path: r.drill})
}

// keepAll writes what was asked for beside the output.
func (r *recordingRequest) keepAll(cmd *cobra.Command, h *onair.Contact) error {
	if r.report != "" {
		if err := writeAirReport(r.report, h); err != nil {
			return err
		}
	}
	if r.drill != "" {
		if err := r.makeDrill(cmd, h); err != nil {
			return err
		}
	}
	if r.log {
		if err := r.logOnTheAir(cmd, h); err != nil {
			return err
		}
	}
	if r.keep {
		if err := r.keepCorrection(cmd, h); err != nil {
			return err
		}
	}
	return nil
}

// measure reads and measures the file, as far as the form of the output needs it.
func (r *recordingRequest) measure(cmd *cobra.Command, file, form string) (*onair.Contact, error) {
	sound, err := onair.Open(file)
	if err != nil {
		return nil, usageError{err}
	}
	defer sound.Close()
	h := &onair.Contact{File: file, Start: sound.Start}
	if r.start != "" {
		if h.Start, err = parseTime("--start", r.start); err != nil {
			return nil, err
		}
	}
	if h.Pass, err = r.airPass(cmd, h.Start); err != nil {
		return nil, err
	}
	opt := r.options(h.Pass)
	defer debug.SetMemoryLimit(debug.SetMemoryLimit(mostMemory))
	bar := newProgress(cmd.ErrOrStderr(), sound.OfS)
	if h.Result, err = sound.Measure(cmd.Context(), opt, bar.show); err != nil {
		return nil, usageError{err}
	}
	bar.clear()
	if form == "csv" && r.report == "" && r.drill == "" && !r.log && !r.keep {
		return h, nil // the rows alone
	}
	h.Conclude(recording.Steering(r.steering), onair.Dials{UplinkHz: r.uplinkHz, DownlinkHz: r.downlinkHz, AtS: r.dialsAt, HasAt: r.hasDials}, r.stepHz)
	return h, nil
}

// options are how it is to be measured, on a pass or on none that is known.
func (r *recordingRequest) options(pass *onair.Pass) recording.Options {
	opt := recording.Options{Mic: recording.Unknown, Mono: r.mono, PitchHz: r.pitchHz, Tone: r.cw, Call: r.call}
	switch r.mic {
	case "left":
		opt.Mic = recording.Left
	case "right":
		opt.Mic = recording.Right
	}
	if pass != nil {
		opt.RateHzS = pass.RateHzS
	}
	return opt
}

// mostMemory is what measuring hours may take: the collector works harder
// rather than let garbage grow beyond it.
const mostMemory = 64 << 20

// progress is a line that tells how far a long file has been read. It is
// drawn on a terminal only.
type progress struct {
	bar
	of func(doneS float64) float64 // how long it is, s; 0 = not known
}

func newProgress(w io.Writer, of func(doneS float64) float64) *progress {
	return &progress{newBar(terminal(w), barAfter), of}
}

func (p *progress) show(doneS float64) {
	length := p.of(doneS)
	if length <= 0 {
		p.tell(-1, "measured "+onair.Clock(doneS))
		return
	}
	p.tell(doneS/length, onair.Clock(doneS)+" of "+onair.Clock(length))
}
