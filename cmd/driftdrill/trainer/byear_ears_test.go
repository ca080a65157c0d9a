package trainer

import (
	"math"
	"slices"

	"driftdrill/audio"
	"driftdrill/sim"

	"gonum.org/v1/gonum/dsp/fourier"
)

// What the pilot's ears are made of: sound at 8 kHz in frames of 64 ms, half
// overlapping, 15.6 Hz a bin, within the receiver's filter of 300 to 2700 Hz.
const (
	earRate     = 8000
	earDecimate = 48000 / earRate
	earBlock    = 160
	earFrame    = 512
	earHop      = 256
	earLow      = 24  // 375 Hz
	earHigh     = 168 // 2625 Hz
	earBand     = earHigh - earLow
)

// heardSound is what both ears have heard so far, as samples and as spectra.
type heardSound struct {
	left, right   []float64
	lefts, rights spectra
}

// spectra are the spectra of one ear: the logarithm of each bin's magnitude.
type spectra struct {
	fft  *fourier.FFT
	rows [][]float64
}

func (s *spectra) take(x []float64) {
	if s.fft == nil {
		s.fft = fourier.NewFFT(earFrame)
	}
	var buf [earFrame]float64
	for at := len(s.rows) * earHop; at+earFrame <= len(x); at += earHop {
		for i := range buf {
			buf[i] = x[at+i] * (0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/earFrame))
		}
		row := make([]float64, earFrame/2)
		for k, c := range s.fft.Coefficients(nil, buf[:])[:earFrame/2] {
			row[k] = math.Log(math.Hypot(real(c), imag(c)) + 1e-3)
		}
		s.rows = append(s.rows, row)
	}
}

// take takes stereo samples at 48 kHz.
func (h *heardSound) take(x []float32) {
	for i := 0; i+2*earDecimate <= len(x); i += 2 * earDecimate {
		l, r := 0.0, 0.0
		for k := range earDecimate {
			l, r = l+float64(x[i+2*k]), r+float64(x[i+2*k+1])
		}
		h.left, h.right = append(h.left, l/earDecimate), append(h.right, r/earDecimate)
	}
	h.lefts.take(h.left)
	h.rights.take(h.right)
}

func (h *heardSound) seconds() float64 { return float64(len(h.right)) / earRate }

// ownOffset is by how many hertz one's own voice in the right ear is higher
// than in the left one, over the last 1.3 s: the shift at which their spectra are
// most alike, and how like they are.
func (h *heardSound) ownOffset() (hz, like float64) {
	const frames, reach = 40, 90
	n := len(h.rights.rows)
	if n < frames+2 {
		return 0, 0
	}
	score, at := make([]float64, 2*reach+1), 0
	for i := range score {
		var c correlation
		for f := n - frames; f < n; f += 2 {
			l, r := h.lefts.rows[f-1], h.rights.rows[f] // what comes back is some 30 ms late
			for k := earLow; k < earHigh; k++ {
				own := earFloor
				if from := k - i + reach; from >= 0 && from < len(l) {
					own = math.Max(own, l[from])
				}
				c.add(own, math.Max(earFloor, r[k]))
			}
		}
		if score[i] = c.like(); score[i] > score[at] {
			at = i
		}
	}
	if at == 0 || at == 2*reach {
		return 0, 0
	}
	a, b, c := score[at-1], score[at], score[at+1]
	return (float64(at-reach) + 0.5*(a-c)/(a-2*b+c)) * earRate / earFrame, b
}

// correlation sums up pairs.
type correlation struct{ n, x, y, xx, yy, xy float64 }

func (c *correlation) add(x, y float64) {
	c.n, c.x, c.y, c.xx, c.yy, c.xy = c.n+1, c.x+x, c.y+y, c.xx+x*x, c.yy+y*y, c.xy+x*y
}

func (c *correlation) like() float64 {
	return (c.xy - c.x*c.y/c.n) / math.Sqrt((c.xx-c.x*c.x/c.n)*(c.yy-c.y*c.y/c.n)+1e-9)
}

// speech tells whether somebody spoke in the last seconds: in a third of the
// frames a bin stands 14 dB and more over the middle one.
func (h *heardSound) speech(seconds float64) bool {
	n := int(seconds * earRate / earHop)
	rows := h.rights.rows[max(0, len(h.rights.rows)-n):]
	voiced := 0
	for _, row := range rows {
		band := slices.Clone(row[earLow:earHigh])
		slices.Sort(band)
		if 8.686*(band[len(band)-2]-band[len(band)/2]) > 16 {
			voiced++
		}
	}
	return 3*voiced > len(rows)
}

// spokenLine is the beginning of one of the lines of a contact in one voice.
type spokenLine struct {
	name    string
	shifted [2*earReach + 1]*pattern // when it is off by -earReach bands ... earReach
}

// linesToKnow are the lines that an operator has in his ear, by their first words.
var linesToKnow = map[string][]string{
	"answer": {"q", "5", "h", "t", "h", "de"}, // his own call
	"move":   {"on-top", "please-move", "de"},
	"again":  {"qrz", "again", "please", "de"},
	"off":    {"off-frequency", "again", "please"},
	"thanks": {"roger", "thanks", "seventy-three"},
	"cq":     {"cq", "cq", "satellite", "de"},
}

const (
	lineS      = 2.2 // of a line that are listened to
	lineFrames = 66  // of them, overlapping
)

// learnLines renders each line in each bundled voice, as it sounds when true and without noise.
func learnLines(voices *audio.Voices) ([]spokenLine, error) {
	var all []spokenLine
	for name, words := range linesToKnow {
		for _, speaker := range voices.Speakers() {
			script := audio.ScriptScene{Voice: speaker}
			at := sim.Tick(0)
			for _, w := range words {
				length := wordTicks(w)
				script.Clips = append(script.Clips, audio.ClipScene{Name: w, At: at, Length: length})
				at += length
			}
			scene := audio.Scene{CentreHz: 145_960_000, Others: []audio.OtherScene{{Voice: speaker}}, Scripts: []audio.ScriptScene{script}}
			e, err := audio.NewSceneEngine(&oneSpeaker{}, scene, voices, audio.Config{OwnVoice: "tone", SoftStartS: 0.01, Headset: audio.Headset{Split: true, NoiseDB: -200}})
			if err != nil {
				return nil, err
			}
			var ears heardSound
			buf := make([]float32, 2*int((lineS+0.1)*48000))
			e.Fill(buf)
			ears.take(buf[2*speakerLead*240:])
			l := spokenLine{name: name}
			for i := range l.shifted {
				l.shifted[i] = newPattern(ears.rights.rows, 2, i-earReach)
			}
			all = append(all, l)
		}
	}
	slices.SortStableFunc(all, func(a, b spokenLine) int { return len(b.name) - len(a.name) })
	return all, nil
}

// wordTicks is how long a word lasts in a line.
func wordTicks(word string) sim.Tick {
	switch {
	case word == "on-top" || word == "off-frequency":
		return 260
	case len(word) > 6 || word == "again" || word == "thanks" || word == "qrz":
		return 160
	}
	return 110
}

// speakerLead is when the speaker begins, ticks.
const speakerLead = 10

// oneSpeaker is a run in which one station says one line.
type oneSpeaker struct{ tick sim.Tick }

func (o *oneSpeaker) Done() bool { return false }

func (o *oneSpeaker) Step(s *sim.State) {
	*s = sim.State{Tick: o.tick, ReceiveHz: 145_960_000, NoiseDBWHz: -200, NumSignals: 2}
	s.Signals[0] = sim.Signal{Kind: sim.SignalOwn, Script: -1}
	s.Signals[1] = sim.Signal{Kind: sim.SignalStation, On: o.tick >= speakerLead, LevelDBW: -140, Script: 0, ScriptAt: speakerLead}
	o.tick++
}

// bands are a frame's spectrum as lines are told apart by it: of two bins each
// the louder, and nothing below the receiver's noise.
func bands(row []float64, shift int) (b [earBands]float32) {
	for k := range b {
		v := earFloor
		for at := earLow + 2*(k-shift); at < earLow+2*(k-shift)+2; at++ {
			if at >= 0 && at < len(row) {
				v = math.Max(v, row[at])
			}
		}
		b[k] = float32(v)
	}
	return b
}

const (
	earBands = earBand / 2
	earReach = 22 // bands by which a voice may be off: 687 Hz
	// earFloor is the logarithm below which a voice is as good as silent: about where the receiver's noise lies.
	earFloor = 0.0
	earLike  = 0.42 // the likeness, a correlation, from which a line counts as heard,
	earOver  = 0.1  // and by how much more than the next one
)

// pattern is a stretch of frames, its mean taken out and its energy brought to 1.
type pattern [lineFrames / 2][earBands]float32

func newPattern(rows [][]float64, every, shift int) *pattern {
	p, mean, energy := &pattern{}, float32(0), float32(0)
	for i := range p {
		p[i] = bands(rows[i*every], shift)
		for _, v := range p[i] {
			mean += v
		}
	}
	mean /= float32(len(p) * earBands)
	for i := range p {
		for k := range p[i] {
			p[i][k] -= mean
			energy += p[i][k] * p[i][k]
		}
	}
	scale := float32(1 / math.Sqrt(float64(energy)+1e-9))
	for i := range p {
		for k := range p[i] {
			p[i][k] *= scale
		}
	}
	return p
}

func (p *pattern) like(q *pattern) (sum float32) {
	for i := range p {
		a, b := &p[i], &q[i]
		for k := range a {
			sum += a[k] * b[k]
		}
	}
	return sum
}

// heardLine is a line that may have been heard.
type heardLine struct {
	name  string
	offHz float64 // by how much the voice is off
	like  float64 // how like it is
	over  float64 // by how much more than the line that is likest after it
}

// recognise looks for the beginning of a line in what was heard from a frame on.
func (p *earPilot) recognise(from int) (best heardLine) {
	rows, likest := p.ears.rights.rows, map[string]float64{}
	for first := from; first+lineFrames <= len(rows); first += 2 {
		heard := newPattern(rows[first:], 2, 0)
		for i := range p.lines {
			l := &p.lines[i]
			for s, known := range l.shifted {
				c := float64(known.like(heard))
				if likest[l.name] = max(likest[l.name], c); c > best.like {
					best = heardLine{name: l.name, offHz: float64(s-earReach) * 2 * earRate / earFrame, like: c}
				}
			}
		}
	}
	best.over = best.like
	for name, c := range likest {
		if name != best.name {
			best.over = min(best.over, best.like-c)
		}
	}
	return best
}
