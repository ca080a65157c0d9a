package trainer

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// leftOf keeps the first ticks of a sheet as a crash leaves them.
func leftOf(t *testing.T, d Disk, name string, text []byte) string {
	t.Helper()
	if err := os.MkdirAll(d.SheetFolder(), 0o755); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(d.SheetFolder(), name)
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// A run that was cut short is offered if it lasted ten seconds; kept, it stands in
// the logbook at the time at which it was begun, and is offered no more.
func TestARunThatWasCutShortIsKept(t *testing.T) {
	d := Disk{Data: t.TempDir(), Config: t.TempDir()}
	text := aSheet(t, "good")
	header := bytes.IndexByte(text, '\n') + 1
	leftOf(t, d, "20261125-180000-first-hold.jsonl", text[:header])
	leftOf(t, d, "20261125-183000-first-hold.jsonl", []byte("no sheet\n"))
	path := leftOf(t, d, "20261125-190000-first-hold.jsonl", text[:len(text)/2])
	later := leftOf(t, d, "20261125-200000-first-hold.jsonl", text[:len(text)/2])
	tr := &Trainer{Store: d, Tell: func(err error) { t.Error(err) }}
	defer tr.Close()
	left := tr.LeftRuns(time.Now().Add(time.Minute))
	if len(left) != 2 || left[0].Name != path || left[1].Name != later || left[0].Sheet.End < leastLeft {
		t.Fatalf("%+v", left)
	}
	o, k, err := tr.KeepLeft(left[0].LeftSheet)
	if err != nil {
		t.Fatal(err)
	}
	<-k.Done()
	begun := time.Date(2026, 11, 25, 19, 0, 0, 0, time.UTC)
	if k.Err != nil || k.Saved != "saved to the logbook as run 1" || !k.Entry.Flown.Equal(begun) || o.Name != path {
		t.Errorf("%v, %q, flown %s", k.Err, k.Saved, k.Entry.Flown)
	}
	if done, total := k.Progress(); done != total {
		t.Errorf("%d of %d hands have flown", done, total)
	}
	if left := tr.LeftRuns(time.Now().Add(time.Minute)); len(left) != 1 || left[0].Name != later {
		t.Errorf("still offered: %+v", left)
	}
	if n := d.Noted(time.Now().Add(time.Hour)); len(n) != 0 {
		t.Errorf("added again at the next start: %v", n)
	}
	if _, _, err := tr.KeepLeft(LeftSheet{Name: filepath.Join(d.Data, "none.jsonl")}); err == nil {
		t.Error("a sheet that is not there is kept")
	}
}

// A run that the logbook does not take is told with where its sheet lies.
func TestARunThatIsNotInTheLogbook(t *testing.T) {
	data := t.TempDir()
	if err := os.Mkdir(Disk{Data: data}.BookFile(), 0o755); err != nil { // no logbook can be there
		t.Fatal(err)
	}
	var said []error
	tr := ownTrainer(data, &said)
	o, text := anOutcome(t, "none")
	k := tr.Keep(o, text, time.Now())
	<-k.Done()
	if k.Err == nil || !strings.HasPrefix(k.Saved, "not in the logbook (") || !strings.HasSuffix(k.Saved, "; its sheet is sheet") || k.Entry.ID != 0 {
		t.Errorf("%v, %q, %+v", k.Err, k.Saved, k.Entry)
	}
	if k.Goal == nil || *k.Goal || k.ByRating {
		t.Errorf("nobody keyed: goal %v, by rating %v", k.Goal, k.ByRating)
	}
	if err := tr.Close(); err != nil {
		t.Error(err)
	}
}

// One hand flies at a time, unless more cores may be used.
func TestHandsThatFlyAtOnce(t *testing.T) {
	if n := (&Trainer{}).cores(); n != 1 {
		t.Error(n)
	}
	if n := (&Trainer{Cores: func() int { return 3 }}).cores(); n != 3 {
		t.Error(n)
	}
}

// storeWithoutDiscard cannot put a sheet aside.
type storeWithoutDiscard struct{ Store }

// Where sheets cannot be put aside, that is said.
func TestDiscardWhereThatCannotBe(t *testing.T) {
	if err := (&Trainer{Store: storeWithoutDiscard{Disk{}}}).DiscardLeft("x"); err == nil || err.Error() != "runs cannot be discarded here" {
		t.Error(err)
	}
}
