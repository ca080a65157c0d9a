//go:build !nodesk

package welcome

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
)

// atStep shows a step of the welcome, with what is changed before it is shown.
func atStep(step int, change func(s *desktest.Stage)) func(*desktest.Stage) {
	return func(s *desktest.Stage) {
		if change != nil {
			change(s)
		}
		s.Show(New())
		w := s.App.Scenes.Top().(*welcome)
		for range step {
			w.move(s.App, 1)
		}
		s.Settle()
	}
}

// gliding shows the first picture so many frames after the bird has set out.
func gliding(frames int) desktest.View {
	return desktest.View{Name: fmt.Sprintf("gliding for %d frames", frames), Put: func(s *desktest.Stage) {
		atStep(0, nil)(s)
		s.App.ReducedMotion = false
		s.App.Scenes.Top().(*welcome).view.since = s.App.Frame - frames
	}}
}

// ears shows the last step with the ears set so.
func ears(name string, split, swap bool) desktest.View {
	return desktest.View{Name: name, Put: atStep(2, func(s *desktest.Stage) { s.App.Set.Levels.Split, s.App.Set.Levels.Swap = split, swap })}
}

// What is drawn is drawn where it was looked at.
func TestDrawings(t *testing.T) {
	desktest.Drawings(t, views)
	desktest.DrawingsLike(t, views[0], []desktest.View{gliding(0), gliding(20), gliding(200), gliding(2000)})
	desktest.DrawingsLike(t, views[2], []desktest.View{ears("both in both", false, false), ears("ears swapped", true, true)})
}

// The same in windows of other shapes: upright, flat, square with large text; with
// the words of the picture as far as they fit.
func TestDrawingsOfOddWindows(t *testing.T) {
	kittest.NeedWindow(t)
	for _, l := range []struct {
		w, h int
		text float64
	}{{1440, 2560, 1}, {1920, 600, 1}, {1000, 1000, 1}, {1000, 1000, 2}, {1440, 2560, 2.5}, {1920, 1080, 1.8}} {
		name := fmt.Sprintf("odd-%dx%d-%.0f", l.w, l.h, 100*l.text)
		t.Run(name, func(t *testing.T) {
			var all []string
			for step := range welcomeSteps {
				s := desktest.BareStage(t, l.w, l.h, l.text, "night")
				atStep(step, nil)(s)
				all = append(append(all, fmt.Sprintf("== step %d", step+1)), s.Drawn()...)
			}
			desktest.CompareDrawn(t, filepath.Join("testdata", "drawn", name+".txt"), all)
		})
	}
}

// apart draws words in a picture of a width, and checks that they stand apart and
// within it; what is written comes back.
func apart(t *testing.T, s *desktest.Stage, width float64, draw func(p *welcomePicture, c *kit.Canvas)) string {
	t.Helper()
	p := &welcomePicture{rect: kit.Box(20, 20, width, 300)}
	right := 0.0
	var texts []string
	c := kit.NewCanvas(s.App.Type)
	c.Dry = true
	c.Seen = func(r kit.Rect, text string) {
		if len(texts) > 0 && r.X < right+16 || r.Right() > p.rect.Right()+1 {
			t.Errorf("%g wide: %q at %.1f to %.1f, the one before ends at %.1f", width, text, r.X, r.Right(), right)
		}
		texts, right = append(texts, text), r.Right()
	}
	c.Begin(s.Image, 1, s.App.Pal)
	draw(p, c)
	c.End()
	return strings.Join(texts, " | ")
}

// The words under a picture stand apart, each in its place, and give way to fewer
// where they do not all fit; from which width on is our choice.
func TestWordsUnderThePicture(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	row := func(p *welcomePicture, c *kit.Canvas) {
		p.row(c, 200, "true", "the pass pulls your voice away", "you turn it home", "and hold it true")
	}
	twoEars := func(p *welcomePicture, c *kit.Canvas) { p.twoEars(c, p.rect, 200, true, true) }
	for name, c := range map[string]struct {
		draw func(p *welcomePicture, c *kit.Canvas)
		want []string // as the picture gets narrower
		at   []float64
	}{
		"voice": {row, []string{"true | the pass pulls your voice away | you turn it home | and hold it true", "true"}, []float64{480}},
		"ears":  {twoEars, []string{"right ear: your own voice | left ear: what comes back | zero beat", "your own voice, and what comes back | zero beat", ""}, []float64{430, 355}},
	} {
		var got []string
		var at []float64
		for width := 900.0; width >= 200; width -= 5 {
			if text := apart(t, s, width, c.draw); len(got) == 0 || text != got[len(got)-1] {
				got, at = append(got, text), append(at, width)
			}
		}
		if fmt.Sprint(got) != fmt.Sprint(c.want) || fmt.Sprint(at[1:]) != fmt.Sprint(c.at) {
			t.Errorf("%s: %q at %v, want %q at %v", name, got, at[1:], c.want, c.at)
		}
	}
}

// The dots of the steps lie between the buttons, whatever the window and the text.
func TestDotsLieBetweenTheButtons(t *testing.T) {
	for _, l := range []struct {
		w, h int
		text float64
	}{{960, 600, 1}, {960, 600, 1.7}, {960, 600, 2.5}, {1000, 1000, 2}, {1000, 1000, 2.5}, {1280, 720, 2.5}, {1440, 2560, 2.5}, {540, 960, 1}, {540, 960, 2.5}, {1920, 600, 2.5}} {
		s := desktest.BareStage(t, l.w, l.h, l.text, "night")
		atStep(0, nil)(s)
		w := s.App.Scenes.Top().(*welcome)
		if mid := s.App.Size.X / 2; w.skip.Rect.Right() > mid-50 || w.before.Rect.X < mid+50 {
			t.Errorf("%d by %d, text %.0f %%: the buttons end at %.0f and begin at %.0f, the middle is %.0f", l.w, l.h, 100*l.text, w.skip.Rect.Right(), w.before.Rect.X, mid)
		}
	}
}

// The idea of the program, as drawn: the voice begins true, is pulled away, comes
// home notch by notch without going back, and then stays within a twentieth.
func TestVoiceIsPulledAndBroughtHome(t *testing.T) {
	most := 0.0
	for x := 0.0; x < 1; x += 0.001 {
		v := strayed(x)
		most = max(most, v)
		switch before := strayed(x - 0.001); {
		case x <= 0.1 && v != 0, x > 0.101 && x < 0.43 && v <= before, x > 0.431 && x < 0.55 && v > before, x >= 0.551 && v > 0.05, v < 0:
			t.Errorf("at %.3f it is %.4f off, before it %.4f", x, v, before)
		}
	}
	if most < 0.5 || most > 0.6 {
		t.Errorf("at most %.3f off", most)
	}
	if got := []float64{ridge(0), ridge(0.5), ridge(1)}; got[0] > 1e-9 || got[1] != 1 || got[2] > 1e-9 || math.Abs(ridge(0.3)-ridge(0.7)) > 1e-9 || ridge(0.3) < 0.1 {
		t.Errorf("the hill: %v", got)
	}
}
