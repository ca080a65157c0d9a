package scoring

import (
	"strings"
	"testing"
	"time"
)

// The contacts of a sheet are those that its run counted, with what the other
// stations said of themselves.
func TestContactsOfASheet(t *testing.T) {
	s := prepare(t, "call-cq", 3, nil)
	sh := readSheet(t, flySheet(t, s, "good", 3, 0))
	m, _, err := Mark(sh)
	if err != nil {
		t.Fatal(err)
	}
	all, err := Contacts(sh)
	if err != nil || len(all) != m.Contacts || len(all) < 2 {
		t.Fatalf("%d contacts, %d counted, %v", len(all), m.Contacts, err)
	}
	last := time.Time{}
	for _, c := range all {
		if !strings.HasPrefix(c.Call, "Q") || len(c.Locator) != 4 || len(c.Report) != 2 || !c.To.After(c.From) || c.From.Before(last) || c.Bird != "DIPPER-2" {
			t.Errorf("%+v", c)
		}
		last = c.From
	}
}
