//go:build e2e && linux

package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring/logbook"
	"driftdrill/sim"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
)

var takePictures = flag.Bool("pictures", false, "write the pictures in assets/pictures")

// practised are the settings of somebody who has been here before.
var practised = port.Settings{Levels: port.Levels{Split: true}, WheelNotches: 1, StepHz: 20, Welcomed: true, HintsSeen: 5}

// TestPictures flies real runs, by ear, and photographs the window.
func TestPictures(t *testing.T) {
	if !*takePictures {
		t.Skip("only with -pictures")
	}
	s := newStage(t)
	steady := practised
	steady.BufferMS = 40 // a busy machine does not break the sound up, which the desk would say
	s.settings(steady)
	folder := filepath.Join("..", "..", "assets", "pictures")
	if err := os.MkdirAll(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	heard := s.listen()
	sheet := filepath.Join(s.dir, "picture.jsonl")
	app := s.start(s.program, "fly", "--drill", "come-back", "--sheet", sheet)
	app.begin()
	s.window(app)
	hand := listener{stage: s, heard: heard, stepHz: 20, byTurns: true, sheet: sheet}
	s.until("the third over", func() bool {
		hand.flyFor(500 * time.Millisecond)
		return hand.state.Over == 3
	})
	s.until("the middle of the fifth", func() bool {
		hand.flyFor(500 * time.Millisecond)
		return hand.state.Over == 5 && hand.state.PhaseLeft < 17*sim.TicksPerSecond && hand.state.Keyed
	})
	s.photograph(filepath.Join(folder, "desk.png"))
	s.until("the end of the run", func() bool {
		hand.flyFor(time.Second)
		sh, err := trainer.ReadSheet(sheet)
		return err == nil && sh.Ended
	})
	time.Sleep(4 * time.Second)
	s.photograph(filepath.Join(folder, "debrief.png"))
}

// flyFor lets the hand fly for a while.
func (l *listener) flyFor(d time.Duration) {
	for end := time.Now().Add(d); time.Now().Before(end); {
		l.listen()
	}
}

// takeTurns keys only while it is the hand's turn, as far as the run's sheet
// tells, which is a second behind at most. It returns false while it is not.
func (l *listener) takeTurns() bool {
	if now := time.Now(); now.Sub(l.looked) > 300*time.Millisecond {
		l.looked = now
		l.state.Assigned = true
		if sh, err := trainer.ReadSheet(l.sheet); err == nil {
			_, _ = sim.Replay(sh, sh.End, func(s *sim.State) { l.state = *s }) // a sheet that is being written may be cut
		}
	}
	if !l.state.Assigned {
		l.do("keyup space")
		time.Sleep(50 * time.Millisecond)
	}
	return l.state.Assigned
}

// practises makes a logbook of two evenings a week over ten weeks, of simulated
// hands that come on: fast at first, then slower. They stand in it as a
// person's, so that the page looks as that person's would.
func (s *stage) practises() {
	s.t.Helper()
	folder := s.dropLogbook()
	book, err := logbook.Open(logbook.Path(folder))
	if err != nil {
		s.t.Fatal(err)
	}
	defer book.Close()
	rate := trainer.RateOnLadders()
	drills := []string{"come-back", "cold-find", "busy-passband", "weak-and-fading", "come-back", "low-overhead", "real-afternoon", "two-rules", "busy-passband"}
	const evenings = 20
	for i := range 3 * evenings {
		evening := i / 3
		level := 0.2 + 0.4*(1-math.Exp(-float64(evening)/8)) + 0.05*math.Sin(float64(5*i))
		text := s.flown(drills[i%len(drills)], fmt.Sprintf("level:%.4f", level), uint64(100+i))
		sh, err := sim.ReadSheet(bytes.NewReader(text), "practice")
		if err != nil {
			s.t.Fatal(err)
		}
		o, err := trainer.MarkSheet(sh)
		if err != nil {
			s.t.Fatal(err)
		}
		flown := time.Now().UTC().Truncate(24*time.Hour).AddDate(0, 0, (evening-evenings)*7/2).Add(19*time.Hour + time.Duration(7*evening%40+20*(i%3))*time.Minute)
		if _, _, err := book.Add(s.t.Context(), logbook.Run{Flown: flown, Sheet: text, Rating: rate(&sh.Setup, o.Marks, o.Trace)}); err != nil {
			s.t.Fatal(err)
		}
	}
}

// flown is the sheet of a drill that somebody flew; in truth a simulated hand,
// which the sheet does not name: runs of simulated hands make no skill.
func (s *stage) flown(drill, hand string, seed uint64) []byte {
	s.t.Helper()
	f := trainer.Flight{Drill: drill, Seed: seed}
	setup, err := f.Prepare()
	if err != nil {
		s.t.Fatal(err)
	}
	h, err := sim.NewHand(hand, seed, &setup)
	if err != nil {
		s.t.Fatal(err)
	}
	run, err := sim.NewRun(setup)
	if err != nil {
		s.t.Fatal(err)
	}
	var out bytes.Buffer
	rec, err := sim.NewRecorder(&out, run)
	if err != nil {
		s.t.Fatal(err)
	}
	var now sim.State
	for !run.Done() {
		run.Step(&now)
		h.Act(&now, run.Post)
	}
	if err := errors.Join(rec.Flush(), rec.Finish(nil)); err != nil {
		s.t.Fatal(err)
	}
	return out.Bytes()
}

// photograph writes what the display shows.
func (s *stage) photograph(path string) {
	s.t.Helper()
	x, err := xgb.NewConnDisplay(s.value("DISPLAY"))
	if err != nil {
		s.t.Fatal(err)
	}
	defer x.Close()
	screen := xproto.Setup(x).DefaultScreen(x)
	w, h := int(screen.WidthInPixels), int(screen.HeightInPixels)
	got, err := xproto.GetImage(x, xproto.ImageFormatZPixmap, xproto.Drawable(screen.Root), 0, 0, uint16(w), uint16(h), 0xffffffff).Reply()
	if err != nil {
		s.t.Fatal(err)
	}
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := 0; i+3 < len(got.Data) && i/4 < w*h; i += 4 { // blue, green, red, unused
		// The last two bits are the grain of the ground, which no one sees and which makes up half of a file.
		img.SetRGBA(i/4%w, i/4/w, color.RGBA{got.Data[i+2]&^3 | 2, got.Data[i+1]&^3 | 2, got.Data[i]&^3 | 2, 255})
	}
	f, err := os.Create(path)
	if err != nil {
		s.t.Fatal(err)
	}
	small := png.Encoder{CompressionLevel: png.BestCompression}
	if err := errors.Join(small.Encode(f, img), f.Close()); err != nil {
		s.t.Fatal(err)
	}
	s.t.Logf("wrote %s", path)
}

// value returns a variable of the stage's surroundings.
func (s *stage) value(name string) string {
	for _, v := range s.env {
		if text, ok := strings.CutPrefix(v, name+"="); ok {
			return text
		}
	}
	return ""
}
