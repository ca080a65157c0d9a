//go:build !nodesk && linux

package deskwire

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
)

// program writes a shell script under a name into a folder of its own and
// returns the folder.
func program(t *testing.T, name, script string) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, name), []byte("#!/bin/sh\n"+script), 0o755); err != nil {
		t.Fatal(err)
	}
	return dir
}

// waitForLine waits until a file has a line and returns all of them.
func waitForLine(t *testing.T, path, want string) string {
	t.Helper()
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		if data, err := os.ReadFile(path); err == nil && strings.Contains(string(data), want+"\n") {
			return string(data)
		}
	}
	t.Fatalf("%q never came", want)
	return ""
}

// wavOf writes a WAV file of a tone for a fake speech program and returns its
// name: 22050 Hz, 16 bit, full scale amplitude, with the length that a program
// puts which writes to a pipe (0x7ffff000, as espeak-ng 1.51 does).
func wavOf(t *testing.T, seconds, amplitude float64) string {
	t.Helper()
	const rate = 22050
	b := []byte("RIFF\x24\xf0\xff\x7fWAVEfmt \x10\x00\x00\x00\x01\x00\x01\x00\x22\x56\x00\x00\x44\xac\x00\x00\x02\x00\x10\x00data\x00\xf0\xff\x7f")
	for i := range int(seconds * rate) {
		b = binary.LittleEndian.AppendUint16(b, uint16(int16(32767*amplitude*math.Sin(2*math.Pi*700*float64(i)/rate))))
	}
	name := filepath.Join(t.TempDir(), "said.wav")
	if err := os.WriteFile(name, b, 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

// A program that is started on each text gets the rate and the text in one
// line, and gives its sound.
func TestSystemVoiceGivesItsSound(t *testing.T) {
	log := filepath.Join(t.TempDir(), "log")
	t.Setenv("PATH", program(t, "espeak", "echo \"$*\" >>"+log+"\nexec /bin/cat "+wavOf(t, 0.5, 1)+"\n"))
	s, byItself := findSystemVoices()
	if s == nil || s.name != "espeak" || byItself != nil {
		t.Fatalf("found %+v, %+v", s, byItself)
	}
	r, err := s.sound(context.Background(), "first\ntext", 250)
	if err != nil || math.Abs(r.Seconds()-0.5) > 0.001 {
		t.Fatal(r, err)
	}
	if _, err := s.sound(context.Background(), "second", 0); err != nil {
		t.Fatal(err)
	}
	if got := waitForLine(t, log, "--stdout -v en -s 185 -- second"); got != "--stdout -v en -s 250 -- first text\n--stdout -v en -s 185 -- second\n" {
		t.Errorf("%q", got)
	}
}

// What takes too long is given up with its context, and ended.
func TestSystemVoiceIsGivenUp(t *testing.T) {
	log := filepath.Join(t.TempDir(), "log")
	t.Setenv("PATH", program(t, "espeak-ng", "echo $$ >>"+log+"\nexec /bin/sleep 60\n"))
	s, _ := findSystemVoices()
	ctx, cancel := context.WithCancel(context.Background())
	go func() {
		for {
			if text, _ := os.ReadFile(log); len(text) > 0 {
				cancel()
				return
			}
			time.Sleep(5 * time.Millisecond)
		}
	}()
	if r, err := s.sound(ctx, "never said", 0); err == nil {
		t.Fatal("there is a sound of", r.Seconds(), "s")
	}
	pid, _ := os.ReadFile(log)
	if _, err := os.Stat("/proc/" + strings.TrimSpace(string(pid))); err == nil {
		t.Error("the program still runs")
	}
}

// A program that stays takes a line for each text and answers with a line, and
// is started anew at another rate.
func TestSystemVoiceThatStays(t *testing.T) {
	log := filepath.Join(t.TempDir(), "log")
	path := filepath.Join(program(t, "stays", "echo \"start $1\" >>"+log+"\nwhile read l; do echo \"$l\" >>"+log+"; /usr/bin/base64 -w0 "+wavOf(t, 0.25, 0.1)+"; echo; done\n"), "stays")
	s := &systemVoice{speechProgram: speechProgram{name: "stays", gives: toLines, args: func(wpm int) []string { return []string{map[bool]string{true: "fast", false: "slow"}[wpm > 200]} }}, path: path}
	defer s.close()
	for _, c := range []struct {
		text string
		wpm  int
	}{{"one", 185}, {"two\nlines", 185}, {"three", 300}} {
		if r, err := s.sound(context.Background(), c.text, c.wpm); err != nil || math.Abs(r.Seconds()-0.25) > 0.001 {
			t.Fatal(r, err)
		}
	}
	if got := waitForLine(t, log, "three"); got != "start slow\none\ntwo lines\nstart fast\nthree\n" {
		t.Errorf("%q", got)
	}
}

// A program that writes a file gets its name before the text.
func TestSystemVoiceWritesAFile(t *testing.T) {
	path := filepath.Join(program(t, "say", "exec /bin/cp "+wavOf(t, 0.25, 0.1)+" \"$2\"\n"), "say")
	s := &systemVoice{speechProgram: speechProgram{name: "say", gives: toFile, args: func(int) []string { return []string{"-o"} }}, path: path}
	if r, err := s.sound(context.Background(), "text", 0); err != nil || math.Abs(r.Seconds()-0.25) > 0.001 {
		t.Fatal(r, err)
	}
}

// The speech service plays past the limiter: it speaks only where it was
// chosen, and is silent as soon as it is not.
func TestSpeechServiceOnlyWhereChosen(t *testing.T) {
	log := filepath.Join(t.TempDir(), "log")
	t.Setenv("PATH", program(t, "spd-say", "echo \"$*\" >>"+log+"\nexec /bin/sleep 60\n"))
	v := newVoice(&bytes.Buffer{}, func() trainer.Output { return quiet{} }, false)
	defer v.close()
	if who := v.choices(); !slices.Equal(who, []string{port.VoiceBundled, port.VoiceService}) {
		t.Fatalf("offers %q", who)
	}
	if !strings.Contains(v.name(), "its limiter and its levels do not hold") {
		t.Errorf("%q does not say what the service is like", v.name())
	}
	v.speak("Not for the service.")
	busy := func() bool {
		v.mu.Lock()
		defer v.mu.Unlock()
		return v.announcer != nil && v.announcer.Busy()
	}
	for deadline := time.Now().Add(20 * time.Second); !busy(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatal("the announcer says nothing")
		}
	}
	v.choose(port.Settings{Voice: port.VoiceService})
	v.speak("For the service.")
	if got := waitForLine(t, log, "-w -l en -r 0 -- For the service."); strings.Contains(got, "Not for") {
		t.Errorf("the service said %q", got)
	}
	v.byItself.mu.Lock()
	ended := v.byItself.ended
	v.byItself.mu.Unlock()
	v.choose(port.Settings{})
	v.speak("Not for the service either.")
	select {
	case <-ended:
	case <-time.After(20 * time.Second):
		t.Error("the service speaks on")
	}
}

// What the system's voice says is heard at the level of practice, whatever
// level the program gives it, through the volume and under the limiter: the
// same figures for a whisper as for a voice at full scale.
func TestSystemVoiceKeepsLimiterAndLevel(t *testing.T) {
	for _, c := range []struct {
		amplitude, volumeDB, wantDB float64
	}{{1, 0, -20}, {0.02, 0, -20}, {1, -10, -30}, {1, -40, -32}, {0.02, 12, -8}} { // -12 dB is the least volume of what is spoken
		t.Setenv("PATH", program(t, "espeak-ng", "exec /bin/cat "+wavOf(t, 1, c.amplitude)+"\n"))
		sink := &heardSink{}
		v := newVoice(&bytes.Buffer{}, func() trainer.Output { return sink }, false)
		v.choose(port.Settings{Levels: port.Levels{MasterDB: c.volumeDB}})
		v.speak("Welcome.")
		var x []float32
		for deadline := time.Now().Add(20 * time.Second); len(x) == 0; time.Sleep(5 * time.Millisecond) {
			if time.Now().After(deadline) {
				t.Fatal("nothing is said")
			}
			v.mu.Lock()
			if v.announcer != nil && v.announcer.Busy() {
				x = make([]float32, 2*audio.SampleRate)
				sink.from.Fill(x)
			}
			v.mu.Unlock()
		}
		v.close()
		sum, peak := 0.0, 0.0
		for _, s := range x[audio.SampleRate/2 : audio.SampleRate] { // a quarter of a second in the middle
			sum += float64(s) * float64(s)
			peak = max(peak, math.Abs(float64(s)))
		}
		if db := 10 * math.Log10(sum/float64(audio.SampleRate/2)); math.Abs(db-c.wantDB) > 0.5 {
			t.Errorf("amplitude %g at %g dB is heard at %.1f dB, want %g", c.amplitude, c.volumeDB, db, c.wantDB)
		}
		if peak > 0.7 {
			t.Errorf("amplitude %g at %g dB: a peak of %.2f", c.amplitude, c.volumeDB, peak)
		}
		if first := math.Abs(float64(x[2*24])); first > 0.01 { // half a millisecond after the start
			t.Errorf("it starts with %.3f", first)
		}
	}
}

// heardSink is an output that a test pulls.
type heardSink struct {
	quiet
	from audio.Source
}

func (h *heardSink) Start(from audio.Source) error {
	h.from = from
	return nil
}

// Where there is no program, or the bundled voice is chosen, it speaks: within
// the run that is heard, else by the announcer; what does not start is made up for.
func TestBundledVoiceTakesOver(t *testing.T) {
	for name, c := range map[string]struct {
		path   string
		choice string
	}{
		"no program": {t.TempDir(), port.VoiceSystem},
		"by choice":  {program(t, "espeak-ng", "exec /bin/sleep 60\n"), port.VoiceBundled},
		"broken":     {"", port.VoiceSystem},
	} {
		t.Run(name, func(t *testing.T) {
			t.Setenv("PATH", c.path)
			v := newVoice(&bytes.Buffer{}, func() trainer.Output { return quiet{} }, false)
			defer v.close()
			if name == "broken" {
				v.system = &systemVoice{speechProgram: speechProgram{name: "broken", args: espeakArgs, gives: toPipe}, path: "/nowhere/at/all"}
			}
			v.choose(port.Settings{Voice: c.choice})
			v.speak("Welcome to drift drill.")
			spoken := func(who string, busy func() bool) {
				t.Helper()
				for deadline := time.Now().Add(20 * time.Second); !busy(); time.Sleep(5 * time.Millisecond) {
					if time.Now().After(deadline) {
						t.Fatal(who, "says nothing")
					}
				}
			}
			announces := func() bool {
				v.mu.Lock()
				defer v.mu.Unlock()
				return v.announcer != nil && v.announcer.Busy()
			}
			spoken("the announcer", announces)
			_, e, err := trainer.NewToneRun(0, 1000, audio.Config{OwnVoice: "tone"})
			if err != nil {
				t.Fatal(err)
			}
			leave := v.within(e)
			v.speak("Your over.")
			spoken("the engine", e.Speaking)
			leave()
			v.speak("Start page.")
			spoken("the announcer", announces)
		})
	}
}

// While nothing is said no sound is played: the sink is closed once all was
// said, and what is said next is heard on another.
func TestSilentPageClosesItsSound(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	sinks := make(chan *closingSink, 2)
	v := newVoice(&bytes.Buffer{}, func() trainer.Output {
		s := &closingSink{closed: make(chan struct{})}
		sinks <- s
		return s
	}, false)
	defer v.close()
	v.lingers = time.Millisecond
	for range 2 {
		v.speak("Welcome.")
		s := <-sinks
		for pulled := make([]float32, 2*240); ; {
			v.mu.Lock()
			busy := v.announcer != nil && v.announcer.Busy()
			v.mu.Unlock()
			select {
			case <-s.closed:
				if busy {
					t.Error("the sound was closed while something was said")
				}
			default:
				s.from.Fill(pulled)
				continue
			}
			break
		}
		if s.heard == 0 {
			t.Error("nothing was heard")
		}
	}
}

// closingSink is an output that a test pulls until it is closed.
type closingSink struct {
	heardSink
	heard  float64
	closed chan struct{}
}

func (c *closingSink) Start(from audio.Source) error {
	return c.heardSink.Start(listened{from, &c.heard})
}
func (c *closingSink) Close() error { close(c.closed); return nil }
func (c *closingSink) Silent() bool { return false }

// listened sums up what a source gives.
type listened struct {
	audio.Source
	heard *float64
}

func (l listened) Fill(dst []float32) int {
	n := l.Source.Fill(dst)
	for _, x := range dst[:2*n] {
		*l.heard += math.Abs(float64(x))
	}
	return n
}

// A machine without any sound says so in one line and speaks no further.
func TestNoSoundDeviceIsToldOnce(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	var told bytes.Buffer
	v := newVoice(&told, func() trainer.Output { return deadSink{} }, true)
	v.speak("one")
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		v.mu.Lock()
		done := v.told
		v.mu.Unlock()
		if done {
			break
		}
	}
	v.speak("two")
	v.close()
	v.mu.Lock()
	defer v.mu.Unlock()
	if strings.Count(told.String(), "\n") != 1 || !strings.Contains(told.String(), "no sound device") {
		t.Errorf("told %q", told.String())
	}
}

var errNoSoundHere = errors.New("no sound device: none here")

// deadSink is a sink on a machine without sound.
type deadSink struct{ quiet }

func (deadSink) Start(audio.Source) error { return errNoSoundHere }
