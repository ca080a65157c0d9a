//go:build !nodesk && !js

package out

import (
	"errors"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"testing"
)

// A machine whose sound library finds no device tells it in the program's own
// words, in one line, and the library writes nothing beside it.
func TestNoDeviceIsToldInPlainWords(t *testing.T) {
	if os.Getenv("DRIFTDRILL_NO_DEVICE") != "" {
		err := NewDevice(Options{}).Start(nil)
		if err == nil || err.Error() != noDeviceWords || errors.Unwrap(err) == nil {
			t.Errorf("%v", err)
		}
		return
	}
	if runtime.GOOS != "linux" {
		t.Skip("only here a configuration can be given that has no device")
	}
	none := t.TempDir() + "/asound.conf"
	if err := os.WriteFile(none, []byte("pcm.!default { type hw card 77 }\nctl.!default { type hw card 77 }\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	c := exec.Command(os.Args[0], "-test.run", "^TestNoDeviceIsToldInPlainWords$")
	c.Env = append(os.Environ(), "DRIFTDRILL_NO_DEVICE=1", "ALSA_CONFIG_PATH="+none)
	said, err := c.CombinedOutput()
	if err != nil || strings.Contains(string(said), "ALSA") {
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
