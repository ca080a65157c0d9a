package sim

import (
	"slices"
	"testing"
)

// What a run was flown with is told only where it is not as usual.
func TestFlownWith(t *testing.T) {
	s := Setup{BirdFrom: "bundled", ElementsFrom: "bundled"}
	if got := s.FlownWith(); len(got) != 0 {
		t.Errorf("nothing of his own: %q", got)
	}
	s = Setup{BirdFrom: "own: knot-5.toml", ElementsFrom: "evening.tle", OwnVoice: VoiceLive, Knob: KnobTwoMovement}
	want := [][2]string{{"bird", "own: knot-5.toml"}, {"elements", "evening.tle"}, {"own voice", "live, by microphone"}, {"knob", "two radios, by movement"}}
	if got := s.FlownWith(); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	for _, v := range OwnVoices {
		if voiceWords[v] == "" {
			t.Errorf("voice %q has no words", v)
		}
	}
}

// The own voice takes the place of the drill's; speech says the call.
func TestOwnVoiceInPlaceOfTheDrills(t *testing.T) {
	s := Setup{}
	s.Drill.Voice = "tone"
	if s.Voice() != "tone" || s.SpeaksCall() {
		t.Errorf("a tone: %q, %t", s.Voice(), s.SpeaksCall())
	}
	if s.OwnVoice = VoiceRecorded; s.Voice() != VoiceRecorded || !s.SpeaksCall() {
		t.Errorf("a recording: %q, %t", s.Voice(), s.SpeaksCall())
	}
}
