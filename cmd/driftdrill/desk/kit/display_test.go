//go:build !nodesk && linux

package kit

import (
	"errors"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/display"
)

// again runs a test of this package anew, with DISPLAY as given, or without it.
func again(test string, display ...string) (string, error) {
	c := exec.Command(os.Args[0], "-test.run=^"+test+"$", "-test.v")
	c.Env = append(slices.DeleteFunc(os.Environ(), func(v string) bool { return strings.HasPrefix(v, "DISPLAY=") }), display...)
	out, err := c.CombinedOutput()
	return string(out), err
}

// Where DISPLAY names a display that nobody serves, tests that draw fail and say
// why; only where it names none they are skipped.
func TestADisplayThatIsNamedIsNeeded(t *testing.T) {
	if out, err := again("TestRecordsTellPicturesApart", "DISPLAY=:98764"); err == nil || !strings.Contains(out, "nothing answers there") || strings.Contains(out, "SKIP") {
		t.Errorf("with a display that is gone: %v\n%s", err, out)
	}
	if out, err := again("TestRecordsTellPicturesApart"); err != nil || !strings.Contains(out, "--- SKIP: TestRecordsTellPicturesApart") || !strings.Contains(out, "needs a display") {
		t.Errorf("without a display: %v\n%s", err, out)
	}
}

// What stands in for a display is for this process alone: programs that it
// starts are not sent there.
func TestTheStandInIsHandedToNobody(t *testing.T) {
	if errors.Is(display.Err(), display.ErrNotSet) {
		if name, named := os.LookupEnv("DISPLAY"); named {
			t.Errorf("DISPLAY is %s", name)
		}
	} else if out, err := again(t.Name()); err != nil || !strings.Contains(out, "--- PASS") {
		t.Errorf("without a display: %v\n%s", err, out)
	}
}
