package sim

import (
	"strings"

	"driftdrill/orbit"
)

// Script is one thing that a station says, as a row of bundled clips.
type Script struct {
	Station uint8 // index into Setup.Others of who says it
	Voice   string
	Clips   []Clip
	Length  Tick    // of all of it
	Morse   string  // what is sent in Morse, in place of clips; "" = he speaks
	WPM     float64 // of Morse
}

// Clip is one spoken word: a letter "a" to "z" by the phonetic alphabet, a
// digit, or a word of the trade.
type Clip struct {
	Name   string
	At     Tick // from the start of the script
	Length Tick // the time it may take
}

// Text returns a script as it would be written down.
func (s *Script) Text() string {
	if s.Morse != "" {
		return s.Morse
	}
	var b strings.Builder
	for i, c := range s.Clips {
		word := c.Name
		if len(word) == 1 {
			word = strings.ToUpper(word)
			if i > 0 && (len(s.Clips[i-1].Name) > 1 || c.At > s.Clips[i-1].At+s.Clips[i-1].Length) {
				b.WriteByte(' ')
			}
		} else if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(word)
	}
	return b.String()
}

// Lengths of clips: 0.55 s, 0.8 s for the long words, and 1.3 s for a sentence.
const (
	shortClip   = 110
	longClip    = 160
	longestClip = 260
	wordGap     = 50 // between two words that are spelled
)

func clipLength(name string) Tick {
	switch name {
	case "on-top", "off-frequency":
		return longestClip
	case "go-ahead", "please-move", "satellite", "locator", "listening", "seventy-three", "five-nine", "five-seven", "five-five", "report", "again", "thanks", "qrz":
		return longClip
	}
	return shortClip
}

// newScript puts words together; a word in capitals and digits is spelled.
func newScript(station int, voice string, words ...string) Script {
	s := Script{Station: uint8(station), Voice: voice}
	add := func(name string) {
		n := clipLength(name)
		s.Clips = append(s.Clips, Clip{Name: name, At: s.Length, Length: n})
		s.Length += n
	}
	for i, w := range words {
		if i > 0 && spelled(w) && spelled(words[i-1]) {
			s.Length += wordGap
		}
		if !spelled(w) {
			add(w)
			continue
		}
		for _, r := range strings.ToLower(w) {
			add(string(r))
		}
	}
	return s
}

// spelled says whether a word is a call or a locator.
func spelled(w string) bool {
	for _, r := range w {
		if (r < 'A' || r > 'Z') && (r < '0' || r > '9') {
			return false
		}
	}
	return w != ""
}

// Scripts of one station, in this order.
const (
	sayCall    = iota // his general call
	sayAnswer         // answers the operator with a report
	sayAgain          // asks the operator to say it again
	sayThanks         // thanks the operator and ends the contact
	sayOver           // an over to his partner
	sayReply          // another
	sayCallYou        // calls the operator
	sayOff            // could not understand him: he is off frequency
	sayMove           // asks the operator to go elsewhere
	sayRoll           // a net's control calls the operator
	scriptsOfOne
)

// writeScripts writes what each station can say.
func (s *Setup) writeScripts() []Script {
	var all []Script
	for i := range s.Others {
		o := &s.Others[i]
		to := s.Call
		if o.With >= 0 && o.With < len(s.Others) {
			to = s.Others[o.With].Call
		}
		locator := locatorOf(o.Site)
		report := reports[i%len(reports)].word
		if o.cw() {
			all = append(all, o.morseScripts(i, s.Call, to, reports[i%len(reports)].digits, locator)...)
			continue
		}
		all = append(all,
			newScript(i, o.Voice, "cq", "cq", "satellite", "de", o.Call, o.Call, "listening"),
			newScript(i, o.Voice, s.Call, "de", o.Call, "report", report, "locator", locator, "over"),
			newScript(i, o.Voice, "qrz", "again", "please", "de", o.Call),
			newScript(i, o.Voice, "roger", "thanks", "seventy-three", s.Call, "de", o.Call),
			newScript(i, o.Voice, to, "de", o.Call, "report", report, report, "locator", locator, locator, "over"),
			newScript(i, o.Voice, "roger", "thanks", to, "de", o.Call, "report", "again", report, "over"),
			newScript(i, o.Voice, s.Call, "de", o.Call, o.Call, "over"),
			newScript(i, o.Voice, "off-frequency", "again", "please", "de", o.Call),
			newScript(i, o.Voice, "on-top", "please-move", "de", o.Call),
			newScript(i, o.Voice, "net", s.Call, "go-ahead"),
		)
	}
	return all
}

// reports that stations give, as they are said and as they are written.
var reports = [...]struct{ word, digits string }{{"five-nine", "59"}, {"five-seven", "57"}, {"five-five", "55"}}

// Gives returns the report, as digits, and the locator that a station gives.
func (s *Setup) Gives(station int) (report, locator string) {
	return reports[station%len(reports)].digits, locatorOf(s.Others[station].Site)
}

// locatorOf returns a site's four-character locator.
func locatorOf(site orbit.Site) string { return strings.ToUpper(site.Locator(4)) }

// Scripts returns everything that the other stations can say. The list stays
// as it is for the whole run; Signal.Script is an index into it.
func (r *Run) Scripts() []Script { return r.air.others.scripts }
