//go:build e2e && linux

package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"

	"github.com/pelletier/go-toml/v2"
)

// The window, the wheel, the key and the sound are the real ones. Everything
// is measured in the recorded sound, and placed in time by the keying that can
// be heard in it: how long the machine takes to carry a sound does not matter.
func TestEndToEnd(t *testing.T) {
	s := newStage(t)
	s.settings(port.Settings{Levels: port.Levels{Split: true}, WheelNotches: 1, StepHz: 20, Welcomed: true})
	t.Run("hands off, the voice slides as the pass says", func(t *testing.T) { s.t = t; handsOff(s) })
	t.Run("a hand that only listens holds zero beat", func(t *testing.T) { s.t = t; byEar(s) })
}

// settings writes the settings that the program finds.
func (s *stage) settings(set port.Settings) {
	s.t.Helper()
	text, err := toml.Marshal(screen.Sane(set))
	if err != nil {
		s.t.Fatal(err)
	}
	folder := filepath.Join(s.dir, "home", ".config", "driftdrill")
	if err := os.MkdirAll(folder, 0o700); err != nil {
		s.t.Fatal(err)
	}
	s.write(filepath.Join(folder, "settings.toml"), string(text))
}

// fly starts the program in a run of a drill file under testdata.
func (s *stage) fly(drill string) (app *background, sheet string) {
	s.t.Helper()
	sheet = filepath.Join(s.dir, drill+".jsonl")
	app = s.start(s.program, "fly", "--drill", filepath.Join("testdata", drill+".toml"), "--seed", "7",
		"--sheet", sheet, "--quit-at-end", "--audio", "device", "--device-ms", "100")
	app.begin()
	s.window(app)
	return app, sheet
}

// handsOff keys for nine seconds at a time, turns nothing, and holds the pitch
// of the recorded return against the physics.
func handsOff(s *stage) {
	t := s.t
	heard := s.listen()
	app, path := s.fly("slides")
	for running := true; running; {
		s.do("keydown space")
		running = app.wait(9 * time.Second)
		s.do("keyup space")
		running = running && app.wait(2*time.Second)
	}
	app.endedWell()
	sheet := s.debriefed(path)
	offset := offsets(t, sheet)
	keyings := keyed(sheet)
	spells := heard.spells(ownToneHz)
	if len(spells) != len(keyings) {
		t.Fatalf("keyed %d times, %d tones were heard in the left ear", len(keyings), len(spells))
	}
	from, to := spells[0][0], spells[len(spells)-1][len(spells[len(spells)-1])-1]
	heard.goesOn(t, from, to)
	var measured, worst float64
	var first, last sim.Tick
	for i, k := range keyings {
		for tick := k.from + 100; tick+120 < k.to; tick += 50 {
			at := spells[i].sample(k, tick)
			if at < 0 || !sounding(heard.ear(left, at-pitchSpan/2, pitchSpan)) {
				t.Logf("the sound ran dry at %.2f s", tick.Seconds())
				continue
			}
			hz, above := pitch(heard.ear(right, at-pitchSpan/2, pitchSpan), 250, 2750)
			want := ownToneHz + offset[tick]
			if above < 15 {
				t.Errorf("%.2f s: nothing clear came back (%.0f dB above the noise)", tick.Seconds(), above)
				continue
			}
			if math.Abs(hz-want) > 3 {
				t.Errorf("%.2f s: heard %.1f Hz, the physics say %.1f", tick.Seconds(), hz, want)
			}
			worst = max(worst, math.Abs(hz-want))
			if measured == 0 {
				first = tick
			}
			measured++
			last = tick
		}
	}
	slid := offset[last] - offset[first]
	t.Logf("%.0f pitches over %.1f s, in which the voice slid by %.0f Hz: at most %.2f Hz from the physics", measured, (last - first).Seconds(), slid, worst)
	if (last-first).Seconds() < 60 || measured < 120 {
		t.Errorf("only %.0f pitches over %.1f s could be measured; 120 over 60 s are wanted", measured, (last - first).Seconds())
	}
	if math.Abs(slid) < 500 {
		t.Errorf("the voice slid by %.0f Hz only: that proves little", slid)
	}
}

// byEar turns the wheel by what is recorded, and by nothing else, until the
// return sounds as the sidetone does; then the sheet tells how true it was.
func byEar(s *stage) {
	t := s.t
	heard := s.listen()
	app, path := s.fly("by-ear")
	hand := listener{stage: s, heard: heard, stepHz: 20}
	for app.running() {
		hand.listen()
	}
	s.do("keyup space")
	app.endedWell()
	sheet := s.debriefed(path)
	offset := offsets(t, sheet)
	const step = 20.0
	k := keyed(sheet)
	if len(k) == 0 {
		t.Fatal("never keyed")
	}
	start, end := k[0].from, k[len(k)-1].to
	if math.Abs(offset[start]) < 250 {
		t.Errorf("began %.0f Hz off: too near to prove anything", offset[start])
	}
	zero := start
	for zero < end && math.Abs(offset[zero]) > step {
		zero++
	}
	settled := zero + 2*sim.TicksPerSecond
	var worst, rate float64
	for tick := settled; tick < end; tick++ {
		worst = max(worst, math.Abs(offset[tick]))
	}
	turned := 0
	for _, c := range sheet.Commands {
		if c.Kind == sim.CommandKnob && c.Tick > settled {
			turned++
		}
	}
	rate = float64(turned) * step / max(1, (end-settled).Seconds())
	t.Logf("from %+.0f Hz to zero beat in %.1f s, then %.1f s within %.1f Hz, turning %d notches against %.1f Hz/s",
		offset[start], (zero - start).Seconds(), (end - settled).Seconds(), worst, turned, rate)
	if (end - settled).Seconds() < 20 {
		t.Errorf("held for %.1f s only", (end - settled).Seconds())
	}
	if worst > step {
		t.Errorf("strayed to %.1f Hz; one step is %.0f Hz; the hand:\n%s", worst, step, strings.Join(hand.turns, "\n"))
	}
	if turned == 0 {
		t.Error("nothing had to be turned: that proves little")
	}
}

// listener is a hand with ears alone: too high, turn up.
type listener struct {
	*stage
	heard  *ears
	stepHz float64

	heardLast float64  // offset at the last look, Hz
	turns     []string // what was done, to be told when it went wrong

	from     int     // frame from which on what is heard counts
	before   float64 // offset heard before the last turn
	turned   float64 // what that turn brings, Hz
	patience int     // frame up to which it may take to be heard

	byTurns bool   // key only while it is the hand's turn
	sheet   string // for that: the run's sheet
	looked  time.Time
	state   sim.State // when looked
}

// listen takes one look at the latest fifth of a second and turns the wheel.
func (l *listener) listen() {
	if l.byTurns && !l.takeTurns() {
		return
	}
	now := l.heard.frames()
	if now < l.from+pitchSpan {
		time.Sleep(20 * time.Millisecond)
		return
	}
	own := l.heard.ear(left, now-pitchSpan, pitchSpan)
	l.from = now + recordedRate/10 - pitchSpan // look again a tenth of a second on
	if !sounding(own) {
		l.do("keyup space")
		l.do("keydown space")
		l.from = now + recordedRate/2
		return
	}
	spoken, _ := pitch(own, 500, 900)
	back, above := pitch(l.heard.ear(right, now-pitchSpan, pitchSpan), 250, 2750)
	if above < 15 {
		return
	}
	off := back - spoken
	moved := math.Abs(off - l.heardLast)
	l.heardLast = off
	if moved >= steady {
		return // the last turn is still coming through, or just has
	}
	if now < l.patience && math.Abs(l.before-off) < math.Abs(l.turned)/2 {
		return // the last turn has not come through yet
	}
	notches := int(math.Round(off / l.stepHz))
	if math.Abs(off) < 0.6*l.stepHz {
		notches = 0
	}
	notches = max(-10, min(10, notches))
	if notches == 0 {
		return
	}
	button := 4 // wheel up: uplink up
	if notches < 0 {
		button = 5
	}
	l.turns = append(l.turns, fmt.Sprintf("at %.2f s heard %+.1f Hz and turned %d", float64(now)/recordedRate, off, notches))
	l.do("click --repeat %d --delay 25 %d", max(notches, -notches), button)
	l.before, l.turned = off, float64(notches)*l.stepHz
	l.patience = now + 3*recordedRate
}

// keying is a spell of the key in a sheet.
type keying struct{ from, to sim.Tick }

// keyed lists the spells in which the transmitter was on.
func keyed(sh *sim.Sheet) []keying {
	var spells []keying
	down := false
	for _, c := range sh.Commands {
		if c.Kind != sim.CommandKey {
			continue
		}
		switch {
		case c.Value != 0 && !down:
			spells = append(spells, keying{c.Tick, sh.End})
		case c.Value == 0 && down:
			spells[len(spells)-1].to = c.Tick
		}
		down = c.Value != 0
	}
	return spells
}

// offsets replays a sheet and returns the own offset at each tick, Hz.
func offsets(t *testing.T, sh *sim.Sheet) []float64 {
	t.Helper()
	e := make([]float64, sh.End)
	diff, err := sim.Replay(sh, 1, func(s *sim.State) { e[s.Tick] = s.OffsetHz })
	if err != nil || diff.What != "" {
		t.Fatalf("replay: %v %v", diff, err)
	}
	return e
}

// debriefed lets the program recompute a sheet, compares that with what the
// desk wrote into it, and returns the sheet.
func (s *stage) debriefed(path string) *sim.Sheet {
	s.t.Helper()
	sheet, err := trainer.ReadSheet(path)
	if err != nil {
		s.t.Fatal(err)
	}
	if !sheet.Ended || len(sheet.Marks) == 0 {
		s.t.Fatalf("the run left a sheet without marks: ended %v, marks %s", sheet.Ended, sheet.Marks)
	}
	var inSheet, again map[string]any
	if err := json.Unmarshal(sheet.Marks, &inSheet); err != nil {
		s.t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(s.run("debrief", "--out", "json", path)), &again); err != nil {
		s.t.Fatal(err)
	}
	if again["agrees"] != true {
		s.t.Errorf("debrief does not agree with the sheet: %v", again["differs"])
	}
	for name, v := range inSheet {
		a, _ := json.Marshal(v)
		b, _ := json.Marshal(again[name])
		if string(a) != string(b) {
			s.t.Errorf("%s: the sheet says %s, debrief %s", name, a, b)
		}
	}
	s.t.Logf("debrief recomputed %d marks of the sheet; hold index %v", len(inSheet), again["hold_index"])
	return sheet
}
