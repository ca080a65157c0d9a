//go:build !nodesk

package desk

import (
	"bytes"
	"context"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/debrief"
	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/drills"
	"driftdrill/cmd/driftdrill/desk/flying"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/logbook"
	"driftdrill/cmd/driftdrill/desk/passes"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/cmd/driftdrill/desk/settings"
	"driftdrill/cmd/driftdrill/desk/start"
	"driftdrill/cmd/driftdrill/desk/welcome"

	"github.com/hajimehoshi/ebiten/v2"
)

// sitter is a stage whose devices a test plays, drawn as the window draws it.
type sitter struct {
	*desktest.Stage
	hands *kittest.Played
}

func newSitter(t *testing.T, p screen.Scene) *sitter {
	t.Helper()
	kittest.NeedWindow(t)
	s := &sitter{desktest.NewStage(t, 1280, 720, 1, "night"), kittest.NewPlayed()}
	s.App.In = kit.NewInputFrom(s.hands, s.App.Set.Bindings)
	s.Show(p)
	s.rests(t)
	return s
}

// frame is one update and what the window draws after it; it tells whether it drew.
func (s *sitter) frame(t *testing.T) bool {
	t.Helper()
	before := s.App.Pictures()
	if err := s.App.Update(); err != nil {
		t.Fatal(err)
	}
	s.hands.Older()
	s.App.Draw(s.Image)
	return s.App.Pictures() > before
}

// rests waits until the window dozes.
func (s *sitter) rests(t *testing.T) {
	t.Helper()
	for n := 0; n < 600; n++ {
		s.frame(t)
		if s.App.AtRest() {
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

// A page on which nothing happens is not painted again in twenty seconds, though
// the clock goes on; that the window shows what it has once in five is the
// window's own.
func TestPageAtRestIsNotDrawn(t *testing.T) {
	for _, p := range []screen.Scene{start.New(), passes.New(), drills.New(), logbook.New(), settings.New(), welcome.New()} {
		s := newSitter(t, p)
		at := time.Date(2026, 11, 20, 12, 0, 1, 0, time.UTC)
		s.App.Cfg.Now = func() time.Time { return at }
		s.rests(t)
		n := 0
		for range 4 * kit.RenewEvery {
			at = at.Add(time.Second / 60)
			n += kit.Count(s.frame(t))
		}
		if n > 2 { // a new minute, a list that has come
			t.Errorf("%T: painted %d times in twenty seconds at rest", p, n)
		}
	}
}

// A key that changes the page is seen in the update in which it goes down.
func TestKeyIsSeenAtOnce(t *testing.T) {
	s := newSitter(t, start.New())
	before := kittest.ReadBack(s.Stage.Image)
	s.hands.Keys[ebiten.KeyDown] = 1
	if !s.frame(t) {
		t.Error("nothing was drawn when a key went down")
	}
	if bytes.Equal(before.Pix, kittest.ReadBack(s.Stage.Image).Pix) {
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
	s := newSitter(t, start.New())
	s.App.Say("Settings are not saved: the disk is full")
	if s.draws(t, kit.DozeEvery) == 0 {
		t.Error("the line was not drawn")
	}
	s.App.ReducedMotion = false // it fades out
	if n := s.draws(t, 60*8+10); n < 28 {
		t.Errorf("drawn %d times while the line faded out", n)
	}
	if n := s.draws(t, 100); n > 1+kit.DozeAfter {
		t.Errorf("drawn %d times after the line", n)
	}
}

// A window of another size is drawn at once, as is one that has another image.
func TestResizedWindowIsDrawn(t *testing.T) {
	s := newSitter(t, start.New())
	old := s.Image
	s.Image = ebiten.NewImage(1100, 700)
	s.App.Resize(1100, 700, 1)
	if !s.frame(t) {
		t.Error("not drawn at another size")
	}
	s.rests(t)
	s.Image.Deallocate()
	s.Image = ebiten.NewImage(1100, 700) // as after full screen and back
	if !s.frame(t) {
		t.Error("not drawn on another image of the same size")
	}
	if kittest.ReadBack(s.Stage.Image).RGBAAt(550, 20).A != 255 {
		t.Error("the picture has holes")
	}
	old.Deallocate()
}

// What moves by itself is drawn at every update, but with reduced motion it
// stands still.
func TestWhatMovesIsDrawn(t *testing.T) {
	kittest.NeedWindow(t)
	for _, reduced := range []bool{false, true} {
		s := &sitter{desktest.NewStage(t, 1280, 720, 1, "night"), kittest.NewPlayed()}
		s.App.In = kit.NewInputFrom(s.hands, s.App.Set.Bindings)
		s.App.ReducedMotion = reduced
		s.App.Cfg.NewSession = func(ctx context.Context, _ port.RunRequest) (port.Session, error) {
			<-ctx.Done()
			return nil, ctx.Err()
		}
		s.App.Scenes.Push(s.App, flying.Begin(port.RunRequest{}))
		s.draws(t, 80)
		n := s.draws(t, 100)
		if !reduced && n < 60 || // the mark moves by 0.7 pixels an update
			reduced && n > 1 {
			t.Errorf("reduced motion %v: drawn %d times in 100 updates", reduced, n)
		}
		s.App.Scenes.Pop(s.App)
	}
}

// While the images of a page are painted the former page stays; then all of
// the new one is there at once.
func TestPageComesWhole(t *testing.T) {
	s := newSitter(t, start.New())
	s.App.Patient = true
	former := kittest.ReadBack(s.Stage.Image)
	f := desktest.NewSession()
	f.FlyWhole()
	f.Result.Rate = nil
	s.App.Scenes.Push(s.App, debrief.New(screen.Flown{About: &f.Facts, Result: f.Result}))
	waited := 0
	for ; !s.frame(t) || s.App.Waits(); waited++ {
		if !bytes.Equal(former.Pix, kittest.ReadBack(s.Stage.Image).Pix) {
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
	got := kittest.ReadBack(s.Stage.Image)
	s.App.Patient = false
	s.App.DrawOn(s.Image, true)
	if want := kittest.ReadBack(s.Stage.Image); !bytes.Equal(got.Pix, want.Pix) {
		t.Error("the page differs from the one drawn at once")
	}
}
