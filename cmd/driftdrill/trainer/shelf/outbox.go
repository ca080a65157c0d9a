package shelf

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"time"
)

// keyUnsent begins the keys of sheets that a club night has not answered for. The
// pages of the club night send what lies there (club/pages/outbox.js), also when
// the desk is closed. A value is one line of JSON (Unsent), then the sheet.
const keyUnsent = "unsent/"

// Unsent is what is known of a sheet that a club night has not taken.
type Unsent struct {
	Call string    `json:"call"` // whose it is
	At   time.Time `json:"at"`   // since when it lies there
	Said string    `json:"said"` // why it is refused; "" = it waits for an answer
}

// Outbox keeps sheets until a club night has answered for them. Safe for
// concurrent use, as its box is.
type Outbox struct {
	box Box
	now func() time.Time
}

// NewOutbox returns the outbox in a box that outlasts the page.
func NewOutbox(box Box, now func() time.Time) *Outbox { return &Outbox{box, now} }

// Keep puts a sheet in and returns its key.
func (o *Outbox) Keep(call string, sheet []byte) (string, error) {
	u := Unsent{Call: call, At: o.now().UTC()}
	for n := 1; ; n++ {
		key := fmt.Sprintf("%s%s-%d", keyUnsent, u.At.Format("20060102T150405.000Z"), n)
		value, err := u.with(sheet)
		if err != nil {
			return "", err
		}
		if err := o.box.Add(map[string][]byte{key: value}); !errors.Is(err, ErrTaken) {
			return key, err
		}
	}
}

// Sent takes a sheet out. Where that cannot be done it is sent once more, and
// answered as at first.
func (o *Outbox) Sent(key string) { _ = o.box.Put(map[string][]byte{key: nil}) }

// Refused notes why a sheet is not taken: it stays, to be kept as a file, and is
// not sent by itself again. A sheet that another page has sent meanwhile is left.
func (o *Outbox) Refused(key, why string) error {
	v, err := o.box.Get(key)
	if err != nil || v[0] == nil {
		return err
	}
	u, sheet, err := readUnsent(v[0])
	if err != nil {
		return err
	}
	u.Said = why
	value, err := u.with(sheet)
	if err != nil {
		return err
	}
	return o.box.Put(map[string][]byte{key: value})
}

// with is the value of a sheet in the box.
func (u *Unsent) with(sheet []byte) ([]byte, error) {
	head, err := json.Marshal(u)
	return append(append(head, '\n'), sheet...), err
}

func readUnsent(value []byte) (Unsent, []byte, error) {
	var u Unsent
	head, sheet, _ := bytes.Cut(value, []byte("\n"))
	err := json.Unmarshal(head, &u)
	return u, sheet, err
}
