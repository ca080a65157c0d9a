//go:build !nodesk

package debrief

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
)

// keepings are the page on which a run is kept, as the tests draw it.
var keepings = []desktest.View{
	{Name: "keep a run", Large: true, Put: func(s *desktest.Stage) {
		s.Show(&keeping{bird: "LARK-1", res: &port.Result{}, where: "It lies here:", file: "/home/q3fen/.local/share/driftdrill/kept/20261125-184000-come-back.html"})
	}},
}

func TestKeepingTextsKeepApart(t *testing.T) { desktest.KeepApart(t, keepings) }

func TestKeepingPictures(t *testing.T) { desktest.GoldenPictures(t, keepings) }

// A run is kept by keys, as what was asked for; where it lies, or why it does
// not, is said. It is not asked while the rating is under way, which the page
// would end.
func TestARunIsKeptByKeys(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	s.App.Cfg.Pages = desktest.Pages()
	said := desktest.Hearing(s.Stage)
	var asked []string
	var fault error
	res := &port.Result{Keep: func(_ context.Context, kind string, p port.Progress) (string, error) {
		asked = append(asked, kind)
		p(1, 2)
		return "/somewhere/run." + kind, fault
	}}
	buttons := endButtons(s.App, "LARK-1", port.RunRequest{}, res, &rater{}, &discarding{})
	if buttons[1].Text != "Keep" {
		t.Fatalf("the second button is %q", buttons[1].Text)
	}
	hears := func(words string) {
		t.Helper()
		for n := 0; n < 5000 && !strings.Contains(strings.Join(*said, " "), words); n++ {
			s.Update(1)
			time.Sleep(time.Millisecond)
		}
		if !strings.Contains(strings.Join(*said, " "), words) {
			t.Fatalf("said %q, not %q", *said, words)
		}
	}
	buttons[1].Do()
	s.Press(t, "key:Enter")
	hears("It lies here: /somewhere/run.page")
	s.Press(t, "key:Tab")
	fault = errors.New("the disk is full")
	s.Press(t, "key:Enter")
	hears("It cannot be kept: the disk is full")
	if len(asked) != 2 || asked[0] != port.KeepPage || asked[1] != port.KeepSound {
		t.Errorf("asked for %q", asked)
	}
	depth := s.App.Scenes.Depth()
	res.Rate = func(context.Context, port.Progress) (*port.Rated, error) { return nil, nil }
	buttons[1].Do()
	if s.App.Scenes.Depth() != depth {
		t.Error("the page opens while the run is being rated")
	}
}
