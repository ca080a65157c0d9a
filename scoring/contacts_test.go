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
		if c.Noted[0] == "" || c.Noted[0][0] != 'Q' || c.Stands()[0] == NoteWrong {
			t.Errorf("noted %q of %q", c.Noted, c.Given())
		}
		if !strings.HasPrefix(c.Call, "Q") || len(c.Locator) != 4 || len(c.Report) != 2 || !c.To.After(c.From) || c.From.Before(last) || c.Bird != "DIPPER-2" {
			t.Errorf("%+v", c)
		}
		last = c.From
	}
}

// What stands in the contact log is marked character by character.
func TestNotesAreMarked(t *testing.T) {
	c := Contact{Call: "Q3FEN", Report: "57", Locator: "JO31"}
	for noted, want := range map[[3]string][3]NoteState{
		{"Q3FEN", "57", "JO31"}: {}, {"", "", ""}: {NoteMissing, NoteMissing, NoteMissing},
		{"Q?F?N", "5?", "J?3"}: {NoteMissing, NoteMissing, NoteMissing}, {"Q3FENN", "59", "JP3?"}: {NoteWrong, NoteWrong, NoteWrong},
	} {
		if c.Noted = noted; c.Stands() != want {
			t.Errorf("%q: %v, want %v", noted, c.Stands(), want)
		}
	}
	right := Contact{Call: "A", Noted: [3]string{"A", "", ""}}
	for want, all := range map[string][]Contact{
		"": nil, "1 contact, all noted right": {right}, "2 contacts, all noted right": {right, right},
		"3 contacts; 2 calls missing, 1 report wrong": {right, {Call: "Q1", Report: "59", Noted: [3]string{"Q?", "57", ""}}, {Call: "Q1"}},
	} {
		if got := NotesInWords(all); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
