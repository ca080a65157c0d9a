//go:build !race

package main

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"testing"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// engineBody is a body in a run that goes as fast as its sound is made: what it
// hears has passed the limiter, what it does is posted as the desk posts it.
type engineBody struct {
	run    *trainer.HandedRun
	engine *audio.Engine
	heard  [2][]float64 // by ear, from frame gone on
	gone   int
	over   bool
}

func (b *engineBody) frames() int  { return b.gone + len(b.heard[left]) }
func (b *engineBody) flying() bool { return !b.over }

func (b *engineBody) ear(side, from, n int) []float64 {
	x := b.heard[side]
	from = min(max(0, from-b.gone), len(x))
	return x[from:min(from+n, len(x))]
}

// kept is how many frames the body remembers, at the least.
const kept = 5 * recordedRate

func (b *engineBody) rest() {
	var buf [2 * 960]float32
	n := b.engine.Fill(buf[:])
	if more := len(b.heard[left]) - kept; more > kept {
		b.gone += more
		for side, x := range b.heard {
			b.heard[side] = append(x[:0], x[more:]...)
		}
	}
	b.over = n < len(buf)/2
	for i := range n {
		b.heard[left] = append(b.heard[left], float64(buf[2*i]))
		b.heard[right] = append(b.heard[right], float64(buf[2*i+1]))
	}
}

func (b *engineBody) wheel(n int) { b.run.Post(sim.CommandKnob, int64(n)) }
func (b *engineBody) fast(n int)  { b.wheel(10 * n) }
func (b *engineBody) says()       { b.run.Post(sim.CommandSay, sim.SayCall) }
func (b *engineBody) press(down bool) {
	v := int64(0)
	if down {
		v = 1
	}
	b.run.Post(sim.CommandKey, v)
}

// lesson is a drill of the course, how a robot flies it by its card, and what a
// teacher would say to each afterwards, and why.
type lesson struct {
	drill       string
	seed        uint64 // 0 = the drill's own
	fly         func(r *robot)
	quick, slow []verdict
}

// verdict is a kind of advice, and the reason that a teacher would have for it.
type verdict struct{ kind, because string }

var fine = []verdict{
	{scoring.NoteClean, "it was true all the time: there is nothing to say but to go on to a harder pass"},
	{scoring.NoteKnob, "what is left is the step of its knob, and no hand does better with it"},
}

// The reasons are those of the project's own account of faults (scoring/MARKS.md):
// common practice, no published source.
var lessons = []lesson{
	{"first-hold", 0, func(r *robot) { r.hold(3.3) }, fine,
		[]verdict{{scoring.FaultLag, "it lets 75 Hz be, acts a second late, and the pass pulls one way only: it is off to that side all the time, and cures it by turning sooner"}}},
	{"come-back", 0, func(r *robot) { r.overs(3.2, 10, 20, 4) }, fine,
		[]verdict{{scoring.FaultLetGo, "it does not turn while it listens, twenty seconds each time, and comes back hundreds of hertz off: that costs it far more than its late hand"}}},
	{"cold-find", 0, func(r *robot) { r.search(); r.hold(0) }, fine,
		[]verdict{{scoring.FaultLongCall, "it searches with the key held down: on the air that is a carrier through everybody's contacts, and comes before how it holds"}}},
	{"busy-passband", 0, func(r *robot) { r.among() },
		[]verdict{{scoring.FaultContacts, "it holds itself true, in nobody's way, and calls nobody: the drill is about contacts"}},
		[]verdict{{scoring.FaultLag, "it is more than a hundred hertz off to the side to which the pass pulls: as long as nobody understands it, it need not call"},
			{scoring.FaultContacts, "it answers nobody, and the drill is about contacts"}}},
}

// flown lets a robot fly a lesson as the drill stands and returns what its debrief says.
func (l *lesson) flown(t *testing.T, seed uint64, skill robotSkill) (r *robot, d scoring.Debrief) {
	t.Helper()
	flight := trainer.Flight{Drill: l.drill, Seed: seed}
	setup, err := flight.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	setup.OwnVoice = "tone"
	voices, err := trainer.Voices()
	if err != nil {
		t.Fatal(err)
	}
	r = &robot{skill: skill, stepHz: 20}
	if setup.Drill.StepHz > 0 {
		r.stepHz = float64(setup.Drill.StepHz)
	}
	o, _, err := trainer.Rehearse(setup, nil, func(run *trainer.HandedRun) error {
		e, err := audio.NewEngine(run.Run, &setup, voices, audio.Config{OwnVoice: "tone", Headset: audio.Headset{Split: true}})
		r.body = &engineBody{run: run, engine: e}
		if err == nil {
			l.fly(r)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return r, o.Debrief
}

// judged holds what a debrief says against what a teacher would.
func (l *lesson) judged(t *testing.T, r *robot, d *scoring.Debrief) {
	t.Helper()
	t.Logf("%s, %s: index %.0f, RMS %.0f Hz, mean %+.0f, told %s: %s %s", l.drill, r.skill.name, d.HoldIndex, d.RMSHz, d.BiasHz, d.Advice.Kind, d.Advice.Headline, d.Advice.Detail)
	want := l.quick
	if !r.skill.feels {
		want = l.slow
	}
	if !slices.ContainsFunc(want, func(v verdict) bool { return v.kind == d.Advice.Kind }) {
		t.Errorf("%s, %s: told %s; a teacher would say one of %v\n%s", l.drill, r.skill.name, d.Advice.Kind, want, r.did)
	}
}

var (
	heldWords  = regexp.MustCompile(`You held (?:steadily )?(\d+) Hz too (high|low)`)
	backWords  = regexp.MustCompile(`You came back (\d+) Hz (high|low)`)
	driftWords = regexp.MustCompile(`(?:drifts(?: up to)?|pulls at) (\d+) Hz/s`)
)

// disputes fails the test where the line of advice says what is not as the robot
// itself heard it, or did it. Where the sound comes late, before a window, neither
// is what the sheet has.
func (r *robot) disputes(t *testing.T, l *lesson, d *scoring.Debrief) {
	t.Helper()
	line := d.Advice.Headline + " " + d.Advice.Detail
	dispute := func(format string, args ...any) {
		t.Helper()
		t.Errorf("%s, %s: %q, but "+format, append([]any{l.drill, r.skill.name, line}, args...)...)
	}
	side := func(name string, words *regexp.Regexp, heard []float64, middle func([]float64) float64) {
		m := words.FindStringSubmatch(line)
		if m == nil {
			return
		}
		told, _ := strconv.ParseFloat(m[1], 64)
		if m[2] == "low" {
			told = -told
		}
		if own := middle(heard); math.Abs(told-own) > 25+0.15*math.Abs(own) {
			dispute("%s %.0f Hz, + being high", name, own)
		}
	}
	settled := r.heard[min(len(r.heard), int(8/r.skill.everyS)):]
	side("it heard itself, on the average,", heldWords, settled, average)
	side("it heard itself, keying again,", backWords, r.backs[min(1, len(r.backs)):], median)
	if m := driftWords.FindStringSubmatch(line); m != nil {
		told, _ := strconv.ParseFloat(m[1], 64)
		if own := math.Abs(r.feel(8)); own > told+2 {
			dispute("it had to turn %.0f Hz/s on the average", own)
		}
	}
}

func average(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(max(1, len(x)))
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	x = slices.Sorted(slices.Values(x))
	return x[len(x)/2]
}

// A robot with ears and a wheel, which knows nothing else, flies four drills as they
// stand, as fast as their sound can be made, quick and exact and slow and coarse: the
// debrief says to each what a teacher would, its figures are what the robot heard
// itself, and the better hand has the higher index.
func TestRobotsByEar(t *testing.T) {
	if testing.Short() {
		t.Skip("27 minutes of sound")
	}
	for i := range lessons {
		l := &lessons[i]
		r, quick := l.flown(t, l.seed, quickAndExact)
		l.judged(t, r, &quick)
		r.disputes(t, l, &quick)
		r, slow := l.flown(t, l.seed, slowAndCoarse)
		l.judged(t, r, &slow)
		r.disputes(t, l, &slow)
		if quick.HoldIndex < slow.HoldIndex+100 {
			t.Errorf("%s: the better hand has %.0f, the other %.0f", l.drill, quick.HoldIndex, slow.HoldIndex)
		}
	}
}
