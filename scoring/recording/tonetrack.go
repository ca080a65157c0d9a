package recording

import "math"

// Tracks: lines that go on from row to row.
const (
	trackGap   = 6    // rows without a line after which a track has ended: a pause of about a second
	trackHz    = 9.0  // by which a line may miss a track's course
	trackMore  = 5.0  // and more for each second without a line
	rateLines  = 20   // whose drift is a track's
	lineRows   = 8    // that make a straight line
	leastLines = 3    // rows with a line that make a track
	onShare    = 0.35 // of a track's usual amplitude from which the key is down
	onLeast    = 2.0  // amplitude over noise, and not lower than this
)

// toneTrack is one carrier for a while.
type toneTrack struct {
	first  int // row
	last   int // row with the last line
	lines  []toneLine
	seen   []bool
	on     []float32 // amplitude over noise, rowHops to a row
	seenIn int       // rows with a line
}

// toneTracker follows the carriers of one side.
type toneTracker struct {
	spectra *toneSpectra
	rate    func(timeS float64) float64 // of the pass; nil where it is not known
	row     int
	active  []*toneTrack
	done    []*toneTrack
}

func newToneTracker(rate func(float64) float64) *toneTracker {
	return &toneTracker{spectra: newToneSpectra(), rate: rate}
}

// rowHop is the hop in the middle of which a row lies.
func rowHop(row int) int { return row*rowHops - 1 }

func (t *toneTracker) add(x []complex64) {
	t.spectra.add(x)
	t.work(t.spectra.first + len(t.spectra.hops) - toneWide)
}

func (t *toneTracker) finish() {
	t.work(t.spectra.first + len(t.spectra.hops))
	for _, a := range t.active {
		t.end(a)
	}
	t.active = nil
}

// work makes the rows before a hop.
func (t *toneTracker) work(before int) {
	for ; rowHop(t.row) < before; t.row++ {
		t.step(t.spectra.lines(rowHop(t.row), t.rates()))
	}
	t.spectra.drop(rowHop(t.row) - toneWide - 1)
}

// rates are the drifts that are tried.
func (t *toneTracker) rates() []float64 {
	var out []float64
	if t.rate != nil {
		r := t.rate(float64(t.row) * RowS)
		for d := -2.0; d <= 2; d++ {
			out = append(out, r+d*toneStep)
		}
		return append(out, 0)
	}
	for r := -120.0; r <= 120; r += toneStep {
		out = append(out, r)
	}
	return out
}

// course is where a track leads to at a row.
func (t *toneTracker) course(a *toneTrack, row int) float64 {
	l := a.lines[a.last-a.first]
	rate := a.usualRate()
	if t.rate != nil {
		rate = t.rate(float64(row) * RowS)
	}
	return l.hz + rate*float64(row-a.last)*RowS
}

// usualRate is how fast a track's last lines moved: their straight line where
// they are enough for one, else the median of their own drifts.
func (a *toneTrack) usualRate() float64 {
	var r []float64
	var n, t1, t2, f1, tf float64
	for i := a.last - a.first; i >= 0 && len(r) < rateLines; i-- {
		if !a.seen[i] {
			continue
		}
		r = append(r, a.lines[i].rateHzS)
		t, f := float64(i)*RowS, a.lines[i].hz
		n, t1, t2, f1, tf = n+1, t1+t, t2+t*t, f1+f, tf+t*f
	}
	if d := t2 - t1*t1/n; n >= lineRows && d > 0 {
		return (tf - t1*f1/n) / d
	}
	return medianOf(r)
}

// step takes the lines of the next row.
func (t *toneTracker) step(lines []toneLine) {
	taken := make([]bool, len(lines))
	var going []*toneTrack
	for _, a := range t.active {
		gap := t.row - a.last
		want := t.course(a, t.row)
		best, miss := -1, trackHz+trackMore*float64(gap-1)*RowS
		for i, l := range lines {
			if d := math.Abs(l.hz - want); !taken[i] && d <= miss {
				best, miss = i, d
			}
		}
		if best >= 0 {
			taken[best] = true
			t.extend(a, &lines[best])
		} else if gap >= trackGap {
			t.end(a)
			continue
		} else {
			t.extend(a, nil)
		}
		going = append(going, a)
	}
	for i := range lines {
		if !taken[i] {
			a := &toneTrack{first: t.row}
			t.extend(a, &lines[i])
			going = append(going, a)
		}
	}
	t.active = going
}

// extend adds a row to a track: its line, or none.
func (t *toneTracker) extend(a *toneTrack, l *toneLine) {
	if l != nil {
		a.last = t.row
		a.seenIn++
		a.lines, a.seen = append(a.lines, *l), append(a.seen, true)
	} else {
		a.lines, a.seen = append(a.lines, toneLine{hz: t.course(a, t.row)}), append(a.seen, false)
	}
	here := a.lines[len(a.lines)-1]
	for k := range rowHops {
		h := rowHop(t.row) - rowHops/2 + k
		a.on = append(a.on, t.spectra.amplitude(h, here.hz+here.rateHzS*float64(k-rowHops/2)*toneHopS))
	}
}

// end keeps a track that is one.
func (t *toneTracker) end(a *toneTrack) {
	n := a.last - a.first + 1
	a.lines, a.seen, a.on = a.lines[:n], a.seen[:n], a.on[:n*rowHops]
	if a.seenIn >= leastLines {
		t.done = append(t.done, a)
	}
}

// level is the amplitude over noise from which a track's key is down.
func (a *toneTrack) level() float64 {
	x := make([]float64, len(a.on))
	for i, v := range a.on {
		x[i] = float64(v)
	}
	return math.Max(onLeast, onShare*quantile(x, 0.85))
}

// firstHop is the number of the hop that on begins with.
func (a *toneTrack) firstHop() int { return rowHop(a.first) - rowHops/2 }

// keying returns the track's key, hop by hop.
func (a *toneTrack) keying() []bool {
	level := float32(a.level())
	k := make([]bool, len(a.on))
	for i, v := range a.on {
		k[i] = v >= level
	}
	return k
}

// onHops are the first and last hop with the key down.
func (a *toneTrack) onHops() (first, last int) {
	first = -1
	for k, on := range a.keying() {
		if on {
			if last = a.firstHop() + k; first < 0 {
				first = last
			}
		}
	}
	return first, last
}

// onS is for how long the key was down.
func (a *toneTrack) onS() float64 {
	n := 0
	for _, k := range a.keying() {
		if k {
			n++
		}
	}
	return float64(n) * toneHopS
}

// middleHz is the median frequency, and how far the tracks's lines spread about it.
func (a *toneTrack) middleHz() (hz, spread float64) {
	var x []float64
	for i, l := range a.lines {
		if a.seen[i] {
			x = append(x, l.hz)
		}
	}
	return medianAndDeviation(x)
}
