package audio

import (
	"math"
	"strings"
)

// morse is the code of ITU-R M.1677-1, section 1.1, for what is sent here.
var morse = map[rune]string{
	'A': ".-", 'B': "-...", 'C': "-.-.", 'D': "-..", 'E': ".", 'F': "..-.", 'G': "--.", 'H': "....",
	'I': "..", 'J': ".---", 'K': "-.-", 'L': ".-..", 'M': "--", 'N': "-.", 'O': "---", 'P': ".--.",
	'Q': "--.-", 'R': ".-.", 'S': "...", 'T': "-", 'U': "..-", 'V': "...-", 'W': ".--", 'X': "-..-",
	'Y': "-.--", 'Z': "--..",
	'1': ".----", '2': "..---", '3': "...--", '4': "....-", '5': ".....", '6': "-....", '7': "--...",
	'8': "---..", '9': "----.", '0': "-----",
	'.': ".-.-.-", ',': "--..--", ':': "---...", '?': "..--..", '\'': ".----.", '-': "-....-", '/': "-..-.",
	'(': "-.--.", ')': "-.--.-", '"': ".-..-.", '=': "-...-", '+': ".-.-.", '@': ".--.-.",
}

// keying is one stretch of key down or up, in dots.
type keying struct {
	down bool
	dots int
}

// keyed gives the keying of a text by M.1677-1: a dash is three dots, inside
// a letter the key is up for one, between letters for three, between words
// and after the text for seven. Unknown characters are left out.
func keyed(text string) []keying {
	var k []keying
	for _, word := range strings.Fields(strings.ToUpper(text)) {
		for _, r := range word {
			code := morse[r]
			for _, c := range code {
				n := 1
				if c == '-' {
					n = 3
				}
				k = append(k, keying{true, n}, keying{false, 1})
			}
			if code != "" {
				k[len(k)-1].dots = 3
			}
		}
		if len(k) > 0 {
			k[len(k)-1].dots = 7
		}
	}
	return k
}

// cwEdge is the length of the rise and fall of the keyed carrier: 5 ms, half
// a cosine, so that it stays narrow and does not click.
const cwEdge = SampleRate / 200

var cwShape = func() (t [cwEdge + 1]float32) {
	for i := range t {
		t[i] = float32(0.5 - 0.5*math.Cos(math.Pi*float64(i)/cwEdge))
	}
	return t
}()

// cwVoice sends a text in Morse, again and again.
type cwVoice struct {
	tone  *toneVoice
	keys  []keying
	dot   int // samples at 48 kHz
	at    int
	left  int
	level int // in cwShape
}

// cwUsualWPM is the speed where none is given.
const cwUsualWPM = 15

// newCW makes a voice that sends text on an audio pitch in Hz (0: the carrier
// itself) at a speed in words per minute: a dot lasts 1.2/WPM s.
func newCW(text string, wpm, pitchHz float64) *cwVoice {
	if !(wpm >= 3 && wpm <= 60) {
		wpm = cwUsualWPM
	}
	c := &cwVoice{tone: newTone(pitchHz), keys: keyed(text), dot: int(math.Round(1.2 / wpm * SampleRate))}
	c.restart()
	return c
}

func (c *cwVoice) restart() {
	c.at = 0
	if len(c.keys) > 0 {
		c.left = c.keys[0].dots * c.dot
	}
}

func (c *cwVoice) fill(re, im []float32) {
	c.tone.fill(re, im)
	im = im[:len(re)]
	for i := range re {
		down := len(c.keys) > 0 && c.keys[c.at].down
		if down && c.level < cwEdge {
			c.level++
		} else if !down && c.level > 0 {
			c.level--
		}
		g := cwShape[c.level]
		re[i] *= g
		im[i] *= g
		if len(c.keys) == 0 {
			continue
		}
		if c.left--; c.left <= 0 {
			c.at = (c.at + 1) % len(c.keys)
			c.left = c.keys[c.at].dots * c.dot
		}
	}
}
