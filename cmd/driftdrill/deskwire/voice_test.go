//go:build !nodesk && linux

package deskwire

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/desk"
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

// A program that is started on each text gets the rate and is cut off by the next one.
func TestSystemVoiceIsStartedAndCutOff(t *testing.T) {
	log := filepath.Join(t.TempDir(), "log")
	t.Setenv("PATH", program(t, "espeak", "echo \"$*\" >>"+log+"\nexec /bin/sleep 60\n"))
	s := findSystemVoice()
	if s == nil || s.name != "espeak" {
		t.Fatalf("found %+v", s)
	}
	if err := s.say("first\ntext", 250); err != nil {
		t.Fatal(err)
	}
	waitForLine(t, log, "-v en -s 250 -- first text")
	first := s.ended
	if err := s.say("second", 0); err != nil {
		t.Fatal(err)
	}
	select {
	case <-first:
	default:
		t.Error("the first one still speaks")
	}
	waitForLine(t, log, "-v en -s 185 -- second")
	s.close()
}

// A program that stays takes a line for each text, and is started anew at another rate.
func TestSystemVoiceThatStays(t *testing.T) {
	dir := t.TempDir()
	log := filepath.Join(dir, "log")
	path := filepath.Join(program(t, "stays", "echo \"start $1\" >>"+log+"\nwhile read l; do echo \"$l\" >>"+log+"; done\n"), "stays")
	s := &systemVoice{speechProgram: speechProgram{name: "stays", lines: true, args: func(wpm int) []string { return []string{map[bool]string{true: "fast", false: "slow"}[wpm > 200]} }}, path: path}
	defer s.close()
	for _, c := range []struct {
		text string
		wpm  int
	}{{"one", 185}, {"two\nlines", 185}, {"three", 300}} {
		if err := s.say(c.text, c.wpm); err != nil {
			t.Fatal(err)
		}
		waitForLine(t, log, strings.ReplaceAll(c.text, "\n", " "))
	}
	if got := waitForLine(t, log, "three"); got != "start slow\none\ntwo lines\nstart fast\nthree\n" {
		t.Errorf("%q", got)
	}
}

// Where there is no program, or the bundled voice is chosen, it speaks: within
// the run that is heard, else by the announcer; what does not start is made up for.
func TestBundledVoiceTakesOver(t *testing.T) {
	for name, c := range map[string]struct {
		path   string
		choice string
	}{
		"no program": {t.TempDir(), desk.VoiceSystem},
		"by choice":  {program(t, "espeak-ng", "exec /bin/sleep 60\n"), desk.VoiceBundled},
		"broken":     {"", desk.VoiceSystem},
	} {
		t.Run(name, func(t *testing.T) {
			t.Setenv("PATH", c.path)
			v := newVoice(&bytes.Buffer{}, func() trainer.Output { return quiet{} }, false)
			defer v.close()
			if name == "broken" {
				v.system = &systemVoice{speechProgram: speechProgram{name: "broken", args: espeakArgs}, path: "/nowhere/at/all"}
			}
			v.choose(desk.Settings{Voice: c.choice})
			v.speak("Welcome to drift drill.")
			spoken := func(who string, busy func() bool) {
				t.Helper()
				for deadline := time.Now().Add(20 * time.Second); !busy(); time.Sleep(5 * time.Millisecond) {
					if time.Now().After(deadline) {
						t.Fatal(who, "says nothing")
					}
				}
			}
			spoken("the announcer", func() bool {
				v.mu.Lock()
				defer v.mu.Unlock()
				return v.announcer != nil && v.announcer.Busy()
			})
			_, e, err := trainer.NewToneRun(0, 1000, audio.Config{OwnVoice: "tone"})
			if err != nil {
				t.Fatal(err)
			}
			leave := v.within(e)
			v.speak("Your over.")
			spoken("the engine", e.Speaking)
			leave()
			v.speak("Start page.")
			spoken("the announcer", func() bool { return v.announcer.Busy() })
		})
	}
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
