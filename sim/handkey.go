package sim

import (
	"strings"

	"driftdrill/sim/morse"
)

// MorseKey is how the operator sends Morse. It changes nothing on the air: what his
// key does stands among the commands. Zero values are what is usual.
type MorseKey struct {
	Kind    morse.Kind `json:"kind,omitempty"`
	Swapped bool       `json:"swapped,omitempty"` // the two paddles change places
	WPM     int        `json:"wpm,omitempty"`
	PitchHz float64    `json:"pitch_hz,omitempty"` // of sidetone and receiver, LowestPitchHz to HighestPitchHz
}

// Pitches of Morse that can be chosen, Hz.
const (
	LowestPitchHz  = 400.0
	HighestPitchHz = 1000.0
)

func (m *MorseKey) check(c *checker) {
	if m.WPM != 0 {
		c.within("morse.wpm", float64(m.WPM), morse.SlowestWPM, morse.FastestWPM)
	}
	if m.PitchHz != 0 {
		c.within("morse.pitch_hz", m.PitchHz, LowestPitchHz, HighestPitchHz)
	}
	if m.Kind != "" {
		c.one("morse.kind", string(m.Kind), string(morse.Straight), string(morse.IambicA), string(morse.IambicB))
	}
}

// breakInS is how long the transmitter waits for the next sign before the over has
// ended, s: more than the space between two words at 12 words per minute. Our choice.
const breakInS = 1.2

// handKey is the operator's carrier where he sends Morse himself: a paddle or a
// straight key at the desk gives CommandCarrier, sign by sign.
type handKey struct {
	allowed bool
	down    bool
	byHand  bool // this over is sent by hand
	until   Tick // the over lasts until then
	decoder morse.Decoder
	sent    SentText
}

// SentText is what the operator has sent last in Morse, as it was read; the newest
// letter stands last.
type SentText [24]byte

// String returns the text without the spaces round it.
func (t *SentText) String() string { return strings.TrimSpace(strings.Trim(string(t[:]), "\x00")) }

func (t *SentText) add(r rune) {
	copy(t[:], t[1:])
	t[len(t)-1] = byte(r)
}

// ends says whether the last letters are these.
func (t *SentText) ends(with string) bool {
	return with != "" && len(with) <= len(t) && string(t[len(t)-len(with):]) == with
}

// word returns the last word, up to the space that has just ended it.
func (t *SentText) word() string {
	b := t[:len(t)-1]
	i := len(b)
	for i > 0 && b[i-1] != ' ' && b[i-1] != 0 {
		i--
	}
	return string(b[i:])
}

func (k *handKey) start(s *Setup) {
	k.allowed = s.Voice() == "cw" && s.exerciseKind() == ExerciseNone
	k.decoder = morse.NewDecoder(TicksPerSecond)
}

func (k *handKey) apply(down bool) { k.down = k.allowed && down }

// tick moves on by one tick and says whether the over goes on.
func (k *handKey) tick(r *Run) bool {
	if !k.allowed {
		return false
	}
	if k.down {
		k.byHand, k.until = true, r.next+seconds(breakInS)
	}
	if c := k.decoder.Step(k.down); c != 0 {
		k.read(r, c)
	}
	return k.down || r.next < k.until
}

// read takes a letter or the end of a word that the operator has sent: his call
// identifies him, and what he says to another counts as said.
func (k *handKey) read(r *Run, c rune) {
	k.sent.add(c)
	if c != ' ' {
		if k.sent.ends(r.setup.Call) {
			r.dials.called = true
			r.air.others.player.say(SayCall)
		}
		return
	}
	if what := meant(k.sent.word()); what != 0 {
		r.air.others.player.say(what)
	}
}

// meant says what a word in Morse says, by the abbreviations of common practice; 0 = nothing
// that matters here.
func meant(word string) int64 {
	switch word {
	case "AGN", "AGN?", "?", "RPT":
		return SayAgain
	case "TU", "TNX", "TKS", "73", "TU73":
		return SayThanks
	case "AS":
		return SayStandBy
	}
	switch {
	case morseReport(word):
		return SayReport
	case (len(word) == 4 || len(word) == 6) && inRange(word[0], 'A', 'R') && inRange(word[1], 'A', 'R') && digit(word[2]) && digit(word[3]):
		return SayLocator
	}
	return 0
}

// morseReport says whether a word is a report, as 599 or, cut short, 5NN.
func morseReport(w string) bool {
	if len(w) != 2 && len(w) != 3 || !inRange(w[0], '1', '5') {
		return false
	}
	for i := 1; i < len(w); i++ {
		if !digit(w[i]) && w[i] != 'N' && w[i] != 'T' {
			return false
		}
	}
	return w != "73"
}

func digit(b byte) bool { return inRange(b, '0', '9') }

func inRange(b, low, high byte) bool { return low <= b && b <= high }

// The other stations on CW.
const (
	cwLowWPM, cwHighWPM = 12.0, 25.0
	cwShare             = 1.0 / 3 // of the downlink, from its lower edge, is theirs: common practice, the figure our choice
	cwFilterHz          = 250.0   // half of their filter
	cwGainDB            = 9.0     // by so much weaker than speech Morse is still read: 7 dB by the filter, 2 by the ear; our choice
	cwMissHz            = 200.0   // how far off a caller on CW may be
)

// cw says whether he sends Morse.
func (o *Other) cw() bool { return o.WPM > 0 }

// newMorse writes something that a station sends in Morse.
func newMorse(station int, wpm float64, words ...string) Script {
	text := strings.Join(words, " ")
	return Script{Station: uint8(station), Voice: "cw", Morse: text, WPM: wpm, Length: seconds(float64(morse.Dots(text)) * morse.DotS(wpm))}
}

// morseScripts are what a station on CW can send, in the order of sayCall and the
// rest, in the abbreviations of common practice.
func (o *Other) morseScripts(i int, own, to, digits, locator string) []Script {
	say := func(words ...string) Script { return newMorse(i, o.WPM, words...) }
	rst := digits + "9"
	return []Script{
		say("CQ CQ DE", o.Call, o.Call, "K"),
		say(own, "DE", o.Call, rst, rst, locator, "K"),
		say("AGN AGN DE", o.Call, "K"),
		say("R TU 73 DE", o.Call),
		say(to, "DE", o.Call, "UR", rst, rst, "LOC", locator, locator, "K"),
		say("R TNX", to, "DE", o.Call, "UR", rst, "K"),
		say(own, "DE", o.Call, o.Call, "K"),
		say("AGN QRG? DE", o.Call, "K"),
		say("QRL PSE QSY DE", o.Call),
		say(own, "K"),
	}
}

// cwBand says whether a drill has stations on CW, and with them the band plan.
func (s *Setup) cwBand() bool { return s.Drill.Traffic.CW > 0 }

// startShare is the place in the downlink, from its lower edge, 0 to 1, at which the
// operator begins where the drill names none.
func (s *Setup) startShare() float64 {
	if s.cwBand() && s.Drill.Voice == "cw" {
		return cwShare / 2
	}
	return 0.5
}

// slotBand is the part of the downlink in which a station has its place.
func (s *Setup) slotBand(o *Other) (low, high float64) {
	tr := s.transponder()
	low, high = tr.DownlinkLowHz+edgeHz, tr.DownlinkHighHz-edgeHz
	if !s.cwBand() {
		return low, high
	}
	border := tr.DownlinkLowHz + float64(cwShare*(tr.DownlinkHighHz-tr.DownlinkLowHz))
	if o.cw() {
		return low, border
	}
	return border, high
}

// cwOver is how much longer an over takes in Morse than in speech: our choice.
const cwOver = 2.4

// over is the length of an over of a hand that takes so long in speech, s.
func (s *Setup) over(speechS float64) Tick {
	if s != nil && s.cwBand() && s.Drill.Voice == "cw" {
		return seconds(float64(cwOver * speechS))
	}
	return seconds(speechS)
}

// cwClearHz is clearHz between two who send Morse, a filter and a half.
const cwClearHz = 750.0

// BothMorse says whether a station and the operator send Morse, and so need less room
// than voices.
func (s *Setup) BothMorse(i int) bool {
	return s.Drill.Voice == "cw" && i < len(s.Others) && s.Others[i].cw()
}

// clearOf is the spacing at which a station and the operator do not disturb each
// other, Hz.
func (s *Setup) clearOf(i int) float64 {
	if s != nil && s.BothMorse(i) {
		return cwClearHz
	}
	return clearHz
}
