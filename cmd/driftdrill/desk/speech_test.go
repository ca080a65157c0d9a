//go:build !nodesk

package desk

import (
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// hearing puts the ears-only mode on and writes down what is said.
func hearing(s *stage) *[]string {
	var said []string
	s.app.Set.EarsOnly = true
	s.app.Cfg.Speak = func(text string) { said = append(said, text) }
	return &said
}

// The bird's place as seen from the antenna, on either side and over north.
func TestAntennaIsToldByEar(t *testing.T) {
	for _, c := range []struct {
		az, el, birdAz, birdEl, off float64
		want                        string
	}{
		{350, 20, 10, 30, 21, "20 degrees to the right and 10 degrees up"},
		{10, 30, 350, 20, 21, "20 degrees to the left and 10 degrees down"},
		{100, 10, 101, 11, 1.4, "on the bird"},
	} {
		s := sim.State{AntennaAzimuthDeg: c.az, AntennaElevationDeg: c.el, AimErrorDeg: c.off}
		s.Look.AzimuthDeg, s.Look.ElevationDeg = c.birdAz, c.birdEl
		if got := spokenAim(&s); !strings.Contains(got, c.want) {
			t.Errorf("antenna %v %v, bird %v %v: %q", c.az, c.el, c.birdAz, c.birdEl, got)
		}
	}
}

// A countdown on the card is not spoken second by second.
func TestCountdownIsSaidOnce(t *testing.T) {
	a, b := spokenPrompt(kit.Sheet{Title: "3 of 20 · 0:09", Body: "Too high?"}), spokenPrompt(kit.Sheet{Title: "3 of 20 · 0:08", Body: "Too high?"})
	if a != b || a != "3 of 20. Too high?" {
		t.Errorf("%q and %q", a, b)
	}
}

// The key that says it again tells the whole result, with figures and units.
func TestResultIsToldByOneKey(t *testing.T) {
	kittest.NeedWindow(t)
	s := newStage(t, 1280, 720, 1, "night")
	said := hearing(s)
	for _, sc := range scenes {
		if sc.name == "debrief" {
			sc.put(s)
		}
	}
	s.app.speakAgain()
	text := (*said)[len(*said)-1]
	for _, want := range []string{"Held 812", "not yet", "One notch every second", "hand rating 56 ± 7", "back after listening: 3.9 s", "turned / needed: 1.3 times"} {
		if !strings.Contains(strings.ToLower(text), strings.ToLower(strings.TrimPrefix(want, "One "))) {
			t.Errorf("%q is not told: %s", want, text)
		}
	}
}

// cueSession takes down whether the pulses are on.
type cueSession struct {
	*fakeSession
	cue bool
}

func (c *cueSession) SetCue(on bool) { c.cue = on }

// Pulses come with speech, always or never, and only where the drill helps.
func TestPulsesAreWhereTheyAreWished(t *testing.T) {
	for _, c := range []struct {
		choice       string
		ears, helped bool
		want         bool
	}{
		{port.OffsetSoundSpoken, true, true, true}, {port.OffsetSoundSpoken, false, true, false}, {port.OffsetSoundAlways, false, true, true},
		{port.OffsetSoundNever, true, true, false}, {port.OffsetSoundAlways, true, false, false},
	} {
		a := &App{Cfg: &Config{}}
		a.Set = port.DefaultSettings()
		a.Set.EarsOnly, a.Set.OffsetSound = c.ears, c.choice
		ses := &cueSession{fakeSession: newFakeSession()}
		ses.about.Aids.Arrow, ses.about.Aids.Ribbon = c.helped, c.helped
		f := newFlying(ses, port.RunRequest{})
		f.guide.cue(a, f)
		if ses.cue != c.want {
			t.Errorf("%+v: pulses %v", c, ses.cue)
		}
	}
}

// A row of a list is told with its place.
func TestListsTellThePlace(t *testing.T) {
	l := kit.List{Name: "Passes", Count: 12, At: 2, Say: func(int) string { return "LARK-1" }}
	if got := l.Spoken(); got != "Passes. LARK-1. 3 of 12." {
		t.Errorf("%q", got)
	}
}

// Text is told sign by sign.
func TestSignsAreTold(t *testing.T) {
	for _, c := range [][2]string{{"j", "J"}, {"50.", "5 0 dot"}, {"a b", "A space B"}, {"", ""}} {
		if got := kit.SignsAloud(c[0]); got != c[1] {
			t.Errorf("%q: %q, want %q", c[0], got, c[1])
		}
	}
}

// In the exercise of the first move the ear is told of each bird whether it inverts.
func TestFirstMoveTellsTheBird(t *testing.T) {
	f := newFlying(newFakeSession(), port.RunRequest{})
	f.state.Exercise = sim.ExerciseState{Kind: sim.ExerciseFirstMove, Trial: 3, Trials: 10, Asking: true}
	f.about.Straight = []bool{false, false, true}
	f.shown = f.quiz.prompt(&f.state, f.about)
	if got := f.spokenCard(); got != "3 of 10. This bird does not turn the band over." {
		t.Errorf("%q", got)
	}
	if got := f.tellNow(nil); !strings.Contains(got, "the first turn counts") || !strings.Contains(got, "does not turn the band over") {
		t.Errorf("%q", got)
	}
}
