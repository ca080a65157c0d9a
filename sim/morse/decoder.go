package morse

// Decoder reads what a key sends. It learns its speed from the lengths of the last
// marks, so that 5 to 40 words per minute are read as they come, and works in whole
// numbers: the same keying gives the same text on every processor.
type Decoder struct {
	ticksPerSecond int

	down  bool
	since int // ticks in this state
	marks [12]int
	n     int // marks seen, in all
	word  [maxSigns]int
	signs int
	open  bool // a letter has been read since the last space
}

// maxSigns is more than any letter has.
const maxSigns = 8

// NewDecoder makes a decoder for so many ticks a second.
func NewDecoder(ticksPerSecond int) Decoder { return Decoder{ticksPerSecond: ticksPerSecond} }

// Step takes the key of one tick and returns a letter that is complete now, a space
// where a word has ended, '*' for what is no letter, or 0.
func (d *Decoder) Step(down bool) rune {
	if down == d.down {
		d.since++
		if !down {
			return d.pause()
		}
		return 0
	}
	if !down {
		d.mark(d.since)
	}
	d.down, d.since = down, 1
	return 0
}

// mark takes a mark that has ended.
func (d *Decoder) mark(length int) {
	d.marks[d.n%len(d.marks)] = length
	d.n++
	if d.signs < maxSigns {
		d.word[d.signs] = length
	}
	d.signs++
}

// pause looks whether a letter or a word has ended.
func (d *Decoder) pause() rune {
	two := d.twoDots()
	switch {
	case d.signs > 0 && d.since >= two:
		r := d.letter(two)
		d.signs, d.open = 0, true
		return r
	case d.open && 2*d.since >= 5*two:
		d.open = false
		return ' '
	}
	return 0
}

// firstDots is what two dots are taken to last while nothing is known, in
// thousandths of a second: between the dot of 12 words per minute, 100 ms, and the
// dash of 30, 120 ms.
const firstDots = 105

// twoDots is the length, ticks, that parts dots from dashes, and spaces inside a
// letter from those behind it.
func (d *Decoder) twoDots() int {
	n := min(d.n, len(d.marks))
	first := firstDots * d.ticksPerSecond / 1000
	if n == 0 {
		return first
	}
	short, long := d.marks[0], d.marks[0]
	for _, m := range d.marks[1:n] {
		short, long = min(short, m), max(long, m)
	}
	if 2*long < 4*short { // all of one kind
		mean := (short + long) / 2
		if mean < first {
			return 2 * mean
		}
		return 2 * mean / DashDots
	}
	// Dots and dashes: between the longest of the ones and the shortest of the others.
	// The shortest is always among the dots and the longest among the dashes.
	dots, nd, dashes, nh := 0, 0, 0, 0
	for _, m := range d.marks[:n] {
		if 2*m < short+long {
			dots, nd = dots+m, nd+1
		} else {
			dashes, nh = dashes+m, nh+1
		}
	}
	return (dots/nd + dashes/nh) / 2
}

// letter reads the letter that has ended.
func (d *Decoder) letter(two int) rune {
	if d.signs > maxSigns {
		return '*'
	}
	var text [maxSigns]byte
	for i, m := range d.word[:d.signs] {
		text[i] = '.'
		if m >= two {
			text[i] = '-'
		}
	}
	if r, ok := signs[string(text[:d.signs])]; ok {
		return r
	}
	return '*'
}
