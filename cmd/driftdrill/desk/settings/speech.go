//go:build !nodesk

package settings

import (
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// voiceWords are who can speak, in words.
var voiceWords = map[string]string{port.VoiceSystem: "the system's voice", port.VoiceBundled: "the bundled voice", port.VoiceService: "the speech service"}

// speechPart are the settings of what is spoken.
func (s *settingsPage) speechPart(a *screen.App) []kit.Widget {
	apply := s.changed(a)
	var ws []kit.Widget
	if who := a.Cfg.Voices; a.Cfg.Speak != nil && len(who) > 1 {
		var words []string
		for _, w := range who {
			words = append(words, voiceWords[w])
		}
		ws = append(ws, &kit.Choice{Name: "spoken by", Words: words, At: screen.PlaceOf(a.Set.Voice, who),
			Changed: func(i int) {
				a.Set.Voice = who[i]
				apply()
				a.Speak("This is the voice now.")
			}})
	}
	return append(ws, &kit.Choice{Name: "pulses that tell how far off you are, where the drill helps", Words: []string{"with speech", "always", "never"},
		At: screen.PlaceOf(a.Set.OffsetSound, screen.OffsetChoices), Changed: func(i int) { a.Set.OffsetSound = screen.OffsetChoices[i]; apply() }})
}
