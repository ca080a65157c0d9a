//go:build !nodesk

package desk

import (
	"fmt"
	"image"
	"math"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

// stage is an App without its window, to be drawn on an image.
type stage struct {
	app  *App
	fake *fakeSession
	img  *ebiten.Image
}

func newStage(t testing.TB, w, h int, text float64, palette string) *stage {
	t.Helper()
	s := bareStage(t, w, h, text, palette)
	key := groundOf{image.Pt(w, h), s.app.Pal}
	if grounds[key] == nil {
		grounds[key] = kit.PaintGround(w, h, s.app.Pal)
	}
	s.app.Lay(grounds[key])
	t.Cleanup(func() { s.app.Lay(image.NewRGBA(image.Rect(0, 0, 1, 1))) }) // lets go of the large one
	return s
}

// bareStage is a stage without its ground, which takes long to paint, for
// tests that draw nothing but texts.
func bareStage(t testing.TB, w, h int, text float64, palette string) *stage {
	t.Helper()
	cfg := fakeConfig()
	cfg.Settings.TextScale, cfg.Settings.Palette, cfg.Settings.ReducedMotion = text, palette, true
	a, err := newApp(cfg)
	if err != nil {
		t.Fatal(err)
	}
	a.Resize(float64(w), float64(h), 1)
	s := &stage{app: a, img: ebiten.NewImage(w, h)}
	t.Cleanup(func() {
		s.img.Deallocate()
		a.Type.SetScale(0.5, 1) // lets go of every text
	})
	return s
}

// grounds are painted once for all tests: with the race detector a ground takes seconds.
var grounds = map[groundOf]*image.RGBA{}

// groundOf is a size in pixels and the colours.
type groundOf struct {
	size image.Point
	pal  *kit.Palette
}

// fly puts the desk on, flown by a scripted hand from a tick on for some seconds.
func (s *stage) fly(from sim.Tick, seconds int, change func(f *fakeSession)) *flying {
	s.fake = newFakeSession()
	s.fake.st.Tick = from
	s.fake.st.UplinkHz = 435_148_000 + int64(fakeShift(from)) - 60
	if change != nil {
		change(s.fake)
	}
	s.fake.refresh()
	f := newFlying(s.fake, port.RunRequest{})
	s.app.Scenes.Push(s.app, f)
	for i := 0; i < seconds*20; i++ {
		talks := s.fake.st.Phase == sim.PhaseTalk || s.fake.st.Phase == sim.PhaseFind
		if talks != s.fake.st.Keyed {
			s.fake.Post(sim.CommandKey, boolValue(talks))
		}
		if talks && i%7 == 0 && math.Abs(s.fake.st.OffsetHz) > 15 {
			s.fake.Post(sim.CommandKnob, int64(kit.Clamp(math.Round(s.fake.st.OffsetHz/20), -6, 6)))
		}
		s.fake.advance(10)
		s.step()
	}
	return f
}

// step makes one update without devices.
func (s *stage) step() {
	s.app.Frame++
	s.app.Scenes.Top().Update(s.app)
}

func (s *stage) draw() { s.app.DrawOn(s.img, false) }

// quizzing makes the fake ask "hear" with some verdicts given.
func quizzing(f *fakeSession) {
	f.about.Brief, f.about.Coach, f.about.DrillTitle, f.about.DrillNumber = "Say what you hear.", "Compare with the voice as you speak it.", "Hear the shift", 1
	f.exercise = sim.ExerciseState{Kind: sim.ExerciseHear, Trials: 20, Trial: 1, Asking: true}
}

// scenes are the screens that the tests draw.
var scenes = []struct {
	name string
	put  func(s *stage)
}{
	{"desk", func(s *stage) { s.fly(fakeTCA-12400, 10, nil) }},
	{"desk without aids", func(s *stage) { s.fly(fakeTCA-9200, 2, func(f *fakeSession) { f.about.Aids = port.Aids{} }) }},
	{"hear", func(s *stage) {
		f := s.fly(4000, 1, quizzing)
		for i, shift := range []float64{200, -50, 25, 0, -100, 50, -25, 200} {
			e := &s.fake.exercise
			e.Judged, e.Trial = i+1, i+2
			e.Last = sim.TrialResult{Trial: i + 1, ShiftHz: shift, Correct: i%3 != 1, Answer: 1, Right: 1, Took: 300}
			e.Correct += kit.Count(e.Last.Correct)
			s.fake.refresh()
			s.step()
		}
		_ = f
	}},
	{"antenna", func(s *stage) {
		s.fly(fakeTCA-9200, 3, func(f *fakeSession) {
			f.about.AimTask, f.about.DrillTitle, f.about.DrillNumber = true, "Both hands", 13
		})
	}},
	{"debrief", func(s *stage) {
		f := newFakeSession()
		f.flyWhole()
		f.result.Rate = nil
		d := newDebrief(&f.about, f.result, port.RunRequest{})
		s.app.Scenes.Push(s.app, d)
		d.rated = &port.Rated{Hand: 56, SD: 7, Words: "56 ± 7", Ladder: []port.LadderPoint{{Level: 0, HoldIndex: 650}, {Level: 25, HoldIndex: 760}, {Level: 50, HoldIndex: 840}, {Level: 75, HoldIndex: 900}, {Level: 100, HoldIndex: 970}}}
		s.step()
	}},
}

// Drawn in parts the desk must look as drawn whole.
func TestPartsMakeTheWhole(t *testing.T) {
	kittest.NeedWindow(t)
	for _, text := range []float64{1, 2.5} {
		s := newStage(t, 1280, 720, text, "night")
		f := s.fly(fakeTCA-12400, 9, nil)
		for i := 0; i < 60; i++ {
			s.draw() // the first fills the window, the others add parts
			s.fake.advance(10)
			if i%9 == 0 {
				s.fake.Post(sim.CommandKnob, 1)
				f.knob.turn(1, &s.app.Set)
			}
			s.step()
		}
		s.draw()
		parted := kittest.Shrink(kittest.ReadBack(s.img))
		s.app.Forget()
		s.draw()
		if mean, far := kittest.Difference(parted, kittest.Shrink(kittest.ReadBack(s.img))); mean > 0.05 || far > 0.0005 {
			kittest.WritePNG(t, "/tmp/driftdrill-parts.png", parted)
			t.Errorf("text %v: parts differ from the whole: mean %.3f, %.3f %% far", text, mean, 100*far)
		}
	}
}

// textBox is one text as it was drawn.
type textBox struct {
	r kit.Rect
	s string
}

func (s *stage) texts() []textBox {
	var out []textBox
	c := kit.NewCanvas(s.app.Type)
	c.Seen = func(r kit.Rect, str string) { out = append(out, textBox{r, str}) }
	c.Begin(s.img, s.app.Scale(), s.app.Pal)
	s.app.Scenes.Draw(s.app, c)
	c.End()
	return out
}

// The same on screens with other pixels: the picture is laid out in dips, and
// rounding to pixels moves nothing by more than one.
func TestTextsKeepApartOnDenseScreens(t *testing.T) {
	for _, d := range []float64{1.25, 2} {
		s := newStage(t, 960, 600, 1.4, "night")
		s.app.Resize(960, 600, d)
		s.img = ebiten.NewImage(s.app.Pixels().X, s.app.Pixels().Y)
		scenes[0].put(s)
		checkTexts(t, s)
		if w := float64(s.app.Pixels().X) / s.app.Scale(); math.Abs(w-960) > 1 {
			t.Errorf("scale %v: the window is %v dips wide", d, w)
		}
	}
}

// Nothing that is written may lie over something else that is written, or
// leave the window, at any size of window and text.
func TestTextsKeepApart(t *testing.T) {
	sizes := []struct {
		w, h  int
		texts []float64
	}{{960, 600, []float64{1, 1.6, 2.5}}, {1280, 720, []float64{1, 2.5}}, {1000, 1000, []float64{2}}}
	for _, sc := range scenes {
		for _, size := range sizes {
			for _, text := range size.texts {
				t.Run(fmt.Sprintf("%s/%dx%d/%.0f", sc.name, size.w, size.h, text*100), func(t *testing.T) {
					s := newStage(t, size.w, size.h, text, "night")
					sc.put(s)
					checkTexts(t, s)
				})
			}
		}
	}
}

func checkTexts(t *testing.T, s *stage) {
	t.Helper()
	checkApart(t, s, s.texts(), 8)
}

// checkApart checks that there are at least so many texts, that none leaves
// the window and that none lies over another.
func checkApart(t *testing.T, s *stage, boxes []textBox, least int) {
	t.Helper()
	if len(boxes) < least {
		t.Fatalf("only %d texts were drawn", len(boxes))
	}
	for i, a := range boxes {
		if a.r.X < -0.5 || a.r.Y < -0.5 || a.r.Right() > s.app.Size.X+0.5 || a.r.Bottom() > s.app.Size.Y+0.5 {
			t.Errorf("%q leaves the window: %.0f", a.s, a.r)
		}
		for _, b := range boxes[:i] {
			w := math.Min(a.r.Right(), b.r.Right()) - math.Max(a.r.X, b.r.X)
			h := math.Min(a.r.Bottom(), b.r.Bottom()) - math.Max(a.r.Y, b.r.Y)
			if w > 1.5 && h > 1.5 && strings.TrimSpace(a.s) != "" {
				t.Errorf("%q at %.0f lies over %q at %.0f", a.s, a.r, b.s, b.r)
			}
		}
	}
}
