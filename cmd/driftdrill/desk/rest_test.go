//go:build !nodesk

package desk

import (
	"bytes"
	"context"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"

	"github.com/hajimehoshi/ebiten/v2"
)

// sitter is a stage whose devices a test plays, drawn as the window draws it.
type sitter struct {
	*stage
	hands *kittest.Played
}

func newSitter(t *testing.T, p Scene) *sitter {
	t.Helper()
	kittest.NeedWindow(t)
	s := &sitter{newStage(t, 1280, 720, 1, "night"), kittest.NewPlayed()}
	s.app.In = kit.NewInputFrom(s.hands, s.app.Set.Bindings)
	s.show(p)
	s.rests(t)
	return s
}

// frame is one update and what the window draws after it; it tells whether it drew.
func (s *sitter) frame(t *testing.T) bool {
	t.Helper()
	before := s.app.Pictures()
	if err := s.app.Update(); err != nil {
		t.Fatal(err)
	}
	s.hands.Older()
	s.app.Draw(s.img)
	return s.app.Pictures() > before
}

// rests waits until the window dozes.
func (s *sitter) rests(t *testing.T) {
	t.Helper()
	for n := 0; n < 600; n++ {
		s.frame(t)
		if s.app.AtRest() {
			return
		}
	}
	t.Fatal("the window does not come to rest in ten seconds")
}

func (s *sitter) draws(t *testing.T, updates int) (n int) {
	t.Helper()
	for range updates {
		n += kit.Count(s.frame(t))
	}
	return n
}

// A page on which nothing happens is drawn once in two seconds, for what may
// have lain over the window; nothing else of it is.
func TestPageAtRestIsNotDrawn(t *testing.T) {
	for _, p := range []Scene{newStart(), newPasses(), newDrills(), newLogbookPage(), newSettingsPage(), newWelcome()} {
		s := newSitter(t, p)
		if n := s.draws(t, 10*kit.RenewEvery); n < 9 || n > 11 {
			t.Errorf("%T: drawn %d times in twenty seconds at rest, want 10", p, n)
		}
	}
}

// A key that changes the page is seen in the update in which it goes down.
func TestKeyIsSeenAtOnce(t *testing.T) {
	s := newSitter(t, newStart())
	before := kittest.ReadBack(s.stage.img)
	s.hands.Keys[ebiten.KeyDown] = 1
	if !s.frame(t) {
		t.Error("nothing was drawn when a key went down")
	}
	if bytes.Equal(before.Pix, kittest.ReadBack(s.stage.img).Pix) {
		t.Error("the picture is the one before the key")
	}
	delete(s.hands.Keys, ebiten.KeyDown)
	s.rests(t)
	if n := s.draws(t, 60); n > 1 {
		t.Errorf("drawn %d times in a second after the key", n)
	}
}

// What comes by itself is seen within four updates.
func TestLineThatComesIsSeen(t *testing.T) {
	s := newSitter(t, newStart())
	s.app.Say("Settings are not saved: the disk is full")
	if s.draws(t, kit.DozeEvery) == 0 {
		t.Error("the line was not drawn")
	}
	s.app.ReducedMotion = false // it fades out
	if n := s.draws(t, 60*8+10); n < 28 {
		t.Errorf("drawn %d times while the line faded out", n)
	}
	if n := s.draws(t, 100); n > 1+kit.DozeAfter {
		t.Errorf("drawn %d times after the line", n)
	}
}

// A window of another size is drawn at once, as is one that has another image.
func TestResizedWindowIsDrawn(t *testing.T) {
	s := newSitter(t, newStart())
	old := s.img
	s.img = ebiten.NewImage(1100, 700)
	s.app.Resize(1100, 700, 1)
	if !s.frame(t) {
		t.Error("not drawn at another size")
	}
	s.rests(t)
	s.img.Deallocate()
	s.img = ebiten.NewImage(1100, 700) // as after full screen and back
	if !s.frame(t) {
		t.Error("not drawn on another image of the same size")
	}
	if kittest.ReadBack(s.stage.img).RGBAAt(550, 20).A != 255 {
		t.Error("the picture has holes")
	}
	old.Deallocate()
}

// What moves by itself is drawn at every update, but with reduced motion it
// stands still.
func TestWhatMovesIsDrawn(t *testing.T) {
	kittest.NeedWindow(t)
	for _, reduced := range []bool{false, true} {
		s := &sitter{newStage(t, 1280, 720, 1, "night"), kittest.NewPlayed()}
		s.app.In = kit.NewInputFrom(s.hands, s.app.Set.Bindings)
		s.app.ReducedMotion = reduced
		s.app.Cfg.NewSession = func(ctx context.Context, _ port.RunRequest) (port.Session, error) {
			<-ctx.Done()
			return nil, ctx.Err()
		}
		s.app.Scenes.Push(s.app, newLoading(port.RunRequest{}))
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
	s.app.Patient = true
	former := kittest.ReadBack(s.stage.img)
	f := newFakeSession()
	f.flyWhole()
	f.result.Rate = nil
	s.app.Scenes.Push(s.app, newDebrief(&f.about, f.result, port.RunRequest{}))
	waited := 0
	for ; !s.frame(t) || s.app.Waits(); waited++ {
		if !bytes.Equal(former.Pix, kittest.ReadBack(s.stage.img).Pix) {
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
	got := kittest.ReadBack(s.stage.img)
	s.app.Patient = false
	s.app.DrawOn(s.img, true)
	if want := kittest.ReadBack(s.stage.img); !bytes.Equal(got.Pix, want.Pix) {
		t.Error("the page differs from the one drawn at once")
	}
}
