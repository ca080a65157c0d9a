package orbit

import (
	"bytes"
	"strings"
	"testing"
	"time"
)

// A name that a spreadsheet would run is written with an apostrophe, and comes
// back without; numbers, the negative ones too, stay numbers.
func TestNamesInCSVDoNotRun(t *testing.T) {
	set, err := ParseTLE("=HYPERLINK(1)", larkLine1, larkLine2)
	if err != nil {
		t.Fatal(err)
	}
	set.BStar, set.Designator = -1e-5, "@SUM(1)"
	var b bytes.Buffer
	if err := WriteElements(&b, FormatCSV, []Elements{set}, time.Time{}); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "\n'=HYPERLINK(1),'@SUM(1),") || !strings.Contains(b.String(), ",-1e-05") {
		t.Errorf("written as %s", b.String())
	}
	sets, problems := ReadElements(&b, "f")
	if len(sets) != 1 || sets[0] != set || len(problems) > 0 {
		t.Errorf("read %+v, %v", sets, problems)
	}
}
