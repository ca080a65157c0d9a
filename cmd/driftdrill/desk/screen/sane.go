//go:build !nodesk

package screen

import (
	"fmt"
	"slices"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim/morse"
)

// Sane returns settings with everything brought into range.
func Sane(s port.Settings) port.Settings {
	d := port.DefaultSettings()
	if !(s.TextScale >= 1 && s.TextScale <= 2.5) {
		s.TextScale = kit.Clamp(orElse(s.TextScale, 1), 1, 2.5)
	}
	s.Palette = kit.PaletteNamed(s.Palette).Name
	s.WheelNotches = kit.Clamp(orElse(s.WheelNotches, d.WheelNotches), 0.1, 10)
	s.DragNotches = kit.Clamp(orElse(s.DragNotches, d.DragNotches), 4, 200)
	s.StickDeadZone = kit.Clamp(orElse(s.StickDeadZone, d.StickDeadZone), 0.1, 0.9)
	if s.KnobStick != "left" {
		s.KnobStick = "right"
	}
	if s.SpeechRate == 0 {
		s.SpeechRate = d.SpeechRate
	}
	s.Voice, s.OffsetSound = oneOf(s.Voice, voiceChoices), oneOf(s.OffsetSound, OffsetChoices)
	s.SpeechRate = min(max(s.SpeechRate, port.SlowestSpeech), port.FastestSpeech)
	if s.StepHz != 10 && s.StepHz != 20 && s.StepHz != 50 && s.StepHz != 100 {
		s.StepHz = d.StepHz
	}
	s.ToneHz = kit.Clamp(orElse(s.ToneHz, d.ToneHz), 300, 1200)
	if !slices.Contains(morse.Kinds(), morse.Kind(s.MorseKey)) {
		s.MorseKey = d.MorseKey
	}
	if s.MorseWPM == 0 {
		s.MorseWPM = d.MorseWPM
	}
	s.MorseWPM = min(max(s.MorseWPM, morse.SlowestWPM), morse.FastestWPM)
	s.BufferMS = min(max(s.BufferMS, 0), 500)
	if len(s.OwnVoice) > 20 { // no name of a voice
		s.OwnVoice = ""
	}
	s.Levels = saneLevels(s.Levels)
	s.Bindings, _ = checkBindings(s.Bindings)
	return s
}

// orElse is v, or d where v is zero or no number.
func orElse(v, d float64) float64 {
	if v == 0 || v != v {
		return d
	}
	return v
}

// saneLevels brings levels into range, -60 to +12 dB; the balance has its own.
func saneLevels(l port.Levels) port.Levels {
	for _, v := range []*float64{&l.MasterDB, &l.SidetoneDB, &l.ReturnDB, &l.OthersDB, &l.NoiseDB} {
		*v = kit.Clamp(orElse(*v, 0), -60, 12)
	}
	l.BalanceDB = kit.Clamp(orElse(l.BalanceDB, 0), -port.BalanceEnd, port.BalanceEnd)
	if l.Region != "low" && l.Region != "middle" && l.Region != "high" {
		l.Region = ""
	}
	return l
}

var (
	voiceChoices = []string{port.VoiceSystem, port.VoiceBundled, port.VoiceService}
	// OffsetChoices are when pulses tell the offset, as in the settings.
	OffsetChoices = []string{port.OffsetSoundSpoken, port.OffsetSoundAlways, port.OffsetSoundNever}
)

// oneOf is v where it is one of the choices, else the first of them.
func oneOf(v string, choices []string) string { return choices[PlaceOf(v, choices)] }

// PlaceOf is where v stands among the choices; 0 where it does not.
func PlaceOf(v string, choices []string) int { return max(slices.Index(choices, v), 0) }

// checkBindings returns bindings without the triggers that cannot be read, and
// what was wrong with them. Whatever they were, menus keep the keys that they
// are delivered with and Esc pauses: nobody can lock himself out.
func checkBindings(b keys.Bindings) (keys.Bindings, []error) {
	out, errs := besides(b), []error(nil)
	for a, ts := range b {
		if _, known := out[a]; !known {
			errs = append(errs, fmt.Errorf("key bindings: there is no action %q; it is left out", string(a)))
			continue
		}
		var good []keys.Trigger
		for _, t := range ts {
			if err := kit.CheckTrigger(t); err != nil {
				errs = append(errs, err)
				continue
			}
			if t == wayOut && a != port.Pause && a != keys.Back {
				errs = append(errs, fmt.Errorf("key bindings: %s is kept for pause, not for %q", t.Name(), string(a)))
				continue
			}
			good = append(good, t)
		}
		if !isDeskAction(a) {
			for _, t := range out[a] {
				if !slices.Contains(good, t) {
					good = append(good, t)
				}
			}
		}
		out[a] = good
	}
	if !slices.Contains(out[port.Pause], wayOut) {
		out[port.Pause] = append(out[port.Pause], wayOut)
	}
	return out, errs
}

// besides are the bindings of the set that b comes from, for actions that b
// does not know yet; without keys on which b has something else.
func besides(b keys.Bindings) keys.Bindings {
	out := port.DefaultBindings()
	for _, set := range port.BindingSets() {
		if made := set.Make(); slices.Equal(made[port.TurnUp], b[port.TurnUp]) && slices.Equal(made[port.Key], b[port.Key]) {
			out = made
		}
	}
	for _, a := range port.DeskActions() {
		if _, known := b[a]; known {
			continue
		}
		out[a] = slices.DeleteFunc(out[a], func(t keys.Trigger) bool {
			return slices.ContainsFunc(port.DeskActions(), func(other keys.Action) bool { return slices.Contains(b[other], t) })
		})
	}
	return out
}

// wayOut always pauses a run and always leads back.
const wayOut keys.Trigger = "key:Escape"

func isDeskAction(a keys.Action) bool { return slices.Contains(port.DeskActions(), a) }

// BuffersMS are the sound buffers that can be chosen, ms; 0 = what runs clean
// on this system.
var BuffersMS = []int{0, 20, 40, 80, 160}
