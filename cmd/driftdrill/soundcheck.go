package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"driftdrill/audio"
	"driftdrill/audio/mic"
	"driftdrill/audio/out"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
)

// soundCheck is what the sound check found.
type soundCheck struct {
	Device      string  `json:"device"`
	DeviceMS    float64 `json:"device_buffer_ms"`
	PlayerMS    float64 `json:"player_queue_ms"`
	Seconds     float64 `json:"seconds"`
	Frames      int64   `json:"frames"`
	Underruns   int64   `json:"underruns"`
	QueuedMS    float64 `json:"queued_ms"`
	KnobToEarMS float64 `json:"knob_to_ear_ms"`
	Speed       float64 `json:"speed"` // sound played over time on the clock
	Clean       bool    `json:"clean"`
	Verdict     string  `json:"verdict"` // in one line
}

// soundSpeedMin is the least speed at which a run counts, as in its marks, and
// soundSlackS what opening the device may take of it.
const (
	soundSpeedMin = 0.97
	soundSlackS   = 0.2
)

// judge gives the verdict. took is the time on the clock.
func (s *soundCheck) judge(took time.Duration) {
	played := float64(s.Frames) / audio.SampleRate
	s.Speed = min(1, (played+soundSlackS)/max(took.Seconds(), soundSlackS))
	longer := fmt.Sprintf("; try a longer buffer, --device-ms %.0f, and choose it in the settings", min(2*max(s.DeviceMS, 20), 1000))
	switch {
	case s.Frames == 0:
		s.Verdict = "does not run clean: the device takes no sound"
	case s.Speed < soundSpeedMin:
		s.Verdict = fmt.Sprintf("does not run clean: this machine is too slow, %.2f s of sound in a second", s.Speed) + longer
	case s.Underruns > 0:
		s.Verdict = fmt.Sprintf("does not run clean: it ran dry %d times in %.0f s", s.Underruns, s.Seconds) + longer
	default:
		s.Verdict, s.Clean = "runs clean", true
	}
}

// errNotClean is told beside the verdict, so that the exit status is 1.
var errNotClean = errors.New("the sound does not run clean")

// soundCheckOptions are the flags of sound-check.
type soundCheckOptions struct {
	seconds            float64
	deviceMS, playerMS int
	offsetHz           float64
	format             string
	mic                bool
}

func newSoundCheckCommand() *cobra.Command {
	o := soundCheckOptions{}
	c := &cobra.Command{
		Use:   "sound-check",
		Short: "Play a tone and its return on the sound device and tell how it runs",
		Long: "Plays your tone as spoken in the left ear and as it comes back in the right one,\n" +
			"a little off, so that you hear what you will steer by. Start with the volume low.\n" +
			"Prints the device, the buffers, how often sound ran dry, an estimate of the time\n" +
			"from a turn of the knob to the ear, and a verdict: the exit status is 1 where the\n" +
			"sound does not run clean.",
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return o.run(c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	f := c.Flags()
	f.Float64Var(&o.seconds, "for", 4, "how long to play, seconds (1 to 600)")
	f.IntVar(&o.deviceMS, "device-ms", 0, "buffer of the sound device, ms (0 = what runs clean on this system)")
	f.IntVar(&o.playerMS, "queue-ms", 0, "queue before the device, ms (0 = as small as the device allows)")
	f.Float64Var(&o.offsetHz, "offset", 3, "how far off the return is, Hz (-300 to 300)")
	f.StringVar(&o.format, "out", "text", "text or json")
	f.BoolVar(&o.mic, "mic", false, "speak yourself instead of the tone: headset only")
	return c
}

func (o soundCheckOptions) run(stdout, stderr io.Writer) error {
	switch {
	case !(o.seconds >= 1 && o.seconds <= 600):
		return badInput("--for %g: between 1 and 600 seconds", o.seconds)
	case o.deviceMS < 0 || o.deviceMS > 1000 || o.playerMS < 0 || o.playerMS > 1000:
		return badInput("--device-ms and --queue-ms are between 0 and 1000")
	case !(o.offsetHz >= -300 && o.offsetHz <= 300):
		return badInput("--offset %g: between -300 and 300 Hz", o.offsetHz)
	case o.format != "text" && o.format != "json":
		return badInput("--out %s: text or json", o.format)
	}
	config := audio.Config{OwnVoice: "tone", Headset: audio.Headset{Split: true}}
	if o.mic {
		config.OwnVoice, config.Mic = "mic", audio.NewMicrophone()
		microphone, err := mic.Open(config.Mic)
		if err != nil {
			return err
		}
		defer microphone.Close()
	}
	run, engine, err := trainer.NewToneRun(o.offsetHz, sim.Tick(o.seconds*sim.TicksPerSecond), config)
	if err != nil {
		return err
	}
	opt := out.Options{Device: time.Duration(o.deviceMS) * time.Millisecond, Player: time.Duration(o.playerMS) * time.Millisecond}
	sink := out.NewDevice(opt)
	if err := sink.Start(engine); err != nil {
		return fmt.Errorf("%w; runs without sound still work, and WAV files can be written", err)
	}
	fmt.Fprintln(stderr, "left ear: your tone as spoken; right ear: as it comes back")
	found := o.listen(sink, run)
	if o.mic {
		fmt.Fprintf(stderr, "microphone: no samples in %d of the ticks, muted for howl %d times\n", config.Mic.Dry(), config.Mic.Guarded())
	}
	if err := sink.Err(); err != nil {
		return err
	}
	if err := sink.Close(); err != nil {
		return err
	}
	if err := o.print(stdout, found); err != nil {
		return err
	}
	if !found.Clean {
		return errNotClean
	}
	return nil
}

// listen waits until the run has ended and takes the sink's figures.
func (o soundCheckOptions) listen(sink audio.Sink, run *trainer.ToneRun) soundCheck {
	deadline := time.Now().Add(time.Duration((o.seconds + 3) * float64(time.Second)))
	queued, n := 0.0, 0
	began := time.Now()
	for time.Now().Before(deadline) && !run.Done() && sink.Err() == nil {
		time.Sleep(20 * time.Millisecond)
		queued += sink.Stats().QueuedMS
		n++
	}
	took := time.Since(began)
	time.Sleep(150 * time.Millisecond) // the end is still in the buffers
	s := sink.Stats()
	opt := out.Options{Device: time.Duration(o.deviceMS) * time.Millisecond, Player: time.Duration(o.playerMS) * time.Millisecond}.Effective()
	found := soundCheck{
		Device:    deviceName(),
		DeviceMS:  opt.Device.Seconds() * 1000,
		PlayerMS:  opt.Player.Seconds() * 1000,
		Seconds:   o.seconds,
		Frames:    s.Frames,
		Underruns: s.Underruns,
		QueuedMS:  queued / float64(max(n, 1)),
	}
	found.KnobToEarMS = found.QueuedMS + audio.OutputDelayMS + audio.ReceiverDelayMS
	found.judge(took)
	return found
}

func (o soundCheckOptions) print(w io.Writer, s soundCheck) error {
	if o.format == "json" {
		return json.NewEncoder(w).Encode(s)
	}
	_, err := fmt.Fprintf(w, "device            %s\ndevice buffer     %.0f ms\nqueue before it   %.0f ms\nplayed            %.1f s (%d frames)\nran dry           %d times\nknob to ear       about %.0f ms (%.0f ms waiting to be played, %.1f ms receiver, %.1f ms limiter; the sound server's own delay comes on top)\nverdict           %s\n",
		s.Device, s.DeviceMS, s.PlayerMS, float64(s.Frames)/audio.SampleRate, s.Frames, s.Underruns,
		s.KnobToEarMS, s.QueuedMS, audio.ReceiverDelayMS, audio.OutputDelayMS, s.Verdict)
	return err
}

// deviceName says what the system's default device is, as far as it tells.
func deviceName() string {
	if runtime.GOOS != "linux" {
		return "the system's default"
	}
	cards, err := os.ReadFile("/proc/asound/cards")
	if err != nil || strings.Contains(string(cards), "no soundcards") {
		return "ALSA default (no sound card in this machine: a sound server or a null device)"
	}
	var names []string
	for _, line := range strings.Split(string(cards), "\n") {
		if _, name, ok := strings.Cut(line, " - "); ok {
			names = append(names, strings.TrimSpace(name))
		}
	}
	return "ALSA default; cards: " + strings.Join(names, ", ")
}
