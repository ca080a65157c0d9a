//go:build e2e && linux

package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/scoring"
)

// robot has ears, a wheel, a key, and a watch that starts with the first sound. It
// knows what the drill's card says, and nothing else: no sheet, no snapshot.
type robot struct {
	*stage
	heard *ears
	app   *background
	skill robotSkill

	counted, sounded int // frames that its watch has looked at, and those of them in which there was sound

	down   bool    // its finger is on the key
	keyed  int     // frame at which it went down,
	keyedS float64 // and its watch
	next   int     // frame of the next look
	last   float64 // offset at the last look
	before float64 // offset before the last turn, which was to lower it by so much,
	turned float64
	wait   int // and may take up to this frame to be heard
	stepHz float64
	turns  []turning
	did    string // to be told when it went wrong
}

// turning is one turn of the wheel: when, s, and by how much it lowered the offset, Hz.
type turning struct{ at, hz float64 }

// robotSkill is how well a robot hears and turns: figures of our own choice.
type robotSkill struct {
	name    string
	everyS  float64 // between looks
	lateS   float64 // it acts on what it heard so long ago, and does not wait for what comes of a turn
	letBeHz float64 // what it lets be
	part    float64 // of what it hears that it turns by
	feels   bool    // it turns on by feel while it listens, and searches with short calls
}

var (
	quickAndExact = robotSkill{"quick and exact", 0.1, 0, 12, 1, true}
	slowAndCoarse = robotSkill{"slow and coarse", 1.6, 0.9, 75, 0.7, false}
)

// now is the watch, s of sound since the first: where the sound ran dry, on a
// busy machine, the run stood still as well. What is heard is never quite silent.
func (r *robot) now() float64 {
	to := r.heard.frames()
	l, right := r.heard.ear(left, r.counted, to-r.counted), r.heard.ear(right, r.counted, to-r.counted)
	for i := range right {
		if l[i] != 0 || right[i] != 0 {
			r.sounded++
		}
	}
	r.counted += len(right)
	return float64(r.sounded) / recordedRate
}

// starts waits for the first sound.
func (r *robot) starts(from int) {
	r.t.Helper()
	at := -1
	r.until("the first sound", func() bool {
		at = slices.IndexFunc(r.heard.ear(right, from, r.heard.frames()-from), func(v float64) bool { return math.Abs(v) > 1e-5 })
		return at >= 0
	})
	r.counted = from + at
}

// leadS is by how much, s, the quick one turns ahead of what it hears.
const leadS = 0.5

// key works the key.
func (r *robot) key(down bool) {
	if r.down == down {
		return
	}
	if r.down = down; down {
		r.do("keydown space")
		r.keyed, r.keyedS = r.heard.frames(), r.now()
	} else {
		r.do("keyup space")
	}
}

// hears is how far off its own tone comes back, Hz, as it was heard a while ago.
func (r *robot) hears(agoS float64) (off float64, ok bool) {
	at := r.heard.frames() - pitchSpan - int(agoS*recordedRate)
	if at < r.keyed {
		return 0, false
	}
	own := r.heard.ear(left, at, pitchSpan)
	if !sounding(own) {
		return 0, false
	}
	back, above := pitch(r.heard.ear(right, at, pitchSpan), 250, 2750)
	return back - ownToneHz, above >= 15
}

// look takes a look and turns, if it is time to.
func (r *robot) look() {
	if r.heard.frames() < r.next {
		time.Sleep(20 * time.Millisecond)
		return
	}
	r.next = r.heard.frames() + int(r.skill.everyS*recordedRate)
	off, ok := r.hears(r.skill.lateS)
	moved := math.Abs(off - r.last)
	if r.last = off; !ok {
		return
	}
	if r.skill.lateS == 0 && (moved >= 2*steady || r.heard.frames() < r.wait && math.Abs(r.before-off) < math.Abs(r.turned)/2) {
		return // its last turn is still coming through
	}
	if r.skill.feels { // what comes back is a while old, and the pass goes on pulling
		off += max(-40, min(40, leadS*r.feel(max(r.now()-5, r.keyedS+1.5))))
	}
	if math.Abs(off) >= max(r.skill.letBeHz, 0.6*r.stepHz) {
		r.before, r.turned = off, r.turn(r.skill.part*off, off)
		r.wait = r.heard.frames() + 2*recordedRate
	}
}

// turn turns the wheel so that the offset falls by so much, and returns by how much it does.
func (r *robot) turn(hz, heard float64) float64 {
	n := max(-15, min(15, int(math.Round(hz/r.stepHz))))
	if n == 0 {
		return 0
	}
	button := 4
	if n < 0 {
		button = 5
	}
	r.do("click --repeat %d --delay 15 %d", max(n, -n), button)
	r.turns = append(r.turns, turning{r.now(), float64(n) * r.stepHz})
	r.note("heard %+.0f Hz, turned %d", heard, n)
	return float64(n) * r.stepHz
}

// note writes down what it did.
func (r *robot) note(format string, args ...any) {
	r.did += fmt.Sprintf("%.2f s: "+format+"\n", append([]any{r.now()}, args...)...)
}

// feel is how fast it had to turn in the last seconds of its own time, Hz/s.
func (r *robot) feel(from float64) float64 {
	sum := 0.0
	for _, t := range r.turns {
		if t.at > from {
			sum += t.hz
		}
	}
	return sum / max(1, r.now()-from)
}

// hold keys from a moment of its watch until the program ends.
func (r *robot) hold(fromS float64) {
	for r.app.running() {
		if r.now() < fromS {
			time.Sleep(20 * time.Millisecond)
			continue
		}
		r.key(true)
		r.look()
	}
	r.key(false)
}

// overs talks and listens by its watch, as the card says.
func (r *robot) overs(fromS, talkS, listenS float64) {
	rate, owed, last := 0.0, 0.0, 0.0
	for r.app.running() {
		at := math.Mod(r.now()-fromS, talkS+listenS)
		switch {
		case r.now() < fromS:
			time.Sleep(20 * time.Millisecond)
		case at < talkS:
			r.key(true)
			r.look()
			if at > 4 {
				rate = r.feel(r.now() - at + 3)
			}
			last = r.now()
		default:
			r.key(false)
			time.Sleep(50 * time.Millisecond)
			if r.skill.feels {
				owed += rate * (r.now() - last)
				if n := math.Trunc(owed / r.stepHz); n != 0 {
					owed -= n * r.stepHz
					r.turn(n*r.stepHz, 0)
				}
			}
			last = r.now()
		}
	}
	r.key(false)
}

// own tells whether its own tone comes back: heard twice, in one place, while it is keyed.
func (r *robot) own() bool {
	a, first := r.hears(0)
	b, second := r.hears(0.15)
	return first && second && math.Abs(a-b) < 25
}

// search looks for its own tone. The quick one says its call and keys short at
// 0, +1, -1, +2, -2 kHz; the other holds the key down and turns, up and back.
func (r *robot) search() {
	for r.now() < 5.2 {
		time.Sleep(20 * time.Millisecond)
	}
	placed, sweep := 0, 1
	for stop := 0; r.app.running(); stop++ {
		if r.skill.feels {
			want := 2 * ((stop + 1) / 2) // fast notches of 500 Hz
			if stop%2 == 0 {
				want = -want
			}
			for ; placed < want; placed++ {
				r.do("key Prior")
			}
			for ; placed > want; placed-- {
				r.do("key Next")
			}
			if stop == 0 {
				r.do("key 1")
			}
			r.note("looks at %+.1f kHz", float64(placed)/2)
		}
		r.key(true)
		for until := r.now() + 1.4; r.now() < until && r.app.running(); time.Sleep(50 * time.Millisecond) {
			if r.now()-r.keyedS > 0.5 && r.own() {
				r.note("hears itself")
				return
			}
			if !r.skill.feels { // some 350 Hz a second
				r.do("click %d", 4+(1-sweep)/2)
				if placed += sweep; placed > 80 || placed < -80 {
					sweep = -sweep
				}
				time.Sleep(90 * time.Millisecond)
			}
		}
		if r.skill.feels {
			r.key(false)
			time.Sleep(300 * time.Millisecond)
		}
	}
}

// among flies where others talk. The quick one makes short overs, when it hears
// nobody; the other talks on.
func (r *robot) among() {
	talk, pause := 5.0, 6.0
	if !r.skill.feels {
		talk, pause = 15, 3
	}
	r.silence(5.2)
	for r.app.running() {
		for r.skill.feels && r.voices() && r.app.running() {
			time.Sleep(100 * time.Millisecond)
		}
		r.over(talk)
		r.silence(r.now() + pause)
	}
	r.key(false)
}

// over keys for so long and keeps itself true.
func (r *robot) over(seconds float64) {
	r.key(true)
	for until := r.now() + seconds; r.now() < until && r.app.running(); {
		r.look()
	}
	r.key(false)
}

// silence waits until its watch says so much.
func (r *robot) silence(untilS float64) {
	for r.now() < untilS && r.app.running() {
		time.Sleep(20 * time.Millisecond)
	}
}

// voices tells whether somebody is heard now, its own key being up: speech stands
// out of the noise by its harmonics, in two of the last four fifths of a second.
func (r *robot) voices() bool {
	n := 0
	for k := range 4 {
		at := r.heard.frames() - (k+1)*pitchSpan
		if _, above := pitch(r.heard.ear(right, at, pitchSpan), 300, 2700); above > 24 {
			n++
		}
	}
	return n >= 2
}

// lesson is a drill of the course, shortened, and what a teacher would say after it.
type lesson struct {
	drill   string
	seed    string
	stepHz  float64
	shorter map[string]string // of its file
	fly     func(r *robot)
	quick   []string // kinds of advice: what he would say to the quick and exact one, who lags where the machine carries the sound late
	slow    []string
}

// Come back: the quick one turns on by what it last had to turn. Where the machine
// carries the sound late, its catching up after a listen is still among that: it
// feels more drift than there is, comes back on the other side more often than not,
// and is told so. It did turn too far; a teacher would say the same.
// At 60 Hz/s, where Cold find is flown, also a quick hand that waits for each of its turns
// to come through is told to listen closer.
var lessons = []lesson{
	{"first-hold", "1", 20, map[string]string{"length_s = 300": "length_s = 32", "after_s = 260": "after_s = 440"}, func(r *robot) { r.hold(3.3) },
		[]string{scoring.NoteClean, scoring.NoteKnob, scoring.FaultLag}, []string{scoring.FaultLag}},
	{"come-back", "6", 20, map[string]string{"talk_s = 10": "talk_s = 7", "listen_s = 20": "listen_s = 11", "overs = 5": "overs = 4", "last_s = 30": "last_s = 7", "length_s = 170": "length_s = 70"},
		func(r *robot) { r.overs(3.2, 7, 11) }, []string{scoring.NoteClean, scoring.NoteKnob, scoring.FaultLag, scoring.FaultOverLead}, []string{scoring.FaultLetGo, scoring.FaultLag}},
	{"cold-find", "9", 50, map[string]string{"length_s = 150": "length_s = 50", "talk_s = 20": "talk_s = 12"}, func(r *robot) { r.search(); r.hold(0) },
		[]string{scoring.NoteClean, scoring.NoteKnob, scoring.FaultLag, scoring.FaultLoose}, []string{scoring.FaultLongCall, scoring.FaultSlowFind, scoring.FaultNotFound}},
	{"busy-passband", "2", 50, map[string]string{"length_s = 200": "length_s = 45"}, func(r *robot) { r.among() },
		[]string{scoring.FaultContacts}, []string{scoring.FaultNotFound, scoring.FaultContacts, scoring.FaultOnOthers}},
}

// file writes the lesson's drill.
func (l *lesson) file(s *stage) string {
	s.t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "assets", "drills", l.drill+".toml"))
	if err != nil {
		s.t.Fatal(err)
	}
	drill := string(text)
	for from, to := range l.shorter {
		if !strings.Contains(drill, from) {
			s.t.Fatalf("%s has no %q", l.drill, from)
		}
		drill = strings.Replace(drill, from, to, 1)
	}
	path := filepath.Join(s.dir, l.drill+".toml")
	s.write(path, drill)
	return path
}

// flown lets a robot fly a lesson and returns what the program's debrief says.
func (l *lesson) flown(s *stage, skill robotSkill) (d scoring.Debrief) {
	s.t.Helper()
	heard := s.listen()
	from, sheet := heard.frames(), filepath.Join(s.dir, l.drill+".jsonl")
	r := &robot{stage: s, heard: heard, skill: skill, stepHz: l.stepHz}
	r.app = s.start(s.program, "fly", "--drill", l.file(s), "--seed", l.seed, "--voice", "tone", "--sheet", sheet, "--quit-at-end", "--audio", "device", "--device-ms", "100")
	r.app.begin()
	s.window(r.app)
	r.starts(from)
	l.fly(r)
	r.app.endedWell()
	if err := json.Unmarshal([]byte(s.run("debrief", "--unrated", "--out", "json", sheet)), &d); err != nil {
		s.t.Fatal(err)
	}
	s.t.Logf("%s, %s: index %.0f, RMS %.0f Hz, mean %+.0f, told %s: %s %s", l.drill, skill.name, d.HoldIndex, d.RMSHz, d.BiasHz, d.Advice.Kind, d.Advice.Headline, d.Advice.Detail)
	if !d.Agrees {
		s.t.Errorf("%s: the sheet does not agree: %s", l.drill, d.Differs)
	}
	want := l.quick
	if !skill.feels {
		want = l.slow
	}
	if !slices.Contains(want, d.Advice.Kind) {
		s.t.Errorf("%s, %s: told %s, a teacher would say one of %v\n%s", l.drill, skill.name, d.Advice.Kind, want, r.did)
	}
	return d
}

// A robot with ears and a wheel flies four drills, quick and exact and slow and
// coarse, on two displays at once. The debrief says to each what a teacher
// would, and the better hand has the higher index. They hear a real sound server,
// no two flights are the same, and the line of advice may be another good one:
// `make robots` flies them, what must hold before every change does not.
func TestRobots(t *testing.T) {
	index := map[string][]float64{}
	skills := []robotSkill{slowAndCoarse, quickAndExact}
	t.Run("flights", func(t *testing.T) {
		got := make([][]float64, len(skills))
		for i, skill := range skills {
			t.Run(skill.name, func(t *testing.T) {
				t.Parallel()
				s := newStage(t)
				s.settings(port.Settings{Levels: port.Levels{Split: true}, WheelNotches: 1, StepHz: 20, Welcomed: true})
				for k := range lessons {
					got[i] = append(got[i], lessons[k].flown(s, skill).HoldIndex)
				}
			})
		}
		t.Cleanup(func() {
			for i := range skills {
				index[skills[i].name] = got[i]
			}
		})
	})
	slow, quick := index[slowAndCoarse.name], index[quickAndExact.name]
	for k := range min(len(slow), len(quick)) {
		if quick[k] <= slow[k] {
			t.Errorf("%s: the better hand has %.0f, the other %.0f", lessons[k].drill, quick[k], slow[k])
		}
	}
}
