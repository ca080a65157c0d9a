//go:build e2e && linux

package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/scoring"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
)

// windowBody is a body before the program's window, with a mouse wheel and keys,
// and ears at the sound server. Beside them it has an eye for the arrow, which the
// robot does not know of: it only compares.
type windowBody struct {
	*stage
	heard *ears
	app   *background
	// how often the arrow that was lit agreed with the turn, and how often not
	agreed, differed int
}

func (b *windowBody) frames() int                     { return b.heard.frames() }
func (b *windowBody) ear(side, from, n int) []float64 { return b.heard.ear(side, from, n) }
func (b *windowBody) rest()                           { time.Sleep(20 * time.Millisecond) }
func (b *windowBody) flying() bool                    { return b.app.running() }
func (b *windowBody) says()                           { b.do("key 1") }

func (b *windowBody) press(down bool) {
	if down {
		b.do("keydown space")
	} else {
		b.do("keyup space")
	}
}

func (b *windowBody) wheel(n int) {
	if b.agreed+b.differed < 15 && b.app.running() {
		b.compare(n)
	}
	button := 4
	if n < 0 {
		button = 5
	}
	b.do("click --repeat %d --delay 15 %d", max(n, -n), button)
}

func (b *windowBody) fast(n int) {
	name := "Prior"
	if n < 0 {
		name = "Next"
	}
	for range max(n, -n) {
		b.do("key %s", name)
	}
}

// compare holds the arrow that is lit against what is about to be turned, the
// first fifteen times that one is.
func (b *windowBody) compare(n int) {
	b.t.Helper()
	switch up, down := b.amber(500, 568), b.amber(700, 768); {
	case up == down: // none is lit
	case (up > down) == (n > 0):
		b.agreed++
	default: // it may act on what it heard before its last turn, or have misheard where sound broke up
		b.differed++
		b.t.Logf("the robot hears that it has to turn %+d notches; the arrow up has %d lit pixels, the one down %d", n, up, down)
	}
}

// amber counts the pixels of the operator's own colour beside the knob, left or
// right of it, where the arrows are in a window of 1280 x 720.
func (b *windowBody) amber(from, to int16) (n int) {
	b.t.Helper()
	x, err := xgb.NewConnDisplay(b.value("DISPLAY"))
	if err != nil {
		b.t.Fatal(err)
	}
	defer x.Close()
	root := xproto.Setup(x).DefaultScreen(x).Root
	got, err := xproto.GetImage(x, xproto.ImageFormatZPixmap, xproto.Drawable(root), from, 465, uint16(to-from), 90, 0xffffffff).Reply()
	if err != nil {
		b.t.Fatal(err)
	}
	near := func(v, want byte) bool { return max(v, want)-min(v, want) < 16 }
	for i := 0; i+3 < len(got.Data); i += 4 { // blue, green, red, unused
		if near(got.Data[i], 0x3c) && near(got.Data[i+1], 0xa2) && near(got.Data[i+2], 0xf0) {
			n++
		}
	}
	return n
}

// inTheWindow is First hold, shortened, since there time is real; and with the sound
// carried late a teacher may say another thing as well.
var inTheWindow = lesson{"first-hold", 1, func(r *robot) { r.hold(3.3) },
	append(fine, verdict{scoring.FaultLag, "the machine carries the sound late, and so its hand comes late"}),
	append(lessons[0].slow, verdict{scoring.FaultLoose, "it lets 75 Hz be, and where it found itself late too few seconds are left to tell why"},
		verdict{scoring.FaultSlowFind, "the machine carried the sound so late that it took long to find itself"})}

// inWindow lets a robot fly a shortened lesson in the program's window and
// returns what its debrief says.
func (l *lesson) inWindow(s *stage, skill robotSkill) (r *robot, d scoring.Debrief) {
	s.t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "assets", "drills", l.drill+".toml"))
	if err != nil {
		s.t.Fatal(err)
	}
	drill := string(text)
	for from, to := range map[string]string{"length_s = 300": "length_s = 32", "after_s = 260": "after_s = 440"} {
		if !strings.Contains(drill, from) {
			s.t.Fatalf("%s has no %q", l.drill, from)
		}
		drill = strings.Replace(drill, from, to, 1)
	}
	path, sheet := filepath.Join(s.dir, l.drill+".toml"), filepath.Join(s.dir, l.drill+".jsonl")
	s.write(path, drill)
	heard := s.listen()
	from, b := heard.frames(), &windowBody{stage: s, heard: heard}
	r = &robot{body: b, skill: skill, stepHz: 20}
	b.app = s.start(s.program, "fly", "--drill", path, "--seed", strconv.FormatUint(l.seed, 10), "--voice", "tone", "--sheet", sheet, "--quit-at-end", "--audio", "device", "--device-ms", "100")
	b.app.begin()
	s.window(b.app)
	at := -1
	s.until("the first sound", func() bool {
		at = slices.IndexFunc(heard.ear(right, from, heard.frames()-from), func(v float64) bool { return math.Abs(v) > 1e-5 })
		return at >= 0
	})
	r.counted = from + at
	l.fly(r)
	b.app.endedWell()
	if out := b.app.output.String(); strings.Contains(out, "XGB") {
		s.t.Errorf("the window's library speaks on standard error: %s", out)
	}
	if err := json.Unmarshal([]byte(s.run("debrief", "--unrated", "--out", "json", sheet)), &d); err != nil {
		s.t.Fatal(err)
	}
	if !d.Agrees {
		s.t.Errorf("%s: the sheet does not agree: %s", l.drill, d.Differs)
	}
	return r, d
}

// The robots of TestRobotsByEar before real windows, with a real wheel and real
// sound, on two displays at once. The arrow that is lit shows them what they hear.
func TestRobotsInWindows(t *testing.T) {
	skills := []robotSkill{slowAndCoarse, quickAndExact}
	index := make([]float64, len(skills))
	t.Run("flights", func(t *testing.T) {
		for i, skill := range skills {
			t.Run(skill.name, func(t *testing.T) {
				t.Parallel()
				s := newStage(t)
				s.settings(port.Settings{Levels: port.Levels{Split: true}, WheelNotches: 1, StepHz: 20, Welcomed: true})
				r, d := inTheWindow.inWindow(s, skill)
				inTheWindow.judged(t, r, &d)
				index[i] = d.HoldIndex
				b := r.body.(*windowBody)
				t.Logf("the arrow agreed with %d turns, and not with %d", b.agreed, b.differed)
				if b.agreed <= b.differed {
					t.Errorf("the arrow agreed with %d turns and not with %d", b.agreed, b.differed)
				}
			})
		}
	})
	if index[1] < index[0]+50 {
		t.Errorf("the better hand has %.0f, the other %.0f", index[1], index[0])
	}
}
