//go:build !nodesk

package desk

import (
	"bytes"
	"context"
	"image"
	"testing"
	"time"

	"github.com/hajimehoshi/ebiten/v2"
)

// sitter is a stage whose devices a test plays, drawn as the window draws it.
type sitter struct {
	*stage
	hands *played
}

func newSitter(t *testing.T, p Scene) *sitter {
	t.Helper()
	if !windowed {
		t.Skip("needs a display")
	}
	s := &sitter{newStage(t, 1280, 720, 1, "night"), &played{keys: map[ebiten.Key]int{}}}
	s.app.In = newInput(s.hands, s.app.Set.Bindings)
	s.show(p)
	s.rests(t)
	return s
}

// frame is one update and what the window draws after it; it tells whether it drew.
func (s *sitter) frame(t *testing.T) bool {
	t.Helper()
	before := 0
	if s.app.canvas != nil {
		before = s.app.canvas.drawn
	}
	if err := s.app.Update(); err != nil {
		t.Fatal(err)
	}
	s.hands.older()
	s.app.Draw(s.img)
	return s.app.canvas.drawn > before
}

// rests waits until the window dozes.
func (s *sitter) rests(t *testing.T) {
	t.Helper()
	for n := 0; n < 600; n++ {
		s.frame(t)
		if s.app.Frame-s.app.rest.stirred > dozeAfter+1 {
			return
		}
	}
	t.Fatal("the window does not come to rest in ten seconds")
}

func (s *sitter) draws(t *testing.T, updates int) (n int) {
	t.Helper()
	for range updates {
		n += count(s.frame(t))
	}
	return n
}

// A page on which nothing happens is drawn once in two seconds, for what may
// have lain over the window; nothing else of it is.
func TestPageAtRestIsNotDrawn(t *testing.T) {
	for _, p := range []Scene{newStart(), newPasses(), newDrills(), newLogbookPage(), newSettingsPage(), newWelcome()} {
		s := newSitter(t, p)
		if n := s.draws(t, 10*renewEvery); n < 9 || n > 11 {
			t.Errorf("%T: drawn %d times in twenty seconds at rest, want 10", p, n)
		}
	}
}

// A key that changes the page is seen in the update in which it goes down.
func TestKeyIsSeenAtOnce(t *testing.T) {
	s := newSitter(t, newStart())
	before := readBack(s.stage)
	s.hands.keys[ebiten.KeyDown] = 1
	if !s.frame(t) {
		t.Error("nothing was drawn when a key went down")
	}
	if bytes.Equal(before.Pix, readBack(s.stage).Pix) {
		t.Error("the picture is the one before the key")
	}
	delete(s.hands.keys, ebiten.KeyDown)
	s.rests(t)
	if n := s.draws(t, 60); n > 1 {
		t.Errorf("drawn %d times in a second after the key", n)
	}
}

// What comes by itself is seen within four updates.
func TestLineThatComesIsSeen(t *testing.T) {
	s := newSitter(t, newStart())
	s.app.Say("Settings are not saved: the disk is full")
	if s.draws(t, dozeEvery) == 0 {
		t.Error("the line was not drawn")
	}
	s.app.Set.ReducedMotion = false // it fades out
	if n := s.draws(t, 60*8+10); n < 28 {
		t.Errorf("drawn %d times while the line faded out", n)
	}
	if n := s.draws(t, 100); n > 1+dozeAfter {
		t.Errorf("drawn %d times after the line", n)
	}
}

// A window of another size is drawn at once, as is one that has another image.
func TestResizedWindowIsDrawn(t *testing.T) {
	s := newSitter(t, newStart())
	old := s.img
	s.img = ebiten.NewImage(1100, 700)
	s.app.resize(1100, 700, 1)
	if !s.frame(t) {
		t.Error("not drawn at another size")
	}
	s.rests(t)
	s.img.Deallocate()
	s.img = ebiten.NewImage(1100, 700) // as after full screen and back
	if !s.frame(t) {
		t.Error("not drawn on another image of the same size")
	}
	if readBack(s.stage).RGBAAt(550, 20).A != 255 {
		t.Error("the picture has holes")
	}
	old.Deallocate()
}

// What moves by itself is drawn at every update, but with reduced motion it
// stands still.
func TestWhatMovesIsDrawn(t *testing.T) {
	if !windowed {
		t.Skip("needs a display")
	}
	for _, reduced := range []bool{false, true} {
		s := &sitter{newStage(t, 1280, 720, 1, "night"), &played{keys: map[ebiten.Key]int{}}}
		s.app.In = newInput(s.hands, s.app.Set.Bindings)
		s.app.Set.ReducedMotion = reduced
		s.app.Cfg.NewSession = func(ctx context.Context, _ RunRequest) (Session, error) {
			<-ctx.Done()
			return nil, ctx.Err()
		}
		s.app.Scenes.Push(s.app, newLoading(RunRequest{}))
		s.draws(t, 80)
		n := s.draws(t, 100)
		if !reduced && n < 60 || // the mark moves by 0.7 pixels an update
			reduced && n > 1 {
			t.Errorf("reduced motion %v: drawn %d times in 100 updates", reduced, n)
		}
		s.app.Scenes.Pop(s.app)
	}
}

// While the images of a page are painted the former page stays; then all of
// the new one is there at once.
func TestPageComesWhole(t *testing.T) {
	s := newSitter(t, newStart())
	s.app.canvas.patient = true
	former := readBack(s.stage)
	f := newFakeSession()
	f.flyWhole()
	f.result.Rate = nil
	s.app.Scenes.Push(s.app, newDebrief(&f.about, f.result, RunRequest{}))
	waited := 0
	for ; !s.frame(t) || s.app.canvas.waiting; waited++ {
		if !bytes.Equal(former.Pix, readBack(s.stage).Pix) {
			t.Fatal("a part of the new page was seen")
		}
		if waited > 5000 {
			t.Fatal("the page does not come")
		}
		time.Sleep(time.Millisecond)
	}
	if waited == 0 {
		t.Error("the card was there at once: nothing was tried")
	}
	got := readBack(s.stage)
	s.app.canvas.patient = false
	s.app.canvas.EndWhole(true)
	s.app.drawOn(s.img, true)
	if want := readBack(s.stage); !bytes.Equal(got.Pix, want.Pix) {
		t.Error("the page differs from the one drawn at once")
	}
}

// Two pictures are the same only if every stroke of them is.
func TestRecordsTellPicturesApart(t *testing.T) {
	if !windowed {
		t.Skip("needs a display")
	}
	ty := loadType(t)
	dst := ebiten.NewImage(100, 100)
	defer dst.Deallocate()
	type parts struct {
		x    float64 // of the rectangle
		fill Color
		word string
		y    float64 // of the word
		ink  Color
	}
	// with draws three strokes, changed in one thing.
	with := func(change func(p *parts)) func(c *Canvas) {
		p := parts{10, Hex(0xffffff), "true", 40, Hex(0x00ff00)}
		change(&p)
		return func(c *Canvas) {
			c.Rect(Rect{p.x, 10, 20, 20}, p.fill)
			c.Line(1, 1, 50, 60, 2, Hex(0xff0000))
			c.Text(20, p.y, p.word, Body, p.ink, Left)
		}
	}
	plain := with(func(*parts) {})
	others := map[string]func(c *Canvas){
		"longer":        func(c *Canvas) { plain(c); c.Rect(Rect{1, 1, 2, 2}, Hex(0)) },
		"other place":   with(func(p *parts) { p.x = 11 }),
		"other colour":  with(func(p *parts) { p.fill = Hex(0xfdffff) }),
		"other text":    with(func(p *parts) { p.word = "trne" }),
		"text moved":    with(func(p *parts) { p.y = 41 }),
		"text coloured": with(func(p *parts) { p.ink = Hex(0x00fe00) }),
		"clipped":       func(c *Canvas) { c.Clip(Rect{0, 0, 99, 99}, func() { plain(c) }) },
		"nothing":       func(c *Canvas) {},
	}
	c := NewCanvas(ty)
	draws := func(what func(*Canvas)) bool {
		c.Begin(dst, 1, PaletteNamed("night"))
		what(c)
		return c.EndWhole(false)
	}
	draws(plain)
	if draws(plain) {
		t.Error("the same picture counts as another one")
	}
	for name, other := range others {
		draws(plain)
		if !draws(other) {
			t.Errorf("%s: counts as the same picture", name)
		}
	}
	draws(plain)
	c.Begin(ebiten.NewImage(100, 100), 1, PaletteNamed("night"))
	plain(c)
	if !c.EndWhole(false) {
		t.Error("on another image: counts as the same picture")
	}
}

// An image that is written on is another one each time.
func TestRecordsTellChangedPixels(t *testing.T) {
	a := stroke{image: &ebiten.Image{}, src: image.Rect(0, 0, 1, 1), changes: 1}
	b := a
	if !a.same(b) {
		t.Error("a stroke differs from itself")
	}
	if b.changes++; a.same(b) {
		t.Error("changed pixels count as the same")
	}
}
