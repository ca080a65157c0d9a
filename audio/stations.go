package audio

import (
	"fmt"
	"slices"
)

// phrase is what another station says in one over.
type phrase uint8

const (
	sayCQ     phrase = iota // a general call
	sayAnswer               // an answer to a call
	sayReport               // a report
	sayThanks               // the end of a contact
	phraseCount
)

// stationVoice speaks the phrases of another station.
type stationVoice struct {
	clipVoice
	phrases [phraseCount][]*clip
	next    phrase
}

// say chooses what restart begins.
func (s *stationVoice) say(p phrase) { s.next = p }

func (s *stationVoice) restart() {
	s.clips = s.phrases[s.next%phraseCount]
	s.clipVoice.restart()
}

// stationGapS is the pause before a phrase is repeated.
const stationGapS = 0.9

// station gives another station its voice. Without recordings it sings.
func (v *Voices) station(i int, o OtherScene, own string) (voice, error) {
	if v == nil {
		f := 105 + 13*float64(i)
		return newClipVoice(0.4, sungVowel(f, 4.5+0.3*float64(i), 0.02, vowelAh)), nil
	}
	speaker := o.Voice
	if !slices.Contains(v.speakers, speaker) {
		speaker = v.speakers[i%len(v.speakers)]
	}
	words := [phraseCount][]string{
		sayCQ:     slices.Concat([]string{"cq", "this-is"}, spelt(o.Call), spelt(o.Call), []string{"standing-by"}),
		sayAnswer: slices.Concat(spelt(own), []string{"this-is"}, spelt(o.Call), []string{"over"}),
		sayReport: slices.Concat(spelt(own), []string{"report", "over"}),
		sayThanks: slices.Concat(spelt(own), []string{"thanks"}, spelt(o.Call)),
	}
	s := &stationVoice{clipVoice: *newClipVoice(stationGapS)}
	for p := range words {
		for _, w := range words[p] {
			c, err := v.clip(speaker, w)
			if err != nil {
				return nil, fmt.Errorf("voice of %s: %w", o.Call, err)
			}
			s.phrases[p] = append(s.phrases[p], c)
		}
	}
	s.restart()
	return s, nil
}

// phonetic is the international spelling alphabet (ITU Radio Regulations, Appendix 14).
var phonetic = [...]string{"alfa", "bravo", "charlie", "delta", "echo", "foxtrot", "golf", "hotel", "india", "juliett",
	"kilo", "lima", "mike", "november", "oscar", "papa", "quebec", "romeo", "sierra", "tango", "uniform", "victor",
	"whiskey", "xray", "yankee", "zulu"}

// spelt gives the clips that spell a call; other characters fall away.
func spelt(call string) []string {
	var words []string
	for _, r := range call {
		switch {
		case r >= 'A' && r <= 'Z':
			words = append(words, phonetic[r-'A'])
		case r >= 'a' && r <= 'z':
			words = append(words, phonetic[r-'a'])
		case r >= '0' && r <= '9':
			words = append(words, string(r))
		}
	}
	return words
}
