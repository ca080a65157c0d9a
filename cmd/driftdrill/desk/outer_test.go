//go:build !nodesk

package desk

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"driftdrill/assets/licences"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// outer are the screens round the desk and the exercises, with made-up data
// and a clock that stands still, as they are drawn by the tests. Those with
// sun or large have golden pictures of that look as well.
var outer = []struct {
	name       string
	sun, large bool
	put        func(s *stage)
}{
	{"welcome", false, true, func(s *stage) { s.show(newWelcome()) }},
	{"welcome place", false, false, func(s *stage) { s.show(newWelcome()); s.app.Scenes.Top().(*welcome).move(s.app, 1); s.settle() }},
	{"welcome headphones", false, false, func(s *stage) {
		s.show(newWelcome())
		w := s.app.Scenes.Top().(*welcome)
		w.move(s.app, 1)
		w.move(s.app, 1)
		s.settle()
	}},
	{"start", true, true, func(s *stage) { s.showWith(newStart(), func(p *port.Pages) { p.Left = nil }) }},
	{"start cut short", false, false, func(s *stage) { s.show(newStart()) }},
	{"passes", true, true, func(s *stage) { s.show(newPasses()) }},
	{"passes none", false, false, func(s *stage) {
		s.showWith(newPasses(), func(p *port.Pages) {
			p.Passes = func(context.Context, port.PassQuery, port.Progress) ([]port.PassEntry, error) { return nil, nil }
		})
	}},
	{"passes fault", false, false, func(s *stage) {
		s.app.Set.Elements = "/home/q3fen/radio/elements/of-this-week.txt"
		s.showWith(newPasses(), func(p *port.Pages) {
			p.Passes = func(context.Context, port.PassQuery, port.Progress) ([]port.PassEntry, error) {
				return nil, errors.New("/home/q3fen/radio/elements/of-this-week.txt, line 2: the checksum is 7, the line says 4")
			}
		})
	}},
	{"place and birds", false, true, func(s *stage) { s.show(newWhere()) }},
	{"place fault", false, false, func(s *stage) {
		s.app.Set.Elements = "https://elements.example/of/a/very/long/address/that/does/not/fit/into/the/field/birds.txt"
		s.showWith(newWhere(), func(p *port.Pages) {
			p.CheckSite = func(string) (string, bool) {
				return "\"JO4\" is no locator: two letters, two digits, two letters", false
			}
		})
	}},
	{"a pass", false, false, func(s *stage) { s.show(newPassPage(fakePasses()[1])) }},
	{"pick a drill", false, false, func(s *stage) { s.show(newPickDrill(fakePasses()[1])) }},
	{"drills", true, true, func(s *stage) { s.show(newDrills()) }},
	{"a drill", false, false, func(s *stage) { s.show(newDrillPage(fakePath()[2])) }},
	{"logbook", true, true, func(s *stage) { s.show(newLogbookPage()) }},
	{"logbook empty", false, false, func(s *stage) { s.showWith(newLogbookPage(), func(p *port.Pages) { p.Logbook = emptyBook{} }) }},
	{"pick a person", false, false, func(s *stage) {
		s.show(newPick("Whose runs?", []string{"everybody", "Q3FEN", "Q7OWL"}, 1, func(int) {}))
	}},
	{"settings", true, true, func(s *stage) { s.show(newSettingsPage()) }},
	{"settings ears", false, false, settingsPart(1)},
	{"settings sight", false, false, settingsPart(2)},
	{"settings knob", false, false, settingsPart(3)},
	{"settings you", false, false, settingsPart(4)},
	{"about", false, true, func(s *stage) {
		s.showWith(newAbout(), func(p *port.Pages) {
			p.Built = [][2]string{{"driftdrill", "1.2.3"}, {"commit", "0123456789ab, 2026-11-27T18:00:00Z"},
				{"built", "with go1.26.8 for linux/amd64, window, microphone"}}
			p.Licences = licences.Text
		})
	}},
	{"keys", false, true, func(s *stage) { s.show(newKeysPage()) }},
	{"pause", false, true, func(s *stage) {
		s.fly(fakeTCA-12400, 3, nil)
		s.app.Scenes.Push(s.app, newPaused(s.app.Scenes.Top().(*flying)))
		s.step()
	}},
	{"pause halting", false, true, func(s *stage) {
		s.fly(fakeTCA-12400, 3, func(f *fakeSession) { f.halting = "the sound breaks up" })
		s.app.Scenes.Push(s.app, newPaused(s.app.Scenes.Top().(*flying)))
		s.step()
	}},
	{"first move", false, true, func(s *stage) { s.fly(4000, 1, firstMoving) }},
	{"fault", true, true, func(s *stage) { s.fly(4000, 1, faultFinding) }},
	{"trouble", false, false, func(s *stage) {
		s.show(newTrouble("This run cannot be flown", errors.New("/home/q3fen/drills/mine.toml, line 7: there is no key \"lenght_s\"; did you mean length_s?")))
	}},
}

func settingsPart(n int) func(*stage) {
	return func(s *stage) {
		s.show(newSettingsPage())
		p := s.app.Scenes.Top().(*settingsPage)
		p.part.At = n
		p.gather(s.app)
		s.settle()
	}
}

// firstMoving makes the fake ask for the first move, with two verdicts given.
func firstMoving(f *fakeSession) {
	f.about.Brief, f.about.DrillTitle, f.about.DrillNumber = "Turn it true. The first turn counts.", "Which way round", 2
	f.about.Coach = "An inverting bird turns the band over."
	f.about.Straight = []bool{false, true, false, false, true, false, false, false, true, false}
	f.exercise = sim.ExerciseState{Kind: sim.ExerciseFirstMove, Trials: 10, Trial: 3, Judged: 2, Correct: 1, Asking: true, Left: 1500,
		Last: sim.TrialResult{Trial: 2, ShiftHz: 180, Answer: 1, Right: 2, Took: 300}}
}

// faultFinding makes the fake ask what is wrong; the list is that of the drill
// of the course.
func faultFinding(f *fakeSession) {
	f.about.Brief, f.about.DrillTitle, f.about.DrillNumber = "One thing is wrong. Try, listen, and name it.", "Wrong in one thing", 9
	f.about.Coach = ""
	for i, text := range []string{"uplink sideband set wrong", "both sidebands set wrong", "uplink outside the passband", "the rig's reference is off", "the diplexer is out",
		"the transponder is off", "the elements are old", "the clock is wrong"} {
		f.about.Answers = append(f.about.Answers, sim.Choice{Value: int64(i + 1), Text: text})
	}
	f.exercise = sim.ExerciseState{Kind: sim.ExerciseFault, Trials: 5, Trial: 2, Judged: 1, Correct: 1, Asking: true, Left: 9000,
		Last: sim.TrialResult{Trial: 1, Answer: 3, Right: 3, Correct: true, Took: 4000}}
}

// emptyBook is a logbook that nothing is written in yet.
type emptyBook struct{ fakeBook }

func (emptyBook) Operators(context.Context) ([]string, error) { return nil, nil }
func (emptyBook) Runs(context.Context, string, int) ([]port.RunEntry, int, error) {
	return nil, 0, nil
}
func (emptyBook) Bands(context.Context, string) ([]port.Band, error) { return nil, nil }

// showWith is show with some of the made-up data changed.
func (s *stage) showWith(p Scene, change func(*port.Pages)) {
	s.app.Cfg.Pages = fakePages()
	change(&s.app.Cfg.Pages)
	s.app.Scenes.Push(s.app, p)
	s.settle()
}

// settle lets a page come to rest: its goroutines answer, and what fades has faded.
func (s *stage) settle() {
	busy := func() bool {
		switch p := s.app.Scenes.Top().(type) {
		case *start:
			return p.drills.Busy() || p.left.Busy() || p.hunt.job.Busy()
		case *passesPage:
			return p.hunt.job.Busy()
		case *pickDrill:
			return p.work.Busy()
		case *drillsPage:
			return p.work.Busy()
		case *logbookPage:
			return p.work.Busy()
		}
		return false
	}
	for n := 0; n < 30 || busy() && n < 5000; n++ {
		s.step()
		if busy() {
			time.Sleep(time.Millisecond)
		}
	}
}

// visible returns the texts as they are seen: cut by the list or page that they
// scroll in. A text that is cut at its side says so.
func (s *stage) visible() (boxes []textBox, cut []string) {
	c := kit.NewCanvas(s.app.Type)
	c.Dry = true
	whole := kit.Box(0, 0, s.app.Size.X, s.app.Size.Y)
	c.Seen = func(r kit.Rect, str string) {
		if strings.TrimSpace(str) == "" {
			return
		}
		b := c.Bounds()
		seen := kit.Box(float64(b.Min.X)/c.Scale(), float64(b.Min.Y)/c.Scale(), float64(b.Dx())/c.Scale(), float64(b.Dy())/c.Scale())
		if seen.W < whole.W-1 || seen.H < whole.H-1 {
			top, bottom := math.Max(r.Y, seen.Y), math.Min(r.Bottom(), seen.Bottom())
			if bottom-top < 1 || seen.W < 1 {
				return
			}
			if r.X < seen.X-1 || r.Right() > seen.Right()+1 {
				cut = append(cut, str)
			}
			r.Y, r.H = top, bottom-top
		}
		boxes = append(boxes, textBox{r, str})
	}
	c.Begin(s.img, s.app.Scale(), s.app.Pal)
	if top, over := s.app.Scenes.Top().(kit.Overlay[*App]); over {
		top.Draw(s.app, c) // what lies beneath is not to be read
	} else {
		s.app.Scenes.Draw(s.app, c)
	}
	c.End()
	return boxes, cut
}

// Nothing that is written round the desk lies over something else that is
// written, is cut at its side, or leaves the window, at any size of window
// and text. A page that is taller than the window scrolls.
func TestOuterTextsKeepApart(t *testing.T) {
	// The larger ones of 16:9 have the same dips as 1280x720, rounded to other pixels.
	sizes := []struct {
		w, h  int
		texts []float64
	}{{960, 600, []float64{1, 1.5, 2, 2.5}}, {1280, 720, []float64{1, 1.5, 2, 2.5}}, {1920, 1080, []float64{1.5}}, {3840, 2160, []float64{1}}, {1440, 2560, []float64{1, 2, 2.5}}}
	for _, sc := range outer {
		for _, size := range sizes {
			for i, text := range size.texts {
				if raceOn && (size.w != 960 || i > 0) {
					continue
				}
				t.Run(fmt.Sprintf("%s/%dx%d/%.0f", sc.name, size.w, size.h, 100*text), func(t *testing.T) {
					s := bareStage(t, size.w, size.h, text, "night")
					sc.put(s)
					boxes, cut := s.visible()
					for _, str := range cut {
						t.Errorf("%q is cut at its side", str)
					}
					checkApart(t, s, boxes, 3)
				})
			}
		}
	}
}

// TestOuterGoldenPictures compares the pages with pictures that were looked at.
func TestOuterGoldenPictures(t *testing.T) {
	kittest.NeedWindow(t)
	if raceOn {
		t.Skip("run without the race detector")
	}
	for _, sc := range outer {
		for _, look := range goldenLooks {
			if look.suffix == "-sun" && !sc.sun || look.suffix == "-large" && !sc.large {
				continue
			}
			name := strings.ReplaceAll(sc.name, " ", "-") + look.suffix
			t.Run(name, func(t *testing.T) {
				s := newStage(t, look.w, look.h, look.text, look.palette)
				sc.put(s)
				s.golden(t, name)
			})
		}
	}
}
