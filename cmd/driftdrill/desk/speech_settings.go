//go:build !nodesk

package desk

import (
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// voiceWords are who can speak, in words.
var voiceWords = map[string]string{port.VoiceSystem: "the system's voice", port.VoiceBundled: "the bundled voice", port.VoiceService: "the speech service"}

// speechPart are the settings of what is spoken.
func (s *settingsPage) speechPart(a *App) []kit.Widget {
	apply := s.changed(a)
	var ws []kit.Widget
	if who := a.Cfg.Voices; a.Cfg.Speak != nil && len(who) > 1 {
		var words []string
		for _, w := range who {
			words = append(words, voiceWords[w])
		}
		ws = append(ws, &kit.Choice{Name: "spoken by", Words: words, At: placeOf(a.Set.Voice, who),
			Changed: func(i int) {
				a.Set.Voice = who[i]
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
