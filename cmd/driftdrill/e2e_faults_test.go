//go:build e2e && linux

package main

import (
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
)

// What can go wrong around a run gets one line and loses nothing.
func TestEndToEndFaults(t *testing.T) {
	s := newStage(t)
	s.settings(port.Settings{WheelNotches: 1, StepHz: 20, Welcomed: true})
	for _, c := range []struct {
		name string
		run  func(*stage)
	}{
		{"no display", withoutDisplay},
		{"no sound device", withoutSound},
		{"the sound device goes away", soundGoes},
		{"a power cut", powerCut},
	} {
		t.Run(c.name, func(t *testing.T) {
			s.t = t
			c.run(s)
		})
	}
}

// without returns the stage's surroundings less some variables.
func (s *stage) without(names ...string) []string {
	var env []string
	for _, v := range s.env {
		name, _, _ := strings.Cut(v, "=")
		keep := true
		for _, n := range names {
			keep = keep && n != name
		}
		if keep {
			env = append(env, v)
		}
	}
	return env
}

func withoutDisplay(s *stage) {
	for line, want := range map[string]int{
		"fly --drill testdata/short.toml": exitFailed,
		"rehearse --hand none":            exitDone,
		"display":                         exitFailed,
		"--version":                       exitDone,
	} {
		cmd := exec.Command(s.program, strings.Fields(line)...)
		cmd.Env = s.without("DISPLAY")
		var stderr strings.Builder
		cmd.Stderr = &stderr
		err := cmd.Run()
		status := 0
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			status = exit.ExitCode()
		}
		if status != want {
			s.t.Errorf("%s: exit status %d, want %d: %s", line, status, want, stderr.String())
		}
		if want == exitFailed && (strings.Count(stderr.String(), "\n") != 1 || !strings.Contains(stderr.String(), "DISPLAY")) {
			s.t.Errorf("%s: said %q, want one line about DISPLAY", line, stderr.String())
		}
	}
}

// flyShort flies twelve seconds and returns what the program said.
func (s *stage) flyShort(name string, env []string, during func()) (said, sheet string) {
	s.t.Helper()
	sheet = filepath.Join(s.dir, name+".jsonl")
	app := s.start(s.program, "fly", "--drill", "testdata/short.toml", "--seed", "7", "--sheet", sheet, "--quit-at-end")
	app.Env = env
	app.begin()
	s.window(app)
	s.do("keydown space")
	if during != nil {
		during()
	}
	app.endedWell()
	s.do("keyup space")
	return app.output.String(), sheet
}

func withoutSound(s *stage) {
	env := append(s.without("PULSE_SERVER", "HOME"), "HOME="+s.dir, "XDG_CONFIG_HOME="+filepath.Join(s.dir, "home", ".config"))
	said, sheet := s.flyShort("silent", env, nil)
	if strings.Count(said, "no sound") != 1 {
		s.t.Errorf("said %q, want once that there is no sound", said)
	}
	s.debriefed(sheet)
}

func soundGoes(s *stage) {
	_, sheet := s.flyShort("gone", s.env, func() {
		s.until("the run to begin", func() bool { return written(filepath.Join(s.dir, "gone.jsonl")) >= 4 })
		s.sound.Process.Kill()
	})
	if sh := s.debriefed(sheet); sh.End < sh.Setup.Length {
		s.t.Errorf("the run ended at tick %d of %d", sh.End, sh.Setup.Length)
	}
}

// written counts the lines of a file.
func written(path string) int {
	text, _ := os.ReadFile(path)
	return strings.Count(string(text), "\n")
}

// powerCuts is how often the program is killed while a run records; the long
// form is 100.
var powerCuts = flag.Int("power-cuts", 3, "kill a live run so often")

// powerCut kills the program at a random moment of a run that is being flown,
// over and over. No second may be lost that was on the disk, and the sheet agrees
// with itself.
func powerCut(s *stage) {
	random := rand.New(rand.NewPCG(uint64(os.Getpid()), 0))
	s.t.Logf("seed %d", os.Getpid())
	for n := range *powerCuts {
		sheet := filepath.Join(s.dir, fmt.Sprintf("cut-%d.jsonl", n))
		app := s.start(s.program, "fly", "--drill", "testdata/short.toml", "--seed", "7", "--sheet", sheet, "--audio", "silent")
		app.begin()
		s.window(app)
		least := 1 + random.IntN(5)
		s.until("some seconds of the run", func() bool { return seconds(sheet) >= least || !app.running() })
		s.do("keydown space")
		s.do("click 4")
		time.Sleep(time.Duration(random.IntN(1500)) * time.Millisecond)
		before := seconds(sheet)
		app.Process.Kill()
		<-app.ended
		s.do("keyup space")
		sh, err := trainer.ReadSheet(sheet)
		if err != nil {
			s.t.Fatal(err)
		}
		if sh.Ended || len(sh.Hashes) < before {
			s.t.Errorf("%d seconds are left of a sheet that had %d before", len(sh.Hashes), before)
		}
		if out := s.run("debrief", "--unrated", "--out", "json", sheet); !strings.Contains(out, `"agrees":true`) {
			s.t.Errorf("the sheet does not agree with itself: %s", out)
		}
	}
}

// seconds counts the whole seconds that a sheet on the disk holds.
func seconds(path string) int {
	text, _ := os.ReadFile(path)
	return strings.Count(string(text), `{"second":`)
}
