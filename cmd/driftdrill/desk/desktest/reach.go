//go:build !nodesk

package desktest

import (
	"fmt"
	"math"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/testdata/race"
)

// keyed is a page whose widgets keys go through.
type keyed interface {
	Keys() (f *kit.Focus, ws []kit.Widget)
}

// reachSizes are the windows in which every widget has to be reached: the smallest ones
// with large text, and the widest.
var reachSizes = []struct {
	w, h int
	text float64
}{{800, 600, 2}, {960, 600, 2.5}, {1280, 720, 1}, {1920, 1080, 2}, {2560, 720, 2.5}, {3840, 1080, 2.5}}

// KeysReach checks that by one hand on few keys every widget of each view is come to,
// in windows of every shape: that it then lies in the window, that what shows
// where the keys are can be seen, and that something is said of it.
func KeysReach(t *testing.T, views []View) {
	for _, v := range views {
		for i, size := range reachSizes {
			if race.On && i > 0 { // it draws on one goroutine
				continue
			}
			for hand, keys := range map[string]struct {
				set keys.Bindings
				key keys.Trigger
			}{"Tab": {port.DefaultBindings(), "key:Tab"}, "left hand": {port.LeftHand(), "key:Tab"}} {
				t.Run(fmt.Sprintf("%s/%dx%d/%.0f/%s", v.Name, size.w, size.h, 100*size.text, hand), func(t *testing.T) {
					s := seat(BareStage(t, size.w, size.h, size.text, "night"), nil)
					v.Put(s.Stage)
					s.App.Set.Bindings = keys.set
					s.App.Apply(s.App.Set)
					s.reach(t, keys.key)
				})
			}
		}
	}
}

// reach presses a key until the keys are where they were, and looks at each place.
func (s *Seat) reach(t *testing.T, key keys.Trigger) {
	page, ok := s.App.Scenes.Top().(keyed)
	if !ok {
		t.Fatalf("%T has no widgets", s.App.Scenes.Top())
	}
	said := Hearing(s.Stage)
	s.Update(1)
	come := map[kit.Widget]bool{}
	for idle := 0; idle < 80; idle++ { // more than any list has rows
		*said = nil
		s.Press(t, key)
		f, ws := page.Keys()
		at := ws[f.At]
		if len(*said) == 0 {
			t.Errorf("nothing is said of %q", at.Spoken())
		}
		if !come[at] {
			come[at], idle = true, 0
			s.seen(t, f, at)
		}
	}
	_, ws := page.Keys()
	for _, w := range ws {
		if w.Spoken() != "" && !come[w] {
			t.Errorf("the keys never come to %q", w.Spoken())
		}
	}
}

// seen checks that a widget that has the keys is in the window, and that this shows.
func (s *Seat) seen(t *testing.T, f *kit.Focus, w kit.Widget) {
	if b := w.Bounds(); b.X < -0.5 || b.Y < -0.5 || b.Right() > s.App.Size.X+0.5 || b.Bottom() > s.App.Size.Y+0.5 {
		t.Errorf("%q lies beyond the window: %.0f", w.Spoken(), b)
	}
	if !f.Visible {
		t.Errorf("%q has the keys, and it is not shown", w.Spoken())
	}
	with := s.visibleMarks()
	f.Visible = false
	without := s.visibleMarks()
	f.Visible = true
	shown := 0.0
	for m, n := range with {
		if n > without[m] {
			shown = math.Max(shown, m.area)
		}
	}
	if shown < 40 { // a caret of the smallest text
		t.Errorf("where the keys are cannot be seen: %q at %.0f", w.Spoken(), w.Bounds())
	}
}

// visibleMark is a mark by its bounds as they are seen and its colour.
type visibleMark struct {
	box  kit.Rect
	ink  kit.Color
	area float64 // dips squared
}

// visibleMarks are the marks of which nine tenths lie in sight.
func (s *Stage) visibleMarks() map[visibleMark]int {
	out := map[visibleMark]int{}
	clips := []kit.Rect{kit.Box(0, 0, s.App.Size.X, s.App.Size.Y)}
	c := kit.NewCanvas(s.App.Type)
	c.Marked = func(m kit.Mark) {
		if m.Kind == kit.MarkUnclip {
			clips = clips[:len(clips)-1]
			return
		}
		box := bounds(m.Points)
		in := common(box, clips[len(clips)-1])
		if m.Kind == kit.MarkClip {
			clips = append(clips, in)
			return
		}
		if in.W*in.H >= 0.9*box.W*box.H {
			out[visibleMark{box, m.Colors[0], in.W * in.H}]++
		}
	}
	c.Begin(s.Image, s.App.Scale(), s.App.Pal)
	s.App.Scenes.Top().Draw(s.App, c)
	return out
}

// bounds is the smallest rectangle round points.
func bounds(p []kit.Point) kit.Rect {
	if len(p) == 0 {
		return kit.Rect{}
	}
	low, high := p[0], p[0]
	for _, q := range p {
		low.X, low.Y, high.X, high.Y = math.Min(low.X, q.X), math.Min(low.Y, q.Y), math.Max(high.X, q.X), math.Max(high.Y, q.Y)
	}
	return kit.Box(low.X, low.Y, high.X-low.X, high.Y-low.Y)
}

// common is what two rectangles have in common.
func common(a, b kit.Rect) kit.Rect {
	x, y := math.Max(a.X, b.X), math.Max(a.Y, b.Y)
	return kit.Box(x, y, math.Max(0, math.Min(a.Right(), b.Right())-x), math.Max(0, math.Min(a.Bottom(), b.Bottom())-y))
}
