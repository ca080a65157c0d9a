//go:build !nodesk && linux

package kit

import (
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// Where DISPLAY names a display that nobody serves, tests that draw fail and say
// why; only where it names none they are skipped.
func TestADisplayThatIsNamedIsNeeded(t *testing.T) {
	run := func(display ...string) (string, error) {
		c := exec.Command(os.Args[0], "-test.run=^TestRecordsTellPicturesApart$", "-test.v")
		c.Env = append(slices.DeleteFunc(os.Environ(), func(v string) bool { return strings.HasPrefix(v, "DISPLAY=") }), display...)
		out, err := c.CombinedOutput()
		return string(out), err
	}
	if out, err := run("DISPLAY=:98764"); err == nil || !strings.Contains(out, "nothing answers there") || strings.Contains(out, "SKIP") {
		t.Errorf("with a display that is gone: %v\n%s", err, out)
	}
	if out, err := run(); err != nil || !strings.Contains(out, "--- SKIP: TestRecordsTellPicturesApart") || !strings.Contains(out, "needs a display") {
		t.Errorf("without a display: %v\n%s", err, out)
	}
}
