//go:build !nodesk

package flying

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// worder is a session that speaks bundled words within its own sound, where
// nothing else is cut off by them.
type worder interface{ Say(words ...string) int }

// guide tells the ears during a run what the window shows to the eyes. It
// speaks in the ears-only mode alone, and of the offset only where the drill
// allows an aid.
type guide struct {
	begun  bool
	told   sim.Tick // when the last word on the offset came
	trueAt sim.Tick // since when the voice is true; never = it is not
	off    bool     // "high" or "low" was said and no "true" since
	found  bool
	top    bool
	minute bool
	cued   bool // the pulses are on
	onBird bool // the antenna was on the bird when it was last told
	aimed  sim.Tick
	coach  string // the coach's line as it was spoken
}

// What the guide goes by: choices of this project.
const (
	guideOffHz    = 40.0                       // from here on the offset is told
	guideTrueHz   = 25.0                       // within it the voice counts as true
	guideEvery    = 2 * sim.TicksPerSecond     // between two words on the offset
	guideAimEvery = 8 * sim.TicksPerSecond     // between two words on the antenna
	guidePulsed   = 8 * sim.TicksPerSecond     // between two words on the offset while pulses tell it
	guideTrueFor  = sim.TicksPerSecond * 3 / 4 // true for so long before it is said
)

func (g *guide) update(a *screen.App, f *flying) {
	s, ab := &f.state, f.about
	if !g.begun {
		g.begun, g.found, g.trueAt = true, s.Found, never
		g.top, g.minute = s.Tick > ab.TCA, false
		b := a.Set.Bindings
		if ab.Bench != nil && !s.Bench.Above {
			a.Speak(f.greetBench(a))
			return
		}
		a.Speak(fmt.Sprintf("%s on %s. Get ready. %s keys, %s and %s turn, %s tells where you are, %s pauses.", ab.DrillTitle, ab.Bird,
			b.NameOf(port.Key), b.SpokenOf(port.TurnUp), b.SpokenOf(port.TurnDown), b.NameOf(port.SpeakAgain), b.NameOf(port.Pause)))
	}
	g.cue(a, f)
	if !a.Set.EarsOnly || s.Exercise.Kind != sim.ExerciseNone {
		return
	}
	if s.Found && !g.found {
		g.found = true
		g.word(a, f, "found")
	}
	if !g.top && s.Tick >= ab.TCA && ab.TCA > ab.Start {
		g.top = true
		g.word(a, f, "closest-approach")
	}
	if left := ab.LOS - s.Tick; !g.minute && left > 0 && left < 60*sim.TicksPerSecond && ab.End >= ab.LOS-sim.TicksPerSecond {
		g.minute = true
		g.word(a, f, "one-minute")
	}
	g.advise(a, f)
	g.aim(a, f)
	g.offset(a, f)
}

// advise speaks the coach's line where it is about what happens now.
func (g *guide) advise(a *screen.App, f *flying) {
	now := f.shown.Note
	if now == f.about.Coach {
		now = ""
	}
	if now != g.coach {
		if g.coach = now; now != "" {
			a.Speak(now)
		}
	}
}

// aim tells when the hand antenna comes on the bird, and where the bird is once
// it has gone off.
func (g *guide) aim(a *screen.App, f *flying) {
	s := &f.state
	if !f.about.AimTask || s.Tick-g.aimed < guideAimEvery {
		return
	}
	switch {
	case !g.onBird && s.AimErrorDeg <= aimGoalDeg:
		g.onBird, g.aimed = true, s.Tick
		a.Speak("The antenna is on the bird.")
	case s.AimErrorDeg > 1.6*aimGoalDeg:
		g.onBird, g.aimed = false, s.Tick
		a.Speak(spokenAim(s))
	}
}

// offset says "high" or "low" now and then, and "true" once it is.
func (g *guide) offset(a *screen.App, f *flying) {
	s := &f.state
	if !f.aidedByEar() || !s.Keyed {
		g.trueAt = never
		return
	}
	off := math.Abs(s.OffsetHz)
	if off > guideTrueHz {
		g.trueAt = never
	} else if g.trueAt == never {
		g.trueAt = s.Tick
	}
	switch {
	case g.off && g.trueAt != never && s.Tick-g.trueAt > guideTrueFor:
		g.off = false
		g.word(a, f, "true")
	case off > guideOffHz && s.Tick-g.told > g.every():
		g.told, g.off = s.Tick, true
		word := "high"
		if s.OffsetHz < 0 {
			word = "low"
		}
		g.word(a, f, word)
	}
}

// every is how often a word on the offset comes: seldom where pulses tell it.
func (g *guide) every() sim.Tick {
	if g.cued {
		return guidePulsed
	}
	return guideEvery
}

// aidedByEar tells whether the drill lets the offset be told now.
func (f *flying) aidedByEar() bool {
	return f.state.AidsOn && (f.about.Aids.Arrow || f.about.Aids.Ribbon)
}

// guideWords are the bundled words as a voice would say them.
var guideWords = map[string]string{"closest-approach": "closest approach", "one-minute": "one minute left"}

// word says one word within the sound of the run, or by the voice where that cannot.
func (g *guide) word(a *screen.App, f *flying, word string) {
	if w, ok := f.ses.(worder); ok && w.Say(word) > 0 {
		return
	}
	a.Speak(cmp.Or(guideWords[word], word))
}

// TellNow implements teller: what to do, how long, and how true it is.
func (f *flying) TellNow(a *screen.App) string {
	s := &f.state
	if f.bench.open {
		return f.tellBench()
	}
	text := spokenPrompt(f.shown) + " "
	if s.PhaseLeft > 0 && (s.Phase == sim.PhaseTalk || s.Phase == sim.PhaseListen) {
		text += fmt.Sprintf("%.0f seconds left. ", s.PhaseLeft.Seconds())
	}
	if s.Exercise.Kind != sim.ExerciseNone {
		return kit.Sentences(text, f.shown.Note, f.spokenAnswers(a.Set.Bindings))
	}
	if f.aidedByEar() {
		said := spokenOffset(s.OffsetHz)
		if f.about.Morse {
			said = strings.Replace(said, "Your voice is true.", "Your tone is true.", 1)
		}
		text += said + " "
	}
	if f.about.AimTask {
		text += spokenAim(s) + " "
	}
	if s.Contacts > 0 {
		text += "Contacts made: " + strconv.Itoa(s.Contacts) + ". "
	}
	if t, what := f.nextEvent(); t > 0 {
		text += map[string]string{"until it rises": "It rises in ", "to the top": "Closest approach in ", "until it sets": "It sets in ", "to the end": "The run ends in "}[what] + spokenTime(t) + ". "
	}
	return text + f.shown.Note
}

// spokenPrompt is the card without the seconds that run on it: a countdown
// would be said anew each second.
func spokenPrompt(p kit.Sheet) string {
	title := spokenTitle(p)
	return kit.Sentences(title, p.Body)
}

func spokenTitle(p kit.Sheet) string {
	title, _, _ := strings.Cut(p.Title, " · ")
	return title
}

// spokenCard is the card as it is said by itself. From the second question of
// an exercise on its number will do: the ears are needed for the return.
func (f *flying) spokenCard() string {
	said, e := spokenPrompt(f.shown), &f.state.Exercise
	if e.Kind != sim.ExerciseNone && e.Trial > 1 {
		said = spokenTitle(f.shown) + "."
	}
	if e.Kind == sim.ExerciseFirstMove && e.Asking { // which way the bird turns the band, what the first turn hangs on
		said = kit.Sentences(said, f.shown.Note)
	}
	return said
}

// spokenAnswers says how an exercise is answered without a look at its buttons.
func (f *flying) spokenAnswers(b keys.Bindings) string {
	switch f.state.Exercise.Kind {
	case sim.ExerciseHear:
		return kit.UpperStart(b.SpokenOf(keys.MenuUp)) + ": too high. " + kit.UpperStart(b.SpokenOf(keys.MenuDown)) + ": too low. " + kit.UpperStart(b.SpokenOf(keys.MenuRight)) + ": true."
	case sim.ExerciseFault:
		text := "The answers are: "
		for i, c := range f.quiz.answers {
			text += fmt.Sprintf("%d, %s. ", i+1, c.Text)
		}
		return text
	}
	return ""
}

// spokenAim says where the bird stands from where the antenna points, and how
// the elements lie.
func spokenAim(s *sim.State) string {
	right := math.Round(math.Remainder(s.Look.AzimuthDeg-s.AntennaAzimuthDeg, 360))
	up := math.Round(math.Max(s.Look.ElevationDeg, 0) - s.AntennaElevationDeg)
	if s.AimErrorDeg <= aimGoalDeg/2 {
		return fmt.Sprintf("The antenna is on the bird, twist %.0f degrees.", s.AntennaTwistDeg)
	}
	side, height := "right", "up"
	if right < 0 {
		side, right = "left", -right
	}
	if up < 0 {
		height, up = "down", -up
	}
	return fmt.Sprintf("The bird is %.0f degrees to the %s and %.0f degrees %s of the antenna, twist %.0f degrees.", right, side, up, height, s.AntennaTwistDeg)
}

func spokenOffset(hz float64) string {
	switch off := math.Abs(hz); {
	case off <= guideTrueHz:
		return "Your voice is true."
	case hz > 0:
		return fmt.Sprintf("%.0f hertz too high.", off)
	default:
		return fmt.Sprintf("%.0f hertz too low.", off)
	}
}

func spokenTime(t sim.Tick) string {
	s := int(t.Seconds())
	switch {
	case s == 1:
		return "1 second"
	case s < 60:
		return fmt.Sprintf("%d seconds", s)
	case s < 120:
		return fmt.Sprintf("1 minute %d", s%60)
	}
	return fmt.Sprintf("%d minutes %d", s/60, s%60)
}

// pulses tells whether the offset is to be told by pulses.
func pulses(s *port.Settings) bool {
	return s.OffsetSound == port.OffsetSoundAlways || s.OffsetSound == port.OffsetSoundSpoken && s.EarsOnly
}

// cuer is a session that can tell the offset by pulses.
type cuer interface{ SetCue(on bool) }

// cue turns the pulses on where they are wished and the drill allows an aid.
func (g *guide) cue(a *screen.App, f *flying) {
	on := pulses(&a.Set) && (f.about.Aids.Arrow || f.about.Aids.Ribbon)
	if c, ok := f.ses.(cuer); ok && on != g.cued {
		g.cued = on
		c.SetCue(on)
	}
}
