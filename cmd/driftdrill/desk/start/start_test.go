//go:build !nodesk

package start

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// views are the pages as the tests draw them.
var views = []desktest.View{
	{Name: "start", Sun: true, Large: true, Put: func(s *desktest.Stage) { s.ShowWith(New(), func(p *port.Pages) { p.Left = nil }) }},
	{Name: "start cut short", Put: func(s *desktest.Stage) { s.Show(New()) }},
}

var pages = []desktest.Page{
	{Name: "start", Open: func() screen.Scene { return New() }},
}

func TestOuterTextsKeepApart(t *testing.T) { desktest.KeepApart(t, views) }

// By few keys of one hand everything is come to, shown and said.
func TestKeysReachEverything(t *testing.T) { desktest.KeysReach(t, views) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, views) }

func TestPagesKeepTextsApart(t *testing.T) { desktest.PagesApart(t, pages) }

func TestPagesSpeak(t *testing.T) { desktest.PagesSpeak(t, pages) }

// Busy tells whether something is looked up.
func (p *start) Busy() bool {
	return p.drills.Busy() || p.left.Busy() || p.open.Busy() || p.hunt.Job.Busy()
}

// A run that was cut short can be discarded as well as kept: the page goes on to
// the next one only once that has worked.
func TestDiscardBesideKeep(t *testing.T) {
	for _, fails := range []error{nil, errors.New("the disk is full")} {
		s := desktest.NewStage(t, 1280, 720, 1, "night")
		var gone, kept []string
		s.ShowWith(New(), func(p *port.Pages) {
			p.DiscardLeft = func(key string) error { gone = append(gone, key); return fails }
			p.DropLeft = func(key string) error { kept = append(kept, key); return fails }
		})
		page := s.App.Scenes.Top().(*start)
		all := len(page.cut)
		if all == 0 {
			t.Fatal("no run was cut short")
		}
		key := page.cut[0].Key
		page.leftAway.Do()
		if fmt.Sprint(gone) != fmt.Sprint([]string{key}) || len(kept) != 0 {
			t.Errorf("discarded %v, kept %v", gone, kept)
		}
		if want := all - kit.Count(fails == nil); len(page.cut) != want {
			t.Errorf("%d runs are still offered, want %d", len(page.cut), want)
		}
	}
}

// A bird's name on the start page is crossed by no hill but its own, however close
// the passes follow each other, and the next one's is always there.
func TestNamesAreCrossedByNoHill(t *testing.T) {
	for _, size := range []struct{ w, h int }{{1280, 720}, {960, 600}, {800, 600}, {390, 844}} {
		s := desktest.BareStage(t, size.w, size.h, 1, "night")
		p := New()
		s.ShowWith(p, func(g *port.Pages) {
			g.Left = nil
			g.Passes = func(_ context.Context, _ port.PassQuery, tell port.Progress) ([]port.PassEntry, error) {
				passes := desktest.Passes()
				for i := range passes { // twenty minutes after one another
					by := passes[0].AOS.Add(time.Duration(20*i) * time.Minute).Sub(passes[i].AOS)
					passes[i].AOS, passes[i].Top, passes[i].LOS = passes[i].AOS.Add(by), passes[i].Top.Add(by), passes[i].LOS.Add(by)
				}
				return passes, nil
			}
		})
		next := nextPass(&p.hunt, s.App.Now())
		name := next.Bird + " " + next.AOS.Local().Format("15:04")
		r := p.line.rect
		x := func(at time.Time) float64 { return r.X + at.Sub(s.App.Now()).Hours()/skylineHours*r.W }
		labels, area := r.CutBottom(s.App.Type.LineHeight(kit.Tiny) + 4)
		room := hillRoom(s.App.Type, area)
		if room.H > skylineTallest*room.W {
			t.Errorf("%dx%d: hills of %.0f on a width of %.0f are needles", size.w, size.h, room.H, room.W)
		}
		names, found := 0, false
		for _, b := range s.Texts() {
			if found = found || b.Text == name; !slices.Contains([]string{"LARK-1", "DIPPER-2", "FULMAR-3", name}, b.Text) || b.Rect.Y < r.Y-1 || b.Rect.Bottom() > labels.Y {
				continue
			}
			names++
			for i := range p.hunt.Found {
				e := &p.hunt.Found[i]
				x0, x1 := x(e.AOS), x(e.LOS)
				wide := math.Max((x1-x0)*1.35, 14)
				mid := kit.Clamp((x0+x1)/2, r.X+wide/2, r.Right()-wide/2)
				box := kit.Box(mid-wide/2, room.Y, wide, room.H)
				for at := math.Max(b.Rect.X-3, box.X); at < math.Min(b.Rect.Right()+3, box.Right()); at++ {
					if screen.HillTop(box, e.Hill, at) < b.Rect.Bottom()-3 {
						t.Errorf("%dx%d: the hill of %s at %s crosses %q", size.w, size.h, e.Bird, e.AOS.Format("15:04"), b.Text)
						break
					}
				}
			}
		}
		if !found || names < 3 {
			t.Errorf("%dx%d: %d names; %q is written: %v", size.w, size.h, names, name, found)
		}
	}
}

// When birds change while the start page stands, the passes on it are looked
// for anew; a search that was stopped before it answered is made again by who
// comes back.
func TestStartLooksAnew(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	var mu sync.Mutex
	asked, hold := 0, false
	s.App.Cfg.Pages = desktest.Pages()
	find := s.App.Cfg.Pages.Passes
	s.App.Cfg.Pages.Passes = func(ctx context.Context, q port.PassQuery, p port.Progress) ([]port.PassEntry, error) {
		mu.Lock()
		asked++
		wait := hold
		mu.Unlock()
		if wait {
			<-ctx.Done()
			return nil, ctx.Err()
		}
		return find(ctx, q, p)
	}
	times := func() int { mu.Lock(); defer mu.Unlock(); return asked }
	p := New()
	s.App.Scenes.Push(s.App, p)
	for !p.hunt.Fresh(s.App) {
		s.Step()
	}
	p.Renew(s.App)
	if times() != 1 {
		t.Errorf("asked %d times though nothing has changed", times())
	}
	s.App.BirdsChanged++
	mu.Lock()
	hold = true
	mu.Unlock()
	p.Renew(s.App)
	for times() < 2 {
		s.Step()
	}
	p.Leave(s.App)
	mu.Lock()
	hold = false
	mu.Unlock()
	p.Enter(s.App)
	for !p.hunt.Fresh(s.App) {
		s.Step()
	}
	if times() != 3 || !strings.HasPrefix(p.tiles[0].Hint, "next: ") {
		t.Errorf("asked %d times, %q", times(), p.tiles[0].Hint)
	}
}
