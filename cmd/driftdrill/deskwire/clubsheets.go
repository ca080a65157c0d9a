//go:build !nodesk

package deskwire

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
)

// NotTaken is the error of a club night that has looked at a sheet and refused
// it: sending it again changes nothing. All other errors are of the way there.
type NotTaken interface {
	error
	Why() string // a sentence without its full stop
}

// againEvery is how long the program waits before it sends a sheet again to a
// club night that did not answer (our choice).
const againEvery = 10 * time.Second

// unsent are the sheets on their way to a club night that does not answer.
type unsent struct {
	every  time.Duration
	ctx    context.Context
	cancel context.CancelFunc
	going  sync.WaitGroup
}

func newUnsent(every time.Duration) *unsent {
	u := &unsent{every: every}
	u.ctx, u.cancel = context.WithCancel(context.Background())
	return u
}

// close gives up what is still on its way, and waits until nothing is.
func (u *unsent) close() {
	u.cancel()
	u.going.Wait()
}

// sendTo sends the sheet called name to a club night. It returns what stands in
// the line of what was kept, and what the operator must be told, if anything.
// Where nobody answers the sheet is sent again until somebody does, as long as
// the window is open.
func (w *wiring) sendTo(ctx context.Context, n Night, sheet []byte, name string) (said, told string) {
	said, err := n.Send(ctx, sheet)
	if err == nil {
		return said, ""
	}
	if no := NotTaken(nil); errors.As(err, &no) {
		return "its sheet is " + name, "The club night did not take this run: " + no.Why() + "."
	}
	w.unsent.going.Go(func() { w.sendAgain(n, sheet, name) })
	return "not sent yet; its sheet is " + name, "The club night does not answer. The program sends this run again until it does: leave the window open."
}

// sendAgain sends a sheet until somebody answers, and tells how it went.
func (w *wiring) sendAgain(n Night, sheet []byte, name string) {
	for {
		select {
		case <-w.unsent.ctx.Done():
			fmt.Fprintf(w.Stderr, "driftdrill: a run did not reach the club night; its sheet is %s: bring it to the trainer\n", name)
			return
		case <-time.After(w.unsent.every):
		}
		said, err := n.Send(w.unsent.ctx, sheet)
		no := NotTaken(nil)
		switch {
		case err == nil:
			w.tell("Your run has reached the club night after all: " + said + ".")
			return
		case errors.As(err, &no):
			w.tell("The club night did not take your run: " + no.Why() + ". Its sheet is " + name + ".")
			return
		}
	}
}

// tell lets the window show a sentence.
func (w *wiring) tell(text string) { w.bring(port.News{Text: text}) }
