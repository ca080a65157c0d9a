package sim

import "strings"

// voiceWords are the voices that an operator may choose, in words.
var voiceWords = map[string]string{"tone": "a tone", "whistle": "a whistle", "vowel": "a sung vowel", "cw": "Morse", "call": "the bundled speaker's call",
	VoiceRecorded: "a recording of his own", VoiceLive: "live, by microphone"}

// FlownWith names in words what a run was flown with that the drill does not
// decide: pairs of what it is and which one. It names only what is other than
// usual: a bird or elements of the operator's own, his voice, a radio at the knob.
func (s *Setup) FlownWith() [][2]string {
	var out [][2]string
	add := func(name, what string) {
		if what != "" && !strings.HasPrefix(what, "bundled") {
			out = append(out, [2]string{name, what})
		}
	}
	add("bird", s.BirdFrom)
	add("elements", s.ElementsFrom)
	add("own voice", voiceWords[s.OwnVoice])
	add("knob", string(s.Knob))
	return out
}
