//go:build !nodesk

package deskwire

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"sync"
	"testing"
	"time"

	"driftdrill/sim"
)

// answers is a club night that answers what it is told to, one after another,
// and the last for ever.
type answers struct {
	mu   sync.Mutex
	all  []error
	sent int
}

func (a *answers) Begin(context.Context) (sim.Setup, error) { return sim.Setup{}, nil }

func (a *answers) Send(context.Context, []byte) (string, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	err := a.all[min(a.sent, len(a.all)-1)]
	a.sent++
	return "sent to the club night", err
}

// no is a refusal.
type no struct{}

func (no) Error() string { return "not taken" }
func (no) Why() string   { return "the sound broke up in 4 % of the run" }

// newsOf waits for what the window is told.
func newsOf(t *testing.T, w *wiring) string {
	t.Helper()
	for range 2000 {
		if n := w.news(time.Now()); len(n) > 0 {
			return n[0].Text
		}
		time.Sleep(5 * time.Millisecond)
	}
	t.Fatal("nothing was told")
	return ""
}

// A sheet that nobody answers for is sent again until somebody does, and the
// operator is told; one that is refused is told with the reason, and left.
func TestASheetIsSentUntilItIsAnswered(t *testing.T) {
	away := errors.New("no route")
	for _, c := range []struct {
		name              string
		all               []error
		said, told, after string
		sent              int
	}{
		{"taken at once", []error{nil}, "sent to the club night", "", "", 1},
		{"refused", []error{no{}}, "its sheet is r.jsonl", "The club night did not take this run: the sound broke up in 4 % of the run.", "", 1},
		{"taken the third time", []error{away, away, nil}, "not sent yet", "leave the window open", "has reached the club night", 3},
		{"refused later", []error{away, no{}}, "not sent yet", "leave the window open", "did not take your run: the sound broke up in 4 % of the run. Its sheet is r.jsonl.", 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWiring(Config{})
			w.unsent = newUnsent(time.Millisecond)
			n := &answers{all: c.all}
			said, told := w.sendTo(t.Context(), n, []byte("sheet"), "r.jsonl")
			if !strings.Contains(said, c.said) || !strings.Contains(told, c.told) || c.told == "" && told != "" {
				t.Errorf("said %q, told %q", said, told)
			}
			if c.after != "" {
				if got := newsOf(t, w); !strings.Contains(got, c.after) {
					t.Errorf("told %q afterwards", got)
				}
			}
			w.unsent.close()
			if n.sent != c.sent {
				t.Errorf("sent %d times, want %d", n.sent, c.sent)
			}
		})
	}
}

// A window that closes over a sheet that is not sent says where it lies.
func TestAnUnsentSheetIsNamedAtTheEnd(t *testing.T) {
	var trouble bytes.Buffer
	w := newWiring(Config{Stderr: &trouble})
	w.sendTo(t.Context(), &answers{all: []error{errors.New("no route")}}, nil, "r.jsonl")
	w.unsent.close()
	if got := trouble.String(); !strings.Contains(got, "r.jsonl") || strings.Count(got, "\n") != 1 {
		t.Errorf("%q", got)
	}
}
