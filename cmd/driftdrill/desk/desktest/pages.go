//go:build !nodesk

package desktest

import (
	"context"
	"fmt"
	"math"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// Now is the time of day of the made-up pages.
var Now = time.Date(2026, 11, 25, 18, 40, 0, 0, time.UTC)

// Pages are made-up drills, passes and runs, to lay the pages out with.
func Pages() port.Pages {
	return port.Pages{
		Now:    func() time.Time { return Now },
		Voice:  "a made-up voice",
		Drills: func(context.Context, string) ([]port.DrillEntry, error) { return Path(), nil },
		Passes: func(_ context.Context, _ port.PassQuery, p port.Progress) ([]port.PassEntry, error) {
			p(1, 1)
			return Passes(), nil
		},
		Left: func(context.Context) ([]port.LeftRun, error) {
			return []port.LeftRun{{Key: "a", Title: "Come back on DIPPER-2", When: Now.Add(-time.Hour), Flown: 250 * time.Second}}, nil
		},
		PassPages:     PassPages(),
		CheckSite:     func(string) (string, bool) { return "Quern Hill, 50.000° N, 8.000° E, locator JO40aa", true },
		CheckElements: func(string) (string, bool) { return "the four bundled birds", true },
		TestTone:      func(port.Settings) (func(), func(port.Levels), error) { return func() {}, func(port.Levels) {}, nil },
		Logbook:       Book{},
		TakeOut: func(context.Context, string, port.Progress) (string, string, error) {
			return "42 sheets written, 0 were there; runs.csv lists them", "/home/q3fen/.local/share/driftdrill/kept/logbook", nil
		},
		BringIn: func(context.Context, string, port.Progress) (string, error) {
			return "2 runs brought in, 1 were there", nil
		},
		OpenRecording: func(context.Context, string, port.ReadAs, port.Progress) (*port.Recording, error) {
			return nil, errNoRun
		},
		OwnVoices: OwnVoices,
		TakeVoice: func(context.Context, string) (string, error) {
			return "Kept as your voice: 5 s, in /home/q3fen/.local/share/driftdrill/voice.wav", nil
		},
		RecordVoice: func() (port.VoiceTake, error) { return &Take{}, nil },
		HearVoice:   func() (func(), error) { return func() {}, nil },
		Birds:       func() ([]port.Bird, []string) { return Birds(), nil },
		KeepBird: func([]byte, bool) (string, bool, error) {
			return "/home/q3fen/.config/driftdrill/birds/knot-5.toml", false, nil
		},
	}
}

// Path are made-up drills.
func Path() []port.DrillEntry {
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

// Passes are made-up passes.
func Passes() []port.PassEntry {
	var passes []port.PassEntry
	for i, el := range []float64{13, 56, 12, 42, 88, 31, 9, 61} {
		e := port.PassEntry{Key: fmt.Sprint(i), Bird: []string{"LARK-1", "DIPPER-2", "FULMAR-3"}[i%3], AOS: Now.Add(time.Duration(20+85*i) * time.Minute),
			AOSAzimuthDeg: 300, LOSAzimuthDeg: 120, MaxElevationDeg: el, TopRateHzS: 34, DriftHz: 11200, Bands: "435/146 MHz inverting", Difficulty: "steady work", Rule: "uplink",
			Worth: el >= 25, WorthWhy: fmt.Sprintf("only %.0f° high", el), Age: "0.4 days old, up to 3 Hz off"}
		if e.Worth {
			e.WorthWhy = fmt.Sprintf("%.0f° high, 14 min", el)
		}
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

// Book is a made-up logbook.
type Book struct{}

// Operators implements port.Logbook.
func (Book) Operators(context.Context) ([]string, error) { return []string{"Q3FEN", "Q7OWL"}, nil }

// Runs implements port.Logbook.
func (Book) Runs(context.Context, string, int) ([]port.RunEntry, int, error) {
	var runs []port.RunEntry
	for i := range 9 {
		runs = append(runs, port.RunEntry{ID: int64(i + 1), When: Now.AddDate(0, 0, -i), Drill: "Full low pass, overhead", Bird: "LARK-1", Operator: "Q3FEN", TopDeg: 84,
			HoldIndex: 812, Rating: 56, Goal: "reached"})
	}
	return runs, 9, nil
}

// Bands implements port.Logbook.
func (Book) Bands(context.Context, string) ([]port.Band, error) {
	var bands []port.Band
	for i, axis := range []string{"hand", "ear", "hold", "come-back", "find", "discipline"} {
		b := port.Band{Axis: axis, Means: "true again after listening", Runs: 10, Word: "moving"}
		for d := range 10 {
			m := 35 + 3*float64(d) + 2*float64(i)
			b.Points = append(b.Points, port.BandPoint{When: Now.AddDate(0, 0, d-10), Mean: m, Low: m - 20 + float64(d), High: m + 20 - float64(d)})
		}
		bands = append(bands, b)
	}
	return bands, nil
}

// Open implements port.Logbook.
func (Book) Open(context.Context, int64) (*port.About, *port.Result, error) {
	return nil, nil, errNoRun
}

var errNoRun = fmt.Errorf("there is no such run")

// EmptyBook is a logbook that nothing is written in yet.
type EmptyBook struct{ Book }

// Operators implements port.Logbook.
func (EmptyBook) Operators(context.Context) ([]string, error) { return nil, nil }

// Runs implements port.Logbook.
func (EmptyBook) Runs(context.Context, string, int) ([]port.RunEntry, int, error) {
	return nil, 0, nil
}

// Bands implements port.Logbook.
func (EmptyBook) Bands(context.Context, string) ([]port.Band, error) { return nil, nil }

// OwnVoices are what an operator who has not recorded himself can speak with.
func OwnVoices() []port.OwnVoice {
	return []port.OwnVoice{{Words: "as the drill asks", Under: "a tone at first, a voice later"}, {Name: "tone", Words: "a tone", Under: "the easiest to hear"},
		{Name: "call", Words: "a spoken call", Under: "the bundled speaker"}, {Name: "own", Words: "my voice", Under: "record it, or drop a WAV file here", Off: true},
		{Name: "mic", Words: "live", Under: "your microphone, with a headset only"}}
}

// Take is a recording of the own voice as the tests want it.
type Take struct {
	Seconds, Peak  float64
	Wrong          error
	Played, Closed int
	Kept           bool
}

// State implements port.VoiceTake.
func (t *Take) State() (seconds, peak float64) { return t.Seconds, t.Peak }

// Judge implements port.VoiceTake.
func (t *Take) Judge() error { return t.Wrong }

// Play implements port.VoiceTake.
func (t *Take) Play() (func(), error) { t.Played++; return func() { t.Played-- }, nil }

// Keep implements port.VoiceTake.
func (t *Take) Keep() (string, error) {
	t.Kept = true
	return "Kept as your voice: 5 s, in /home/q3fen/.local/share/driftdrill/voice.wav", nil
}

// Close implements port.VoiceTake.
func (t *Take) Close() { t.Closed++ }
