//go:build !nodesk

package desktest

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/testdata/race"
)

// goldenLooks are the looks in which screens have pictures.
var goldenLooks = []struct {
	suffix, palette string
	w, h            int
	text            float64
}{{"", "night", 1280, 720, 1}, {"-sun", "sun", 1280, 720, 1}, {"-large", "night", 960, 600, 2}}

// View is a screen as tests draw it, with made-up data and a clock that stands
// still. Those with Sun or Large have golden pictures of that look as well.
type View struct {
	Name       string // of the picture
	Sun, Large bool
	Raced      bool // a run lies behind it: its picture is compared under the race detector too
	Put        func(s *Stage)
}

// GoldenPictures compares views with pictures that were looked at.
func GoldenPictures(t *testing.T, views []View) {
	kittest.NeedWindow(t)
	for _, v := range views {
		for _, look := range goldenLooks {
			if look.suffix == "-sun" && !v.Sun || look.suffix == "-large" && !v.Large || race.On && (look.suffix != "" || !v.Raced) {
				continue
			}
			name := strings.ReplaceAll(v.Name, " ", "-") + look.suffix
			t.Run(name, func(t *testing.T) {
				s := NewStage(t, look.w, look.h, look.text, look.palette)
				v.Put(s)
				s.golden(t, name)
			})
		}
	}
}

// golden compares what the stage shows with a picture that was looked at.
func (s *Stage) golden(t *testing.T, name string) {
	t.Helper()
	s.Draw()
	s.Draw()
	kittest.Golden(t, filepath.Join("testdata", "golden", name+".png"), s.Image)
}

// DrawnApart checks views as they are drawn: nothing that is written may lie over
// something else that is written, or leave the window, at any size of window and
// text.
func DrawnApart(t *testing.T, views []View) {
	sizes := []struct {
		w, h  int
		texts []float64
	}{{960, 600, []float64{1, 1.6, 2.5}}, {1280, 720, []float64{1, 2.5}}, {1920, 1080, []float64{1, 2, 2.5}}, {2560, 1080, []float64{1}}, {2560, 720, []float64{1, 2.5}},
		{3440, 1000, []float64{1, 2.5}}, {3840, 1080, []float64{1, 2.5}}, {1000, 1000, []float64{2}}}
	for _, sc := range views {
		for _, size := range sizes {
			for _, text := range size.texts {
				t.Run(fmt.Sprintf("%s/%dx%d/%.0f", sc.Name, size.w, size.h, text*100), func(t *testing.T) {
					s := BareStage(t, size.w, size.h, text, "night")
					sc.Put(s)
					CheckTexts(t, s)
				})
			}
		}
	}
}

// KeepApart checks that nothing that is written lies over something else that is
// written, is cut at its side, or leaves the window, at any size of window
// and text. A page that is taller than the window scrolls.
func KeepApart(t *testing.T, views []View) {
	sizes := []struct {
		w, h  int
		texts []float64
	}{{960, 600, []float64{1, 1.5, 2, 2.5}}, {800, 600, []float64{2}}, {1280, 720, []float64{1, 1.5, 2, 2.5}}, {1920, 1080, []float64{1, 2, 2.5}}, {1920, 600, []float64{1, 2.5}},
		{2560, 720, []float64{1, 2.5}}, {3440, 1000, []float64{1, 2.5}}, {3840, 1080, []float64{1, 2.5}}, {3840, 2160, []float64{1}}, {1440, 2560, []float64{1, 2, 2.5}}}
	for _, sc := range views {
		for _, size := range sizes {
			for i, text := range size.texts {
				if race.On && (size.w != 960 || i > 0) {
					continue
				}
				t.Run(fmt.Sprintf("%s/%dx%d/%.0f", sc.Name, size.w, size.h, 100*text), func(t *testing.T) {
					s := BareStage(t, size.w, size.h, text, "night")
					sc.Put(s)
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

// Page is a page as it is opened, by its name.
type Page struct {
	Name string
	Open func() screen.Scene
}

// PagesApart checks that what is written on a page lies over nothing else that is
// written there. Pages scroll where text is larger than here.
func PagesApart(t *testing.T, pages []Page) {
	for _, p := range pages {
		for _, size := range []struct{ w, h int }{{1280, 720}, {1920, 1200}} {
			for _, text := range []float64{1, 1.2} {
				t.Run(fmt.Sprintf("%s/%dx%d/%.0f", p.Name, size.w, size.h, 100*text), func(t *testing.T) {
					s := BareStage(t, size.w, size.h, text, "night")
					s.Show(p.Open())
					boxes := s.Texts()
					if len(boxes) < 8 {
						t.Fatalf("only %d texts were drawn", len(boxes))
					}
					for i, a := range boxes {
						for _, b := range boxes[:i] {
							w := math.Min(a.Rect.Right(), b.Rect.Right()) - math.Max(a.Rect.X, b.Rect.X)
							h := math.Min(a.Rect.Bottom(), b.Rect.Bottom()) - math.Max(a.Rect.Y, b.Rect.Y)
							if w > 1.5 && h > 3 && a.Rect.Bottom() < s.App.Size.Y && b.Rect.Bottom() < s.App.Size.Y {
								t.Errorf("%q at %.0f lies over %q at %.0f", a.Text, a.Rect, b.Text, b.Rect)
							}
						}
					}
				})
			}
		}
	}
}

// PagesSpeak checks that every page says something of itself when it comes on,
// and that everything on it that can be gone to has words.
func PagesSpeak(t *testing.T, pages []Page) {
	for _, p := range pages {
		t.Run(p.Name, func(t *testing.T) {
			s := BareStage(t, 1280, 720, 1, "night")
			var said []string
			s.App.Set.EarsOnly = true
			s.App.Cfg.Pages = Pages()
			s.App.Cfg.Speak = func(text string) { said = append(said, text) }
			s.App.Scenes.Push(s.App, p.Open())
			for range 20 {
				s.Step()
				time.Sleep(time.Millisecond)
			}
			if len(said) == 0 {
				t.Fatal("nothing was said")
			}
			for _, text := range said {
				if len(text) < 8 || strings.HasSuffix(text, "Back.") {
					t.Errorf("all that was said is %q", text)
				}
			}
		})
	}
}
