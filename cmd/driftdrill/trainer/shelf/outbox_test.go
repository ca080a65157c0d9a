package shelf

import (
	"testing"
	"time"
)

// A sheet lies in the outbox until it is answered for; one that is refused stays
// with the reason, byte for byte.
func TestOutbox(t *testing.T) {
	box := &Memory{}
	at := time.Date(2026, 11, 26, 19, 0, 0, 0, time.UTC)
	o := NewOutbox(box, func() time.Time { return at })
	const text = "{\"driftdrill_sheet\":2}\n{\"end\":1}\n"
	var keys []string
	for range 2 { // in the same millisecond
		key, err := o.Keep("Q1ABC", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		keys = append(keys, key)
	}
	if err := o.Refused(keys[0], "No heat is open."); err != nil {
		t.Fatal(err)
	}
	o.Sent(keys[1])
	if err := o.Refused(keys[1], "too late"); err != nil { // another page has sent it
		t.Fatal(err)
	}
	left, err := box.Keys(keyUnsent)
	if err != nil || len(left) != 1 || left[0] != keys[0] {
		t.Fatal(left, err)
	}
	v, err := box.Get(left[0])
	if err != nil {
		t.Fatal(err)
	}
	u, sheet, err := readUnsent(v[0])
	if err != nil || u != (Unsent{"Q1ABC", at, "No heat is open."}) || string(sheet) != text {
		t.Errorf("%+v %q %v", u, sheet, err)
	}
}
