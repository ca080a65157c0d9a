//go:build !nodesk && !js

package out

import (
	"errors"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"testing"
	"time"
)

// A machine whose sound library finds no device tells it in the program's own
// words, in one line, and the library writes nothing beside it.
func TestNoDeviceIsToldInPlainWords(t *testing.T) {
	if os.Getenv("DRIFTDRILL_NO_DEVICE") != "" {
		_, _, err := sharedContext(20 * time.Millisecond)
		if err == nil {
			t.Skip("there is a device")
		}
		if err.Error() != noDeviceWords || errors.Unwrap(err) == nil {
			t.Errorf("%v", err)
		}
		return
	}
	if runtime.GOOS != "linux" {
		t.Skip("only here a configuration can be given that has no device")
	}
	home := t.TempDir()
	if err := os.WriteFile(home+"/.asoundrc", []byte("pcm.!default { type hw card 77 }\nctl.!default { type hw card 77 }\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	c := exec.Command(os.Args[0], "-test.run", "^TestNoDeviceIsToldInPlainWords$", "-test.v")
	c.Env = append(os.Environ(), "DRIFTDRILL_NO_DEVICE=1", "HOME="+home, "PULSE_SERVER=/nowhere", "XDG_RUNTIME_DIR="+home)
	said, err := c.CombinedOutput()
	if strings.Contains(string(said), "there is a device") {
		t.Skip("a sound device answers here, whatever the configuration says")
	}
	if err != nil || strings.Contains(string(said), "ALSA") || strings.Contains(strings.ToLower(string(said)), "jack") {
		t.Errorf("%v:\n%s", err, said)
	}
}

// No words of a library stand in what is told.
func TestPlainErrorHidesTheLibrary(t *testing.T) {
	raw := errors.New("oto: ALSA error at snd_pcm_open: No such file or directory")
	for _, words := range []string{noDeviceWords, lostWords} {
		e := &plainError{words, raw}
		if strings.Contains(e.Error(), "ALSA") || strings.Contains(e.Error(), "snd_") || !errors.Is(e, raw) || strings.Count(e.Error(), "\n") > 0 {
			t.Error(e)
		}
	}
}
