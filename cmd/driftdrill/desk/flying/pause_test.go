//go:build !nodesk

package flying

import (
	"fmt"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
)

// Who pauses after he may key is told, in words and aloud, that the run does not
// count; the desk keeps the sign up afterwards. It is no matter of the sound: no
// longer buffer is offered. A pause before that says nothing.
func TestPauseTellsThatTheRunDoesNotCount(t *testing.T) {
	for _, broken := range []bool{false, true} {
		s := newPilot(t, func(f *desktest.Session) { f.Broken = broken })
		written := func() string {
			var all []string
			for _, b := range s.Texts() {
				all = append(all, b.Text)
			}
			return strings.Join(all, "\n")
		}
		s.App.Voice = func(string) bool { return true }
		s.Press(t, "key:Escape")
		p := s.App.Scenes.Top().(*paused)
		if said := s.App.Said(); !strings.HasPrefix(said, "Paused. ") || strings.Contains(said, "is marked but does not count") != broken {
			t.Errorf("broken %v: said %q", broken, said)
		}
		if text := written(); strings.Contains(text, "it no longer counts") != broken {
			t.Errorf("broken %v: written %q", broken, text)
		}
		if p.longer(s.App) != nil {
			t.Errorf("broken %v: a longer buffer is offered", broken)
		}
		s.Press(t, "key:Escape")
		s.Update(2)
		if text := written(); strings.Contains(text, "it was paused: does not count") != broken {
			t.Errorf("broken %v, going on: written %q", broken, text)
		}
	}
}

// What stands on the buttons of the pause keeps clear of their frames, above as
// below; the desk under it keeps its place in an upright window.
func TestPauseKeepsClearOfItsFrames(t *testing.T) {
	for _, size := range []struct{ w, h int }{{1280, 720}, {390, 844}} {
		for _, text := range []float64{1, 1.5, 2, 2.5} {
			t.Run(fmt.Sprintf("%dx%d/%.0f", size.w, size.h, 100*text), func(t *testing.T) {
				s := desktest.BareStage(t, size.w, size.h, text, "night")
				fly(s, desktest.TCA-12400, 1, func(f *desktest.Session) { f.Broken, f.Halting = true, "the sound breaks up" })
				resize(s, size.w, size.h, 1)
				before := s.App.Size
				p := newPaused(s.App.Scenes.Top().(*flying))
				s.App.Scenes.Push(s.App, p)
				resize(s, size.w, size.h, 1)
				s.Step()
				if s.App.Size != before {
					t.Errorf("the window is %v, and was %v", s.App.Size, before)
				}
				seen := 0
				for _, box := range s.Texts() {
					for _, w := range p.widgets {
						b, ok := w.(*kit.Button)
						if !ok || box.Text != b.Text && (b.Hint == "" || box.Text != b.Hint) {
							continue
						}
						seen++
						if above, below := box.Rect.Y-b.Rect.Y, b.Rect.Bottom()-box.Rect.Bottom(); above < 4 || below < 4 {
							t.Errorf("%q: %.1f dips above it, %.1f below", box.Text, above, below)
						}
						if left, right := box.Rect.X-b.Rect.X, b.Rect.Right()-box.Rect.Right(); left < 8 || right < 8 {
							t.Errorf("%q: %.1f dips left of it, %.1f right", box.Text, left, right)
						}
					}
				}
				if seen < 6 {
					t.Errorf("%d texts on buttons", seen)
				}
			})
		}
	}
}

// How to turn is shown to a newcomer at any size of text as large as can be read,
// half the set size at the least, clear of the key, the knob and the dials.
func TestHintCanBeReadAtLargeText(t *testing.T) {
	for _, text := range []float64{1, 1.5, 2, 2.5} {
		s := desktest.BareStage(t, 1280, 720, text, "night")
		f := fly(s, desktest.TCA-12400, 1, nil)
		found := false
		for _, box := range s.Texts() {
			if !strings.HasPrefix(box.Text, "wheel") {
				continue
			}
			found = true
			if least := 0.74 * 0.5 * s.App.Type.Size(kit.Small); box.Rect.H < least {
				t.Errorf("text %.0f %%: the hint is %.1f dips high, want %.1f", 100*text, box.Rect.H, least)
			}
			if box.Rect.Right() > f.places.dials.X || box.Rect.X < f.places.key.Right() || box.Rect.Y < f.places.knob.Y {
				t.Errorf("text %.0f %%: the hint lies at %v", 100*text, box.Rect)
			}
		}
		if !found {
			t.Errorf("text %.0f %%: there is no hint", 100*text)
		}
	}
}
