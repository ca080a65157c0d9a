//go:build !nodesk

package deskwire

import (
	"errors"
	"io"
	"os/exec"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"unicode"
)

// speechProgram is a program of the system that speaks.
type speechProgram struct {
	name string
	file string // "" = name
	args func(wordsPerMinute int) []string
	// lines: it stays and takes a text a line on its standard input, each of
	// which cuts off the one before; otherwise it is started on each text.
	lines bool
}

// speechPrograms are those that are looked for, in this order. What they take
// is from their manuals, from memory; those for Windows and macOS were not run here.
var speechPrograms = map[string][]speechProgram{
	"darwin":  {{name: "say", args: func(wpm int) []string { return []string{"-r", strconv.Itoa(wpm), "--"} }}},
	"windows": {{name: "the system's speech", file: "powershell.exe", args: windowsSpeech, lines: true}},
	"": {
		{name: "espeak-ng", args: espeakArgs},
		{name: "espeak", args: espeakArgs},
		{name: "spd-say", args: func(wpm int) []string {
			return []string{"-w", "-l", "en", "-r", strconv.Itoa(dispatcherRate(wpm)), "--"}
		}},
	},
}

func espeakArgs(wpm int) []string { return []string{"-v", "en", "-s", strconv.Itoa(wpm), "--"} }

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

// windowsSpeech is a script that speaks each line that it reads.
func windowsSpeech(wpm int) []string {
	rate := min(max((wpm-usualRate)/20, -10), 10)
	return []string{"-NoProfile", "-NonInteractive", "-WindowStyle", "Hidden", "-Command",
		"[Console]::InputEncoding = [Text.Encoding]::UTF8; Add-Type -AssemblyName System.Speech; " +
			"$s = New-Object System.Speech.Synthesis.SpeechSynthesizer; $s.Rate = " + strconv.Itoa(rate) + "; " +
			"while ($null -ne ($l = [Console]::In.ReadLine())) { $s.SpeakAsyncCancelAll(); if ($l) { [void]$s.SpeakAsync($l) } }"}
}

// systemVoice speaks by a program of the system, the latest text alone.
type systemVoice struct {
	speechProgram
	path string

	mu    sync.Mutex
	cmd   *exec.Cmd // that speaks now
	ended chan struct{}
	stdin io.WriteCloser
	rate  int // with which cmd was started
}

// findSystemVoice finds a speech program; nil where there is none.
func findSystemVoice() *systemVoice {
	list, ok := speechPrograms[runtime.GOOS]
	if !ok {
		list = speechPrograms[""]
	}
	for _, p := range list {
		file := p.file
		if file == "" {
			file = p.name
		}
		if path, err := exec.LookPath(file); err == nil {
			return &systemVoice{speechProgram: p, path: path}
		}
	}
	return nil
}

// errNoSpeech is told where the program could not be started.
var errNoSpeech = errors.New("the system's voice does not start")

// say speaks a text in place of the one before; "" says nothing more.
func (s *systemVoice) say(text string, wpm int) error {
	wpm = orUsual(wpm)
	text = strings.TrimSpace(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, text))
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.lines {
		return s.line(text, wpm)
	}
	s.kill()
	if text == "" {
		return nil
	}
	return s.start(wpm, text)
}

// line gives a text to the program that stays. mu is held.
func (s *systemVoice) line(text string, wpm int) error {
	if s.stdin != nil && s.rate == wpm {
		if _, err := io.WriteString(s.stdin, text+"\n"); err == nil {
			return nil
		}
	}
	s.kill()
	if text == "" {
		return nil
	}
	if err := s.start(wpm); err != nil {
		return err
	}
	_, err := io.WriteString(s.stdin, text+"\n")
	return err
}

// start starts the program. mu is held.
func (s *systemVoice) start(wpm int, more ...string) error {
	cmd := exec.Command(s.path, append(s.args(wpm), more...)...)
	hideWindow(cmd)
	if s.lines {
		in, err := cmd.StdinPipe()
		if err != nil {
			return err
		}
		s.stdin = in
	}
	if cmd.Start() != nil {
		s.stdin = nil
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
	s.cmd, s.stdin = nil, nil
}

// close ends what is being said.
func (s *systemVoice) close() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.kill()
}
