package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"syscall/js"

	"driftdrill/cmd/driftdrill/club/member"
	"driftdrill/cmd/driftdrill/trainer/shelf"
)

// sender sends sheets to the club night, each from the outbox: what the server
// does not answer for is sent by the pages (club/pages/outbox.js) until it does.
type sender struct {
	*member.Member
	outbox *shelf.Outbox // nil = this browser keeps nothing
}

// Send implements deskwire.Night.
func (s *sender) Send(ctx context.Context, sheet []byte) (string, error) {
	if s.outbox == nil {
		return s.Member.Send(ctx, sheet)
	}
	key, err := s.outbox.Keep(s.Call, sheet)
	if err != nil {
		fmt.Fprintln(os.Stderr, "driftdrill: the sheet cannot be kept for sending it again:", err)
		return s.Member.Send(ctx, sheet)
	}
	said, err := s.Member.Send(ctx, sheet)
	var no *member.Refused
	switch {
	case err == nil:
		s.outbox.Sent(key)
		return said, nil
	case errors.As(err, &no):
		if bad := s.outbox.Refused(key, no.Reason+"."); bad != nil {
			fmt.Fprintln(os.Stderr, "driftdrill: the outbox:", bad)
		}
	default:
		said, err = "not sent yet: the club night does not answer; this page sends it by itself as soon as it does", nil
	}
	js.Global().Call("dispatchEvent", js.Global().Get("Event").New("unsent"))
	return said, err
}
