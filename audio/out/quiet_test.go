//go:build linux && !nodesk

package out

import (
	"io"
	"os"
	"strings"
	"syscall"
	"testing"
)

// What the sound libraries write is kept away, what others write comes through,
// in order, and standard error is afterwards what it was.
func TestSoundLibrariesAreQuiet(t *testing.T) {
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	own, err := syscall.Dup(2)
	if err != nil {
		t.Fatal(err)
	}
	if err := syscall.Dup3(int(w.Fd()), 2, 0); err != nil {
		t.Fatal(err)
	}
	write := func(text string) { _, _ = syscall.Write(2, []byte(text)) }
	write("before\n")
	quietly(func() {
		write("ALSA lib confmisc.c:855:(parse_card) cannot find card '0'\nfrom elsewhere\n")
		write("Cannot connect to server socket err = No such file or directory\n\n")
		write("jack server is not running or cannot be started\ncut")
	})
	write("\nafter\n")
	if err := syscall.Dup3(own, 2, 0); err != nil {
		t.Fatal(err)
	}
	w.Close()
	text, err := io.ReadAll(r)
	if want := "before\nfrom elsewhere\ncut\nafter\n"; err != nil || string(text) != want {
		t.Errorf("%v, written %q, want %q", err, text, want)
	}
	for range 20 { // nothing is left open
		quietly(func() {})
	}
	if open, err := os.ReadDir("/proc/self/fd"); err == nil && len(open) > 60 {
		t.Errorf("%d files are open", len(open))
	}
	if strings.Contains(string(text), "ALSA") {
		t.Error("ALSA is heard")
	}
}
