//go:build !nodesk

package deskwire

import (
	"bufio"
	"bytes"
	"context"
	"encoding/base64"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode"

	"driftdrill/audio"
)

// speechProgram is a program of the system that speaks.
type speechProgram struct {
	name string
	file string // "" = name
	args func(wordsPerMinute int) []string
	gives
}

// gives is how a speech program hands over what it speaks.
type gives uint8

const (
	toPipe  gives = iota // a WAV file on its standard output; it is started on each text
	toFile               // a WAV file, whose name comes before the text
	toLines              // it stays, takes a text a line and answers each with a line: a WAV file in base64
	aloud                // nothing: it plays by itself, past limiter and level
)

// speechPrograms are those that are looked for, in this order: the first that
// gives its sound, and the first that plays by itself. What they take is from
// their manuals, from memory; those for Windows and macOS were not run here.
var speechPrograms = map[string][]speechProgram{
	"darwin": {{name: "say", gives: toFile, args: func(wpm int) []string {
		return []string{"-r", strconv.Itoa(wpm), "--file-format=WAVE", "--data-format=LEI16@22050", "-o"}
	}}},
	"windows": {{name: "the system's speech", file: "powershell.exe", args: windowsSpeech, gives: toLines}},
	"": {
		{name: "espeak-ng", args: espeakArgs},
		{name: "espeak", args: espeakArgs},
		{name: "spd-say", gives: aloud, args: func(wpm int) []string {
			return []string{"-w", "-l", "en", "-r", strconv.Itoa(dispatcherRate(wpm)), "--"}
		}},
	},
}

func espeakArgs(wpm int) []string {
	return []string{"--stdout", "-v", "en", "-s", strconv.Itoa(wpm), "--"}
}

// usualRate is the rate at which speech programs talk by themselves, words a minute.
const usualRate = 185

func orUsual(wpm int) int {
	if wpm == 0 {
		return usualRate
	}
	return wpm
}

// dispatcherRate turns words a minute into -100..100 round the usual rate.
func dispatcherRate(wpm int) int { return min(max((wpm-usualRate)*2/3, -100), 100) }

// windowsSpeech is a script that gives the sound of each line that it reads.
func windowsSpeech(wpm int) []string {
	rate := min(max((wpm-usualRate)/20, -10), 10)
	return []string{"-NoProfile", "-NonInteractive", "-WindowStyle", "Hidden", "-Command",
		"[Console]::InputEncoding = [Text.Encoding]::UTF8; Add-Type -AssemblyName System.Speech; " +
			"$s = New-Object System.Speech.Synthesis.SpeechSynthesizer; $s.Rate = " + strconv.Itoa(rate) + "; " +
			"while ($null -ne ($l = [Console]::In.ReadLine())) { $m = New-Object IO.MemoryStream; $s.SetOutputToWaveStream($m); $s.Speak($l); " +
			"$s.SetOutputToNull(); [Console]::Out.WriteLine([Convert]::ToBase64String($m.ToArray())) }"}
}

// systemVoice speaks by a program of the system.
type systemVoice struct {
	speechProgram
	path string

	mu    sync.Mutex
	cmd   *exec.Cmd // that stays, or that speaks by itself now
	ended chan struct{}
	stdin io.WriteCloser
	lines *bufio.Reader
	rate  int // with which cmd was started
}

// findSystemVoices finds the speech program whose sound can be had, and the one
// that plays by itself; nil where there is none.
func findSystemVoices() (sound, byItself *systemVoice) {
	list, ok := speechPrograms[runtime.GOOS]
	if !ok {
		list = speechPrograms[""]
	}
	for _, p := range list {
		file := p.file
		if file == "" {
			file = p.name
		}
		path, err := exec.LookPath(file)
		switch s := (&systemVoice{speechProgram: p, path: path}); {
		case err != nil:
		case p.gives == aloud && byItself == nil:
			byItself = s
		case p.gives != aloud && sound == nil:
			sound = s
		}
	}
	return sound, byItself
}

// Bounds of what a speech program may take and give: far above what the program says.
const (
	speechWait  = 10 * time.Second
	speechMostS = 300
)

// errNoSpeech is told where the program could not be started.
var errNoSpeech = errors.New("the system's voice does not start")

// oneLine is a text as a speech program takes it.
func oneLine(text string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, text))
}

// sound is a text as the program speaks it. It ends early with its context.
func (s *systemVoice) sound(ctx context.Context, text string, wpm int) (*audio.Recording, error) {
	ctx, cancel := context.WithTimeout(ctx, speechWait)
	defer cancel()
	text, wpm = oneLine(text), orUsual(wpm)
	switch s.gives {
	case toFile:
		return s.soundOfFile(ctx, text, wpm)
	case toLines:
		return s.soundOfLine(ctx, text, wpm)
	}
	var r *audio.Recording
	cmd := s.command(ctx, wpm, text)
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if cmd.Start() != nil {
		return nil, errNoSpeech
	}
	r, err = audio.ReadWAV(out, s.name, speechMostS)
	cancel() // it has said all, or what it says is of no use
	_ = cmd.Wait()
	return r, err
}

func (s *systemVoice) command(ctx context.Context, wpm int, more ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, s.path, append(s.args(wpm), more...)...)
	cmd.WaitDelay = time.Second
	hideWindow(cmd)
	return cmd
}

// soundOfFile lets the program write a file.
func (s *systemVoice) soundOfFile(ctx context.Context, text string, wpm int) (*audio.Recording, error) {
	folder, err := os.MkdirTemp("", "driftdrill-speech")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	name := filepath.Join(folder, "said.wav")
	if err := s.command(ctx, wpm, name, "--", text).Run(); err != nil {
		return nil, errNoSpeech
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return audio.ReadWAV(f, s.name, speechMostS)
}

// soundOfLine asks the program that stays, and starts it where it does not run
// or talks at another rate. One that does not answer in time is ended.
func (s *systemVoice) soundOfLine(ctx context.Context, text string, wpm int) (*audio.Recording, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.cmd == nil || s.rate != wpm {
		s.kill()
		if err := s.start(wpm); err != nil {
			return nil, err
		}
	}
	process := s.cmd.Process
	inTime := context.AfterFunc(ctx, func() { _ = process.Kill() })
	_, err := io.WriteString(s.stdin, text+"\n")
	var answer string
	if err == nil {
		answer, err = s.lines.ReadString('\n')
	}
	if !inTime() || err != nil {
		s.kill()
		return nil, errors.Join(errNoSpeech, ctx.Err())
	}
	wav, err := base64.StdEncoding.DecodeString(strings.TrimSpace(answer))
	if err != nil {
		return nil, err
	}
	return audio.ReadWAV(bytes.NewReader(wav), s.name, speechMostS)
}

// say lets the program that plays by itself speak in place of what it said
// before; "" says nothing more.
func (s *systemVoice) say(text string, wpm int) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.kill()
	if text = oneLine(text); text == "" {
		return nil
	}
	return s.start(orUsual(wpm), text)
}

// start starts the program. mu is held.
func (s *systemVoice) start(wpm int, more ...string) error {
	cmd := s.command(context.Background(), wpm, more...)
	if s.gives == toLines {
		in, err := cmd.StdinPipe()
		if err != nil {
			return err
		}
		out, err := cmd.StdoutPipe()
		if err != nil {
			return err
		}
		s.stdin, s.lines = in, bufio.NewReader(out)
	}
	if cmd.Start() != nil {
		return errNoSpeech
	}
	s.cmd, s.ended, s.rate = cmd, make(chan struct{}), wpm
	go func(ended chan struct{}) {
		_ = cmd.Wait() // how it ended makes no difference
		close(ended)
	}(s.ended)
	return nil
}

// kill ends the program. mu is held.
func (s *systemVoice) kill() {
	if s.cmd == nil {
		return
	}
	_ = s.cmd.Process.Kill() // it may have ended by itself
	<-s.ended
	s.cmd, s.stdin, s.lines = nil, nil, nil
}

// close ends what is being said.
func (s *systemVoice) close() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.kill()
}
