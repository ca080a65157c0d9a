//go:build linux && !nodesk

package out

import (
	"bufio"
	"io"
	"os"
	"strings"
	"syscall"
)

// soundNoise are the beginnings of what the system's sound libraries write to
// standard error on their own where there is no device: some ninety lines that
// say in their words what is told in one of ours.
var soundNoise = []string{"ALSA lib ", "Cannot connect to server socket", "Cannot connect to server request channel",
	"jack server is not running", "JackShmReadWritePtr::"}

// quietly does work while lines of the sound libraries are kept from standard
// error. Everything else that is written there meanwhile comes through, at the
// latest when the work is done.
func quietly(work func()) {
	kept, err := syscall.Dup(2)
	if err != nil {
		work()
		return
	}
	syscall.CloseOnExec(kept)
	screen := os.NewFile(uintptr(kept), "stderr")
	defer screen.Close()
	r, w, err := os.Pipe()
	if err != nil {
		work()
		return
	}
	if err := syscall.Dup3(int(w.Fd()), 2, 0); err != nil {
		r.Close()
		w.Close()
		work()
		return
	}
	through := make(chan struct{})
	go func() {
		defer close(through)
		filterNoise(screen, r)
	}()
	defer func() {
		_ = syscall.Dup3(kept, 2, 0) // it was there before
		w.Close()
		<-through
		r.Close()
	}()
	work()
}

// filterNoise copies lines that are not noise; a blank line goes with the noise
// before it.
func filterNoise(to io.Writer, from io.Reader) {
	noise := false
	for in := bufio.NewReader(from); ; {
		line, err := in.ReadString('\n')
		if line != "" {
			noise = isNoise(line) || noise && strings.TrimSpace(line) == ""
			if !noise {
				_, _ = io.WriteString(to, line) // there is nowhere to tell
			}
		}
		if err != nil {
			return
		}
	}
}

func isNoise(line string) bool {
	for _, n := range soundNoise {
		if strings.HasPrefix(line, n) {
			return true
		}
	}
	return false
}
