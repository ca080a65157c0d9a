package recording

import (
	"math"
	"strings"
)

// morse is the code of letters and figures (ITU-R M.1677-1).
var morse = map[rune]string{
	'A': ".-", 'B': "-...", 'C': "-.-.", 'D': "-..", 'E': ".", 'F': "..-.", 'G': "--.", 'H': "....", 'I': "..",
	'J': ".---", 'K': "-.-", 'L': ".-..", 'M': "--", 'N': "-.", 'O': "---", 'P': ".--.", 'Q': "--.-", 'R': ".-.",
	'S': "...", 'T': "-", 'U': "..-", 'V': "...-", 'W': ".--", 'X': "-..-", 'Y': "-.--", 'Z': "--..",
	'0': "-----", '1': ".----", '2': "..---", '3': "...--", '4': "....-", '5': ".....", '6': "-....",
	'7': "--...", '8': "---..", '9': "----.", '/': "-..-.",
}

// Sendable tells whether a call can be sent in Morse code.
func Sendable(call string) bool {
	for _, c := range strings.ToUpper(call) {
		if morse[c] == "" {
			return false
		}
	}
	return call != ""
}

// dots is a text as the key is held, dot by dot.
func dots(text string) []bool {
	var out []bool
	add := func(down bool, n int) {
		for range n {
			out = append(out, down)
		}
	}
	for i, c := range strings.ToUpper(text) {
		if c == ' ' {
			add(false, 4)
			continue
		}
		if i > 0 {
			add(false, 2)
		}
		for k, e := range morse[c] {
			if k > 0 {
				add(false, 1)
			}
			add(true, map[rune]int{'.': 1, '-': 3}[e])
		}
		add(false, 1)
	}
	return out
}

// Recognition of a call.
const (
	fastestDot = 0.03 // s: 40 words a minute
	slowestDot = 0.15 // 8
	dotRatio   = 1.04
	callAlike  = 0.6  // correlation from which a call is sent
	deAlike    = 0.4  // and of the DE before it, which makes it the own
	deSlack    = 4    // hops that it may lie beside its place
	sureCall   = 0.65 // of a call without DE
)

// keyShape is how far a key sounds in each short spectrum when it sends a text.
func keyShape(text string, dotS float64) []float64 {
	d := dots(text)
	n := int(float64(len(d))*dotS/toneHopS) + 1
	shape := make([]float64, n)
	const parts = 10
	for k := range shape {
		for p := range parts { // the middle half of the window
			at := (float64(k) - 0.5 + (float64(p)+0.5)/parts) * toneHopS
			if i := int(at / dotS); at >= 0 && i < len(d) && d[i] {
				shape[k] += 1.0 / parts
			}
		}
	}
	return shape
}

// envelope is a chain's amplitude by hops, 0..1 from its first.
func (c toneChain) envelope() []float64 {
	from := c[0].firstHop()
	var e []float64
	for _, a := range c {
		level := a.level() * 1.3
		for k, v := range a.on {
			i := a.firstHop() - from + k
			for len(e) <= i {
				e = append(e, 0)
			}
			if i >= 0 {
				e[i] = math.Max(e[i], math.Min(1, float64(v)/level))
			}
		}
	}
	return e
}

// match is the correlation of a shape with an envelope from one hop on.
func match(e, shape []float64, at int) float64 {
	var n, x1, x2, y1, y2, xy float64
	for k, y := range shape {
		if i := at + k; i >= 0 && i < len(e) {
			x := e[i]
			n, x1, x2, y1, y2, xy = n+1, x1+x, x2+x*x, y1+y, y2+y*y, xy+x*y
		}
	}
	d := (x2 - x1*x1/n) * (y2 - y1*y1/n)
	if n < float64(len(shape))*0.9 || d <= 1e-9 {
		return 0
	}
	return (xy - x1*y1/n) / math.Sqrt(d)
}

// callIn is how well an envelope holds a call, and a DE right before it.
func callIn(e []float64, call string) (alone, withDE float64) {
	for dot := fastestDot; dot <= slowestDot; dot *= dotRatio {
		shape, de := keyShape(call, dot), keyShape("DE", dot)
		before := len(keyShape("DE ", dot)) + int(2*dot/toneHopS)
		for at := 0; at+len(shape) <= len(e)+2; at++ {
			r := match(e, shape, at)
			if r < callAlike {
				continue
			}
			alone = math.Max(alone, r)
			for s := -deSlack; s <= deSlack; s++ {
				if d := match(e, de, at-before+s); d > deAlike {
					withDE = math.Max(withDE, r*d)
				}
			}
		}
	}
	return alone, withDE
}

// callersOf finds what a station with a call sends: where DE comes before the
// call, else where one chain alone holds it; a partner sends it too.
func callersOf(chains []toneChain, call string) (own []*toneTrack) {
	with, alone := []int{}, []int{}
	for i, c := range chains {
		a, d := callIn(c.envelope(), call)
		if d > 0 {
			with = append(with, i)
		}
		if a >= sureCall {
			alone = append(alone, i)
		}
	}
	if len(with) == 0 && len(alone) == 1 {
		with = alone
	}
	for _, i := range with {
		own = append(own, chains[i]...)
	}
	return own
}
