//go:build !nodesk

package flying

import (
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

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

// cueSession takes down whether the pulses are on.
type cueSession struct {
	*desktest.Session
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
		a := &screen.App{Cfg: &screen.Config{}}
		a.Set = port.DefaultSettings()
		a.Set.EarsOnly, a.Set.OffsetSound = c.ears, c.choice
		ses := &cueSession{Session: desktest.NewSession()}
		ses.Facts.Aids.Arrow, ses.Facts.Aids.Ribbon = c.helped, c.helped
		f := newFlying(ses, port.RunRequest{})
		f.guide.cue(a, f)
		if ses.cue != c.want {
			t.Errorf("%+v: pulses %v", c, ses.cue)
		}
	}
}

// In the exercise of the first move the ear is told of each bird whether it inverts.
func TestFirstMoveTellsTheBird(t *testing.T) {
	f := newFlying(desktest.NewSession(), port.RunRequest{})
	f.state.Exercise = sim.ExerciseState{Kind: sim.ExerciseFirstMove, Trial: 3, Trials: 10, Asking: true}
	f.about.Straight = []bool{false, false, true}
	f.shown = f.quiz.prompt(&f.state, f.about)
	if got := f.spokenCard(); got != "3 of 10. This bird does not turn the band over." {
		t.Errorf("%q", got)
	}
	if got := f.TellNow(&screen.App{}); !strings.Contains(got, "the first turn counts") || !strings.Contains(got, "does not turn the band over") {
		t.Errorf("%q", got)
	}
}

// An offset is told with its side, and within the tolerance it is true.
func TestOffsetInWords(t *testing.T) {
	for hz, want := range map[float64]string{120: "120 hertz too high.", -61: "61 hertz too low.", -12: "Your voice is true."} {
		if got := spokenOffset(hz); got != want {
			t.Errorf("%+.0f Hz: %q, want %q", hz, got, want)
		}
	}
}
