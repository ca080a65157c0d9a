//go:build !nodesk

package main

import (
	"os/exec"
)

// voice speaks texts by a speech program of the system, the latest one alone:
// what is being said is cut off by what comes next.
type voice struct {
	name  string // the program, or why there is none
	path  string
	args  []string
	texts chan string
}

// speechPrograms are those that are looked for, in this order, with the
// arguments before the text. They are common on their systems; common
// practice, no published source.
var speechPrograms = []struct {
	name string
	args []string
}{
	{"espeak-ng", []string{"-v", "en", "-s", "185", "--"}},
	{"espeak", []string{"-v", "en", "-s", "185", "--"}},
	{"say", []string{"-r", "200", "--"}},
}

// newVoice finds a speech program.
func newVoice() *voice {
	for _, p := range speechPrograms {
		if path, err := exec.LookPath(p.name); err == nil {
			v := &voice{name: p.name, path: path, args: p.args, texts: make(chan string, 64)}
			go v.run()
			return v
		}
	}
	return &voice{name: "no voice: install espeak-ng and start again"}
}

// speaker returns what says a text; nil where there is no voice.
func (v *voice) speaker() func(string) {
	if v.texts == nil {
		return nil
	}
	return func(text string) {
		select {
		case v.texts <- text:
		default: // far behind: the next one will do
		}
	}
}

// run says the latest text.
func (v *voice) run() {
	var now *exec.Cmd
	ended := make(chan *exec.Cmd, 1)
	for {
		select {
		case text := <-v.texts:
			for len(v.texts) > 0 {
				text = <-v.texts
			}
			if now != nil {
				_ = now.Process.Kill() // it may have ended by itself
				<-ended
			}
			now = v.say(text, ended)
		case <-ended:
			now = nil
		}
	}
}

// say starts the speech program on a text.
func (v *voice) say(text string, ended chan<- *exec.Cmd) *exec.Cmd {
	if text == "" {
		return nil
	}
	cmd := exec.Command(v.path, append(append([]string(nil), v.args...), text)...)
	if cmd.Start() != nil {
		return nil
	}
	go func() {
		_ = cmd.Wait() // how it ended makes no difference
		ended <- cmd
	}()
	return cmd
}
