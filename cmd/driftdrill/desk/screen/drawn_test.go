//go:build !nodesk

package screen_test

import (
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// headed is a page of a heading, a line or three under it, and a button beside the
// way back.
type headed struct {
	newsPage
	title, under string
	voice        *kit.Button
}

func (p *headed) Enter(a *screen.App) {
	p.voice = screen.VoiceButton(a)
	p.Open(a, p.title, p.under, p.voice)
}

func (p *headed) Update(a *screen.App) {
	p.Lay(a)
	screen.BesideBack(a, &p.Page, p.voice)
	p.UpdatePage(a)
}

// under shows such a page.
func under(name, title, text, voice string) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		s.App.RunVoice = voice
		s.Show(&headed{title: title, under: text})
	}}
}

const longUnder = "What bird and radios are off together: it is in your dial cards, and in the dials with which runs begin, for as long as it is not forgotten or noted anew, which is done on another page; and then there is more to be said than two lines of a large text in a small window have room for."

// Pages with their headings, and lists of words, are drawn where they were looked at.
func TestDrawings(t *testing.T) {
	desktest.Drawings(t, append(picks,
		under("page", "A page", "", ""), under("page with a line", "A page", "one line stands under it", "call"), under("page with lines", "A page of a long name", longUnder, ""),
		under("page with a long name", "A page whose name is so long that it takes most of the window's width", "", "call"),
		desktest.View{Name: "pick of many", Put: func(s *desktest.Stage) {
			var words []string
			for i := range 23 {
				words = append(words, fmt.Sprint("a choice, number ", i))
			}
			s.Show(screen.NewPick("Which?", words, 20, func(int) {}))
		}}))
}

// What several screens draw, in plots that are wide, narrow, high and low, is drawn
// where it was looked at.
func TestDrawingsOfParts(t *testing.T) {
	kittest.NeedWindow(t)
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	var all []string
	draw := func(what string, f func(c *kit.Canvas)) {
		all = append(append(all, "== "+what), s.DrawnBy(f)...)
	}
	hill := func(n int) (pts []port.HillPoint) {
		for k := range n {
			x := float64(k)/float64(n-1)*2 - 1
			pts = append(pts, port.HillPoint{Tick: sim.Tick(1000 + k*6000), ElevationDeg: 70 * math.Exp(-3*x*x) * (1 - x*x)})
		}
		return pts
	}
	for _, r := range []kit.Rect{kit.Box(40, 30, 1100, 500), kit.Box(10, 20, 200, 90), kit.Box(100, 100, 500, 40), kit.Box(5, 5, 60, 300)} {
		at := fmt.Sprintf(" in %.0f by %.0f", r.W, r.H)
		y := func(hz float64) float64 { return r.Centre().Y - screen.Bend(hz)*r.H/2 }
		draw("scale"+at, func(c *kit.Canvas) {
			screen.DrawFold(c, r, y)
			screen.DrawOffsetScale(c, r, y)
			screen.DrawOffsetNames(c, kit.Box(r.X-80, r.Y, 80, r.H), r, y)
		})
		trials := screen.Trials{{ShiftHz: 200, Correct: true}, {ShiftHz: -50}, {ShiftHz: 25, Correct: true}, {ShiftHz: 0}, {ShiftHz: -330, Correct: true}}
		draw("questions"+at, func(c *kit.Canvas) {
			trials.DrawChart(c, r, &sim.ExerciseState{Trials: 20, Trial: 6, Asking: true})
		})
		draw("questions to come"+at, func(c *kit.Canvas) { trials[:2].DrawChart(c, r, &sim.ExerciseState{Trials: 5, Trial: 3}) })
		draw("no questions"+at, func(c *kit.Canvas) { screen.Trials{}.DrawChart(c, r, &sim.ExerciseState{}) })
		draw("name"+at, func(c *kit.Canvas) { screen.DrawProgramName(c, r) })
		var h screen.HillShape
		draw("hill"+at, func(c *kit.Canvas) {
			h.Draw(c, r, hill(15), c.Pal.Panel, c.Pal.Yours, 1.5)
			h.Draw(c, r, hill(2)[:1], c.Pal.Panel, c.Pal.Yours, 1.5)
		})
	}
	draw("bird", func(c *kit.Canvas) { screen.DrawBird(c, 100, 200, 2) })
	for _, frame := range []int{0, 45, 200} {
		s.App.Frame, s.App.ReducedMotion = frame, frame == 0
		draw(fmt.Sprint("waiting, frame ", frame), func(c *kit.Canvas) { screen.DrawWaiting(s.App, c, "Looking for passes", "Esc stops it") })
	}
	desktest.CompareDrawn(t, filepath.Join("testdata", "drawn", "parts.txt"), all)
}
