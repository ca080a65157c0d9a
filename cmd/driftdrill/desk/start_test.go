//go:build !nodesk

package desk

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// fakeNow is the time of day of the made-up pages.
var fakeNow = time.Date(2026, 11, 25, 18, 40, 0, 0, time.UTC)

// fakePages are made-up drills, passes and runs, to lay the pages out with.
func fakePages() port.Pages {
	return port.Pages{
		Now:    func() time.Time { return fakeNow },
		Voice:  "a made-up voice",
		Drills: func(context.Context, string) ([]port.DrillEntry, error) { return fakePath(), nil },
		Passes: func(_ context.Context, _ port.PassQuery, p port.Progress) ([]port.PassEntry, error) {
			p(1, 1)
			return fakePasses(), nil
		},
		Left: func(context.Context) ([]port.LeftRun, error) {
			return []port.LeftRun{{Key: "a", Title: "Come back on DIPPER-2", When: fakeNow.Add(-time.Hour), Flown: 250 * time.Second}}, nil
		},
		CheckSite:     func(string) (string, bool) { return "Quern Hill, 50.000° N, 8.000° E, locator JO40aa", true },
		CheckElements: func(string) (string, bool) { return "the four bundled birds", true },
		TestTone:      func(port.Settings) (func(), func(port.Levels), error) { return func() {}, func(port.Levels) {}, nil },
		Logbook:       fakeBook{},
	}
}

func fakePath() []port.DrillEntry {
	var path []port.DrillEntry
	for i, title := range []string{"First hold", "Hear the shift", "Which way round", "Slow climb", "Slow climb, by voice", "Top of the pass", "Come back",
		"Cold find", "Weak and fading", "Wrong in one thing", "Busy passband", "Full low pass, overhead", "Two rules", "Both hands", "Real afternoon"} {
		e := port.DrillEntry{Name: fmt.Sprint("drill-", i), Title: title, Number: i, Trains: "turning by feel while you listen", Goal: "Back within 50 Hz in 4 s, by the median",
			Brief: "Ten seconds of talk, twenty of listening, four times over. Turn by feel, and be true again soon.", Flight: "DIPPER-2 · 800 km up · 3 min", OnPasses: true}
		if i < 4 {
			e.Done, e.Flown, e.Best, e.Last = true, 3, "78 %", "74 %"
			e.Tries = []port.Try{{Share: 0.7, Text: "56 %"}, {Share: 1.1, Passed: true, Text: "88 %"}, {Share: 1, Passed: true, Text: "80 %"}}
		}
		if i == 4 {
			e.Advised, e.Why = true, "Next on your path. It trains turning by feel while you listen."
		}
		if i > 5 {
			e.Note = "better after drill 4, Slow climb, by voice"
		}
		path = append(path, e)
	}
	return path
}

func fakePasses() []port.PassEntry {
	var passes []port.PassEntry
	for i, el := range []float64{13, 56, 12, 42, 88, 31, 9, 61} {
		e := port.PassEntry{Key: fmt.Sprint(i), Bird: []string{"LARK-1", "DIPPER-2", "FULMAR-3"}[i%3], AOS: fakeNow.Add(time.Duration(20+85*i) * time.Minute),
			AOSAzimuthDeg: 300, LOSAzimuthDeg: 120, MaxElevationDeg: el, TopRateHzS: 34, DriftHz: 11200, Bands: "435/146 MHz inverting", Difficulty: "steady work"}
		e.Top, e.LOS = e.AOS.Add(7*time.Minute), e.AOS.Add(14*time.Minute)
		for k := 0; k <= 28; k++ {
			x := float64(k)/14 - 1
			e.Hill = append(e.Hill, port.HillPoint{Tick: sim.Tick(k * 6000), ElevationDeg: el * math.Exp(-4*x*x) * (1 - x*x)})
		}
		passes = append(passes, e)
	}
	passes[0].Old = "31 days old: up to 9 s early or late"
	return passes
}

// fakeBook is a made-up logbook.
type fakeBook struct{}

func (fakeBook) Operators(context.Context) ([]string, error) { return []string{"Q3FEN", "Q7OWL"}, nil }

func (fakeBook) Runs(context.Context, string, int) ([]port.RunEntry, int, error) {
	var runs []port.RunEntry
	for i := range 9 {
		runs = append(runs, port.RunEntry{ID: int64(i + 1), When: fakeNow.AddDate(0, 0, -i), Drill: "Full low pass, overhead", Bird: "LARK-1", Operator: "Q3FEN", TopDeg: 84,
			HoldIndex: 812, Rating: 56, Goal: "reached"})
	}
	return runs, 9, nil
}

func (fakeBook) Bands(context.Context, string) ([]port.Band, error) {
	var bands []port.Band
	for i, axis := range []string{"hand", "ear", "hold", "come-back", "find", "discipline"} {
		b := port.Band{Axis: axis, Means: "true again after listening", Runs: 10, Word: "moving"}
		for d := range 10 {
			m := 35 + 3*float64(d) + 2*float64(i)
			b.Points = append(b.Points, port.BandPoint{When: fakeNow.AddDate(0, 0, d-10), Mean: m, Low: m - 20 + float64(d), High: m + 20 - float64(d)})
		}
		bands = append(bands, b)
	}
	return bands, nil
}

func (fakeBook) Open(context.Context, int64) (*port.About, *port.Result, error) {
	return nil, nil, errNoRun
}

var errNoRun = fmt.Errorf("there is no such run")

// pages are the pages round the desk.
var pages = []struct {
	name string
	put  func() Scene
}{
	{"welcome", func() Scene { return newWelcome() }},
	{"start", func() Scene { return newStart() }},
	{"drills", func() Scene { return newDrills() }},
	{"passes", func() Scene { return newPasses() }},
	{"pick a drill", func() Scene { return newPickDrill(fakePasses()[1]) }},
	{"logbook", func() Scene { return newLogbookPage() }},
	{"settings", newSettingsPage},
	{"keys", func() Scene { return newKeysPage() }},
}

// show puts a page on and lets its goroutines come to their end.
func (s *stage) show(p Scene) { s.showWith(p, func(*port.Pages) {}) }

// What is written on a page lies over nothing else that is written there.
// Pages scroll where text is larger than here.
func TestPagesKeepTextsApart(t *testing.T) {
	for _, p := range pages {
		for _, size := range []struct{ w, h int }{{1280, 720}, {1920, 1200}} {
			for _, text := range []float64{1, 1.2} {
				t.Run(fmt.Sprintf("%s/%dx%d/%.0f", p.name, size.w, size.h, 100*text), func(t *testing.T) {
					s := newStage(t, size.w, size.h, text, "night")
					s.show(p.put())
					boxes := s.texts()
					if len(boxes) < 8 {
						t.Fatalf("only %d texts were drawn", len(boxes))
					}
					for i, a := range boxes {
						for _, b := range boxes[:i] {
							w := math.Min(a.r.Right(), b.r.Right()) - math.Max(a.r.X, b.r.X)
							h := math.Min(a.r.Bottom(), b.r.Bottom()) - math.Max(a.r.Y, b.r.Y)
							if w > 1.5 && h > 3 && a.r.Bottom() < s.app.Size.Y && b.r.Bottom() < s.app.Size.Y {
								t.Errorf("%q at %.0f lies over %q at %.0f", a.s, a.r, b.s, b.r)
							}
						}
					}
				})
			}
		}
	}
}

// Every page says something of itself when it comes on, and everything on it
// that can be gone to has words.
func TestPagesSpeak(t *testing.T) {
	for _, p := range pages {
		t.Run(p.name, func(t *testing.T) {
			s := newStage(t, 1280, 720, 1, "night")
			var said []string
			s.app.Set.EarsOnly = true
			s.app.Cfg.Pages = fakePages()
			s.app.Cfg.Speak = func(text string) { said = append(said, text) }
			s.app.Scenes.Push(s.app, p.put())
			for range 20 {
				s.step()
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

// The sets for one hand leave no action without a key and give no key to two.
func TestOneHandedSets(t *testing.T) {
	for name, b := range map[string]keys.Bindings{"right": port.RightHand(), "left": port.LeftHand(), "as delivered": port.DefaultBindings()} {
		if c := b.Conflicts(port.DeskActions()); len(c) > 0 {
			t.Errorf("%s: bound twice: %v", name, c)
		}
		for _, a := range port.DeskActions() {
			if len(b[a]) == 0 {
				t.Errorf("%s: %q has no key", name, a)
			}
		}
		if _, errs := checkBindings(b); len(errs) > 0 {
			t.Errorf("%s: %v", name, errs)
		}
	}
}

func TestWords(t *testing.T) {
	at := func(day, hour int) time.Time { return time.Date(2026, 11, day, hour, 0, 0, 0, time.UTC) }
	for _, c := range []struct{ got, want string }{
		{dayWord(at(25, 23), at(25, 1)), "today"},
		{dayWord(at(26, 0), at(25, 23)), "tomorrow"},
		{dayWord(at(24, 23), at(25, 0)), "yesterday"},
		{dayWord(at(28, 5), at(25, 0)), "Sat 28 Nov"}, // 25 November 2026 is a Wednesday
		{compass(0), "north"}, {compass(359), "north"}, {compass(22.4), "north"}, {compass(22.6), "north-east"},
		{compass(90), "east"}, {compass(225), "south-west"}, {short(compass(315)), "NW"},
		{lengthWords(42 * time.Second), "42 s"}, {lengthWords(250 * time.Second), "4 min 10 s"}, {lengthWords(14 * time.Minute), "14 min"},
		{kit.Sentences("Drills", "One step.", "", "Which one?"), "Drills. One step. Which one?"},
		{spokenOffset(120), "120 hertz too high."}, {spokenOffset(-61), "61 hertz too low."}, {spokenOffset(-12), "Your voice is true."},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}
