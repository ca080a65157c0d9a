package onair

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/scoring/recording"
	"driftdrill/sim"
	"driftdrill/sim/card"
)

// flown flies a drill with a simulated hand and returns what a recording of it
// would tell, taken from the run's own physics, and its setup.
func flown(t *testing.T, drill, hand string, seed uint64) (*recording.Result, sim.Setup) {
	t.Helper()
	f := trainer.Flight{Drill: drill, Seed: seed}
	setup, err := f.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	setup.Hand = hand
	h, err := sim.NewHand(hand, setup.Seed, &setup)
	if err != nil {
		t.Fatal(err)
	}
	o, _, err := trainer.Rehearse(setup, h, (*trainer.HandedRun).Silently)
	if err != nil {
		t.Fatal(err)
	}
	return asRecorded(o.Trace), setup
}

// asRecorded is a trace as the measuring of a recording would give it.
func asRecorded(tr *scoring.Trace) *recording.Result {
	r := &recording.Result{Method: recording.ByMicrophone, Mic: recording.Left}
	noise := rand.New(rand.NewPCG(1, 2)) // of measuring, Hz
	const perRow = int(recording.RowS * sim.TicksPerSecond / float64(scoring.SampleTicks))
	for i := 0; i+perRow <= len(tr.Samples); i += perRow {
		s := &tr.Samples[i+perRow/2]
		row := recording.Row{TimeS: s.Tick.Seconds(), OffsetHz: math.NaN(), SNRDB: 20, RateHzS: s.RateHzS, Keyed: s.Keyed}
		if s.Keyed {
			row.OffsetHz, row.Confidence = s.OffsetHz+0.7*noise.NormFloat64(), 1
			if n := len(r.Overs); n == 0 || row.TimeS-r.Overs[n-1].ToS > 1 {
				r.Overs = append(r.Overs, recording.Over{FromS: row.TimeS})
			}
			r.Overs[len(r.Overs)-1].ToS = row.TimeS + recording.RowS
		}
		r.Rows = append(r.Rows, row)
		r.LengthS = row.TimeS + recording.RowS
	}
	return r
}

// birdOf is the bird of a setup with its plan.
func birdOf(t *testing.T, s *sim.Setup) card.Bird {
	t.Helper()
	return card.Bird{Elements: s.Elements, Plan: &s.Bird}
}

// The drift alone tells the pass of the day and when the recording began. What
// is held against it is the run's own clock and its physics in sim. LARK-1 goes
// over twice on that day in nearly the same way: then nothing is told for sure.
func TestGuessStart(t *testing.T) {
	for _, run := range []struct {
		drill string
		sure  bool
	}{{"low-overhead", false}, {"come-back", true}, {"weak-and-fading", true}} {
		t.Run(run.drill, func(t *testing.T) {
			result, setup := flown(t, run.drill, "regular", 5)
			c := &Contact{File: "pass.wav", Result: result}
			guesses, birds := guessesOf(t, c, &setup)
			at, sure := Best(guesses)
			if at < 0 {
				t.Fatal("nothing was told")
			}
			late := guesses[at].Start.Sub(setup.Start).Seconds()
			t.Logf("%d passes; %s, begun %+.0f s from the run's own clock; sure: %v", len(guesses), birds[at], late, sure)
			if birds[at] != setup.Elements.Label() || math.Abs(late) > 5 || sure != run.sure {
				t.Errorf("%s at %v, want %s at %v within 5 s", birds[at], guesses[at].Start, setup.Elements.Label(), setup.Start)
			}
		})
	}
}

// guessesOf looks for a contact in all passes of its day.
func guessesOf(t *testing.T, c *Contact, setup *sim.Setup) (guesses []Guess, birds []string) {
	t.Helper()
	day := setup.Start.UTC().Truncate(24 * time.Hour)
	sets, err := trainer.ReadBundledElements(trainer.BundledElements)
	if err != nil {
		t.Fatal(err)
	}
	known, _ := trainer.Flock{}.All()
	for _, e := range sets {
		b := card.Bird{Elements: e}
		if k := trainer.PlanOf(known, e); k != nil {
			b.Plan = &k.Bird
		}
		s := card.Search{Here: card.Place{Site: setup.Site}, From: day, To: day.Add(24 * time.Hour), Transponder: 1}
		passes, err := s.One(b)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range passes {
			g, ok, err := c.GuessStart(b, 1, setup.Site, p.Pass)
			if err != nil || !ok {
				t.Fatal(err, ok)
			}
			guesses, birds = append(guesses, g), append(birds, e.Label())
		}
	}
	return guesses, birds
}

// Of a recording that hardly tells a drift no pass is told for sure.
func TestGuessOfLittle(t *testing.T) {
	result, setup := flown(t, "first-hold", "regular", 5)
	c := &Contact{Result: result}
	c.Result.Rows = c.Result.Rows[:100]
	if _, ok, err := c.GuessStart(birdOf(t, &setup), 1, setup.Site, setup.Pass); ok || err != nil {
		t.Errorf("ten seconds tell where the pass is (%v)", err)
	}
	if at, sure := Best(nil); at != -1 || sure {
		t.Error("the best of none")
	}
	if _, sure := Best([]Guess{{Cost: 10, other: 12}}); sure {
		t.Error("a moment nearly as likely, and still sure")
	}
}

// What the pass tells of a run's sheet is what the run was set up with, and the
// drill that is made of it flies that pass again.
func TestConcludeAndFlyAgain(t *testing.T) {
	result, setup := flown(t, "slow-climb-voice", "regular", 3)
	c := &Contact{File: "/somewhere/hill.wav", Start: setup.Start, Result: result}
	if _, err := c.Correction(CommandHints); err == nil {
		t.Error("a correction without a pass")
	}
	if _, err := c.DrillText("fulmar-3", 20, 0, 60); err == nil {
		t.Error("a drill without a pass")
	}
	p, err := NewPass(birdOf(t, &setup), 1, setup.Site, setup.Start, 0)
	if err != nil {
		t.Fatal(err)
	}
	c.Pass = p
	c.Conclude(recording.ByHand, Dials{}, 20)
	if c.Marks == nil || c.Fit == nil || len(c.Worst) == 0 || len(c.Stretches()) != len(c.Worst) {
		t.Fatalf("%+v", c)
	}
	if c.Fit.HasLate && math.Abs(c.Fit.LateS) > math.Max(3*c.Fit.LateSD, 2) {
		t.Errorf("the clock is %.1f ± %.1f s off, and was right", c.Fit.LateS, c.Fit.LateSD)
	}
	lines := 0
	air := c.Report(CommandHints)
	for _, l := range air.Unsteered() {
		lines += len(l)
	}
	if lines == 0 {
		t.Error("no predicted drift over the offset")
	}
	s := c.Stretches()[0]
	text, err := c.DrillText("fulmar-3", 20, s[0], s[1])
	if err != nil {
		t.Fatal(err)
	}
	again := trainer.Again{Elements: setup.Elements, Source: "", Site: setup.Site, Pass: setup.Pass.TCA.UTC().Truncate(time.Second)}
	path, err := trainer.KeepAgain(t.TempDir(), "again hill 12", []byte(text), again)
	if err != nil {
		t.Fatal(err)
	}
	read, ok, err := trainer.ReadAgain(path)
	if err != nil || !ok {
		t.Fatal(ok, err)
	}
	f := read.Flight(path, trainer.Flock{})
	once, err := f.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	if d := once.Pass.TCA.Sub(setup.Pass.TCA).Abs(); d > time.Second || once.Bird.Name != setup.Bird.Name || len(once.Drill.Plan.AsKeyedS) == 0 {
		t.Errorf("flown again on %s %v away", once.Bird.Name, d)
	}
	want := setup.Start.Add(time.Duration(s[0] * float64(time.Second)))
	if d := once.Start.Sub(want); d < -3*time.Second || d > time.Minute {
		t.Errorf("it begins %v from the stretch", d)
	}
	own := trainer.OwnDrills(filepath.Dir(path))
	if len(own) != 1 || own[0].File != path || !strings.HasPrefix(own[0].From, "FULMAR-3") {
		t.Errorf("own drills: %+v", own)
	}
}

// A file that is no sound is told by its name, and a time at which nothing is
// up by what to do.
func TestTroubles(t *testing.T) {
	if _, err := Open(filepath.Join(t.TempDir(), "none.wav")); err == nil || !strings.Contains(err.Error(), "there is no file") {
		t.Error(err)
	}
	letter := filepath.Join(t.TempDir(), "letter.wav")
	if err := os.WriteFile(letter, []byte("Dear recorder, this is no sound at all."), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(letter); err == nil || !strings.HasPrefix(err.Error(), "letter.wav is not sound") {
		t.Error(err)
	}
	f := trainer.Flight{Drill: trainer.FirstDrill, Seed: 3}
	setup, err := f.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := NewPass(birdOf(t, &setup), 9, setup.Site, setup.Start, 0); err == nil || !strings.Contains(err.Error(), "transponder 9") {
		t.Error(err)
	}
	if _, err := NewPass(birdOf(t, &setup), 1, setup.Site, setup.Pass.LOS.Add(20*time.Minute), 0); err == nil {
		t.Error("a pass where nothing is up")
	}
}
