//go:build !nodesk

package desk

import (
	"fmt"
	"math"
	"strings"

	"driftdrill/sim"
)

// sentences joins texts into one that is spoken, each ended once.
func sentences(parts ...string) string {
	var out strings.Builder
	for _, p := range parts {
		p = strings.TrimSpace(p)
		if p == "" {
			continue
		}
		if out.Len() > 0 {
			out.WriteByte(' ')
		}
		out.WriteString(p)
		if !strings.ContainsRune(".?!:", rune(p[len(p)-1])) {
			out.WriteByte('.')
		}
	}
	return out.String()
}

// worder is a session that speaks bundled words within its own sound, where
// nothing else is cut off by them.
type worder interface{ Say(words ...string) int }

// teller is a scene that has something better to say than its last words.
type teller interface{ tellNow(a *App) string }

// speakAgain says where things stand, or the last words once more.
func (a *App) speakAgain() {
	if t, ok := a.Scenes.Top().(teller); ok {
		a.Speak(t.tellNow(a))
		return
	}
	a.Speak(a.said)
}

// guide tells the ears during a run what the window shows to the eyes. It
// speaks in the ears-only mode alone, and of the offset only where the drill
// allows an aid.
type guide struct {
	begun  bool
	told   sim.Tick // when the last word on the offset came
	trueAt sim.Tick // since when the voice is true; -1 = it is not
	off    bool     // "high" or "low" was said and no "true" since
	found  bool
	top    bool
	minute bool
	cued   bool // the pulses are on
}

// What the guide goes by: choices of this project.
const (
	guideOffHz   = 40.0                       // from here on the offset is told
	guideTrueHz  = 25.0                       // within it the voice counts as true
	guideEvery   = 2 * sim.TicksPerSecond     // between two words on the offset
	guideTrueFor = sim.TicksPerSecond * 3 / 4 // true for so long before it is said
)

func (g *guide) update(a *App, f *flying) {
	s, ab := &f.state, f.about
	if !g.begun {
		g.begun, g.found, g.trueAt = true, s.Found, -1
		g.top, g.minute = s.Tick > ab.TCA, false
		b := a.Set.Bindings
		a.Speak(fmt.Sprintf("%s on %s. Get ready. %s keys, %s and %s turn, %s tells where you are, %s pauses.", ab.DrillTitle, ab.Bird,
			b.NameOf(Key), Trigger.spoken("key:ArrowUp"), Trigger.spoken("key:ArrowDown"), b.NameOf(SpeakAgain), b.NameOf(Pause)))
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
	g.offset(a, f)
}

// offset says "high" or "low" now and then, and "true" once it is.
func (g *guide) offset(a *App, f *flying) {
	s := &f.state
	if !f.aidedByEar() || !s.Keyed {
		g.trueAt = -1
		return
	}
	off := math.Abs(s.OffsetHz)
	if off > guideTrueHz {
		g.trueAt = -1
	} else if g.trueAt < 0 {
		g.trueAt = s.Tick
	}
	switch {
	case g.off && g.trueAt >= 0 && s.Tick-g.trueAt > guideTrueFor:
		g.off = false
		g.word(a, f, "true")
	case off > guideOffHz && s.Tick-g.told > guideEvery:
		g.told, g.off = s.Tick, true
		word := "high"
		if s.OffsetHz < 0 {
			word = "low"
		}
		g.word(a, f, word)
	}
}

// aidedByEar tells whether the drill lets the offset be told now.
func (f *flying) aidedByEar() bool {
	return f.state.AidsOn && (f.about.Aids.Arrow || f.about.Aids.Ribbon)
}

// guideWords are the bundled words as a voice would say them.
var guideWords = map[string]string{"closest-approach": "closest approach", "one-minute": "one minute left"}

// word says one word within the sound of the run, or by the voice where that cannot.
func (g *guide) word(a *App, f *flying, word string) {
	if w, ok := f.ses.(worder); ok && w.Say(word) > 0 {
		return
	}
	a.Speak(orWord(guideWords[word], word))
}

// tellNow implements teller: what to do, how long, and how true it is.
func (f *flying) tellNow(*App) string {
	s := &f.state
	text := f.shown.Title + ". " + f.shown.Body + " "
	if s.PhaseLeft > 0 && (s.Phase == sim.PhaseTalk || s.Phase == sim.PhaseListen) {
		text += fmt.Sprintf("%.0f seconds left. ", s.PhaseLeft.Seconds())
	}
	if s.Exercise.Kind != sim.ExerciseNone {
		return text
	}
	if f.aidedByEar() {
		text += spokenOffset(s.OffsetHz) + " "
	}
	if t := f.about.TCA - s.Tick; t > 0 {
		text += "Closest approach in " + spokenTime(t) + ". "
	} else if t := f.about.LOS - s.Tick; t > 0 {
		text += "It sets in " + spokenTime(t) + ". "
	}
	return text + f.shown.Coach
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
	case s < 60:
		return fmt.Sprintf("%d seconds", s)
	case s < 120:
		return fmt.Sprintf("1 minute %d", s%60)
	}
	return fmt.Sprintf("%d minutes %d", s/60, s%60)
}
