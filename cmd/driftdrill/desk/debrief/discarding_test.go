//go:build !nodesk

package debrief

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// A run that was cut short is discarded by keys from its own debrief: it is asked
// first, with "keep it" under the hand, and what became of it is said. What cannot
// be discarded stays, with its reason. Exercises have the same.
func TestACutRunIsDiscardedByKeys(t *testing.T) {
	for _, kind := range []sim.ExerciseKind{sim.ExerciseNone, sim.ExerciseHear} {
		s := desktest.NewSeat(t, nil)
		s.App.Cfg.Pages = desktest.Pages()
		said := desktest.Hearing(s.Stage)
		n, fault := 0, errors.New("the disk is full")
		res := &port.Result{Discard: func() error { n++; return fault }}
		d := New(screen.Flown{About: &port.About{}, Result: res, Exercise: sim.ExerciseState{Kind: kind}})
		s.App.Scenes.Push(s.App, &keeping{res: res}) // anything beneath
		s.App.Scenes.Push(s.App, d)
		s.Update(2)
		last := func() string { return (*said)[len(*said)-1] }
		choose := func() {
			t.Helper()
			for tries := 0; !strings.HasPrefix(last(), "Discard,") && last() != "Discard"; tries++ {
				if s.Press(t, "key:Tab"); tries > 9 {
					t.Fatalf("there is no button: %q", *said)
				}
			}
			if s.Press(t, "key:Enter"); !strings.Contains(last(), "Discard this run?") || !strings.Contains(last(), "keep it") {
				t.Fatalf("asked: %q", last())
			}
		}
		choose()
		s.Press(t, "key:Enter")
		if s.App.Scenes.Top() != d || n != 0 {
			t.Fatalf("kept: discarded %d times", n)
		}
		choose()
		s.Press(t, "key:ArrowDown")
		s.Press(t, "key:Enter")
		if text := strings.Join(*said, " "); s.App.Scenes.Top() != d || n != 1 || !strings.Contains(text, "It cannot be discarded: the disk is full") {
			t.Fatalf("discarded %d times, said %q", n, text)
		}
		fault = nil
		choose()
		s.Press(t, "key:ArrowDown")
		s.Press(t, "key:Enter")
		s.Update(1)
		if s.App.Scenes.Top() == d || n != 2 || last() != "Discarded: it counts nowhere." {
			t.Errorf("discarded %d times, said %q", n, last())
		}
	}
}

// Nobody is asked while the run is being rated, and a whole run has no such button.
func TestOnlyACutRunIsDiscarded(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	said := desktest.Hearing(s.Stage)
	for _, b := range endButtons(s.App, "LARK-1", port.RunRequest{}, &port.Result{}, &rater{}, &discarding{}) {
		if b.Text == "Discard" {
			t.Error("a whole run can be discarded")
		}
	}
	res := &port.Result{Discard: func() error { t.Error("discarded"); return nil }}
	res.Rate = func(context.Context, port.Progress) (*port.Rated, error) { return nil, nil }
	s.App.Scenes.Push(s.App, newDebrief(&port.About{}, &port.Result{}, port.RunRequest{}))
	depth := s.App.Scenes.Depth()
	new(discarding).ask(s.App, res, &rater{})
	if s.App.Scenes.Depth() != depth || (*said)[len(*said)-1] != stillRated {
		t.Errorf("said %q", *said)
	}
}

// A line that is shown covers neither the verdict nor the advice nor the buttons.
func TestShownLineCoversNeitherVerdictNorAdvice(t *testing.T) {
	for _, size := range []struct{ w, h int }{{1280, 720}, {390, 844}, {1920, 1080}} {
		for _, text := range []float64{1, 1.5, 2.5} {
			t.Run(fmt.Sprintf("%dx%d/%.0f", size.w, size.h, 100*text), func(t *testing.T) {
				s := desktest.BareStage(t, size.w, size.h, text, "night")
				debriefs[0].Put(s)
				d := s.App.Scenes.Top().(*debrief)
				s.App.Show("The sound breaks up: this run is marked but does not count. Escape offers a longer sound buffer.", 100)
				s.Step()
				s.Texts() // laid out and drawn
				top := d.ShowAt()
				end := top + s.App.ShownHeight()
				if end <= top {
					t.Fatal("nothing is shown")
				}
				if top < d.places.head.Bottom() {
					t.Errorf("from %.0f on it covers the verdict, down to %.0f", top, d.places.head.Bottom())
				}
				if d.places.card.W == 0 {
					t.Fatal("there is no advice")
				}
				if end > d.places.card.Y {
					t.Errorf("down to %.0f it covers the advice, from %.0f", end, d.places.card.Y)
				}
				for _, b := range d.buttons {
					if end > b.Rect.Y {
						t.Errorf("down to %.0f it covers %q, from %.0f", end, b.Text, b.Rect.Y)
					}
				}
			})
		}
	}
}

// Who never found himself is told what his rating goes by, and where the reference
// hands held nothing on what he flew there is no curve of it: the shares stand there.
func TestRatingOfARunThatHeldNothing(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	f := desktest.NewSession()
	f.FlyWhole()
	res := *f.Result
	res.Rate, res.Marks.FoundS = nil, nil
	d := newDebrief(&f.Facts, &res, port.RunRequest{})
	s.App.Scenes.Push(s.App, d)
	s.Step()
	d.rated, d.done = &port.Rated{Words: "13 or less", Note: "The curve begins here.", Ladder: []port.LadderPoint{{Level: 0}, {Level: 50}, {Level: 100}}}, true
	var all []string
	for _, b := range s.Texts() {
		all = append(all, b.Text)
	}
	text := strings.Join(all, "\n")
	for _, want := range []string{"hand rating 13 or less", "within 25 Hz"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not written:\n%s", want, text)
		}
	}
	if strings.Contains(text, "first evening") {
		t.Errorf("there is a curve:\n%s", text)
	}
	if said := d.ratingSaid(); said != "Hand rating 13 or less. It goes by the search alone: you held nothing." {
		t.Errorf("said %q", said)
	}
}

// What the logbook says of a run takes the place of what its sheet said, and is told
// with the rating; a run that has no rating says nothing of one.
func TestWhetherARunCountsIsTold(t *testing.T) {
	for _, words := range []string{"42 ± 6", ""} {
		s := desktest.NewSeat(t, nil)
		said := desktest.Hearing(s.Stage)
		res := &port.Result{Headline: "Turn earlier.", Detail: "You are late.", Counting: ""}
		d := newDebrief(&port.About{}, res, port.RunRequest{})
		s.App.Scenes.Push(s.App, d)
		s.Update(1)
		const why = "This run is marked but does not count: this pass was flown before."
		d.answer = make(chan *port.Rated, 1)
		d.answer <- &port.Rated{Words: words, Counting: why, Saved: "saved to the logbook as run 4"}
		s.Update(2000)
		last := (*said)[len(*said)-1]
		if !strings.Contains(last, why) || strings.Contains(last, "rating") != (words != "") {
			t.Errorf("rated %q: said %q", words, last)
		}
		s.App.SpeakAgain()
		if last := (*said)[len(*said)-1]; !strings.Contains(last, "You are late. "+why) {
			t.Errorf("rated %q: told again %q", words, last)
		}
		var all []string
		for _, b := range s.Texts() {
			all = append(all, b.Text)
		}
		if text := strings.Join(all, " "); !strings.Contains(text, "flown before.") || !strings.Contains(text, "saved to the logbook as run 4") {
			t.Errorf("rated %q: written %q", words, text)
		}
	}
}
