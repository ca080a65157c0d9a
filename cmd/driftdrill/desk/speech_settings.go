//go:build !nodesk

package desk

import (
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// speechPart are the settings of what is spoken.
func (s *settingsPage) speechPart(a *App) []kit.Widget {
	apply := s.changed(a)
	var ws []kit.Widget
	if a.Cfg.Speak != nil && a.Cfg.TwoVoices {
		ws = append(ws, &kit.Choice{Name: "spoken by", Words: []string{"the system's voice", "the bundled voice"}, At: placeOf(a.Set.Voice, voiceChoices),
			Changed: func(i int) {
				a.Set.Voice = voiceChoices[i]
				apply()
				a.Speak("This is the voice now.")
			}})
	}
	return append(ws, &kit.Choice{Name: "pulses that tell how far off you are, where the drill helps", Words: []string{"with speech", "always", "never"},
		At: placeOf(a.Set.OffsetSound, offsetChoices), Changed: func(i int) { a.Set.OffsetSound = offsetChoices[i]; apply() }})
}

// pulses tells whether the offset is to be told by pulses.
func pulses(s *port.Settings) bool {
	return s.OffsetSound == port.OffsetSoundAlways || s.OffsetSound == port.OffsetSoundSpoken && s.EarsOnly
}

// cuer is a session that can tell the offset by pulses.
type cuer interface{ SetCue(on bool) }

// cue turns the pulses on where they are wished and the drill allows an aid.
func (g *guide) cue(a *App, f *flying) {
	on := pulses(&a.Set) && (f.about.Aids.Arrow || f.about.Aids.Ribbon)
	if c, ok := f.ses.(cuer); ok && on != g.cued {
		g.cued = on
		c.SetCue(on)
	}
}
