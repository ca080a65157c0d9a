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

// The words under a picture stand apart, each in its place, and give way to the
// first where they do not all fit.
func TestWordsUnderThePicture(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	full := "true | the pass pulls your voice away | you turn it home | and hold it true"
	last := ""
	for width := 900.0; width >= 300; width -= 5 {
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
		p.row(c, 200, "true", "the pass pulls your voice away", "you turn it home", "and hold it true")
		c.End()
		got := strings.Join(texts, " | ")
		if got != full && got != "true" || last == "true" && got == full {
			t.Errorf("%g wide: %q after %q", width, got, last)
		}
		last = got
	}
	if last != "true" {
		t.Errorf("300 wide: %q", last)
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
