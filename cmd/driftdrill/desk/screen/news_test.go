//go:build !nodesk

package screen_test

import (
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// newsPage is a page round the desk.
type newsPage struct{ screen.Page }

func (p *newsPage) Enter(a *screen.App)               { p.Open(a, "A page", "") }
func (p *newsPage) Leave(*screen.App)                 {}
func (p *newsPage) Update(a *screen.App)              { p.Lay(a); p.UpdatePage(a) }
func (p *newsPage) Draw(a *screen.App, c *kit.Canvas) { p.DrawPage(a, c) }
func (*newsPage) IsOrigin()                           {}

// News is asked for about twice a second and told on a page: in words where
// everything is spoken, but not where the program says it by itself; that birds
// have changed is noted. In a run only a reminder is shown.
func TestNews(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	said := desktest.Hearing(s.Stage)
	s.App.Scenes.Push(s.App, &newsPage{})
	step := func(n int) {
		for range n {
			s.App.Frame++
			s.App.Step()
		}
	}
	asked := 0
	var news []port.News
	s.App.Cfg.News = func(time.Time) []port.News {
		asked++
		now := news
		news = nil
		return now
	}
	step(120)
	if asked < 3 || asked > 5 {
		t.Errorf("asked %d times in two seconds", asked)
	}
	*said = nil
	news = []port.News{{Text: "LARK-1 rises in 10 minutes", Spoken: true}, {Text: "Younger elements have come.", Birds: true}}
	step(40)
	if len(*said) != 1 || (*said)[0] != "Younger elements have come." || s.App.BirdsChanged != 1 {
		t.Errorf("said %q, birds changed %d times", *said, s.App.BirdsChanged)
	}
}
