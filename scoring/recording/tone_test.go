package recording

import (
	"math"
	"math/rand/v2"
	"testing"
)

// sent is a text in Morse code as the key is held, at testRate.
func sent(text string, dotS float64) []float64 {
	var key []float64
	for _, down := range dots(text) {
		v := 0.0
		if down {
			v = 1
		}
		for range int(dotS * testRate) {
			key = append(key, v)
		}
	}
	return key
}

// band is a receiver with carriers in it.
type band struct {
	x   []float64
	rng *rand.Rand
}

func newBand(lengthS, snrDB float64, seed uint64) *band {
	b := &band{rng: rand.New(rand.NewPCG(seed, 2))}
	noise := make([]float64, int(lengthS*testRate))
	for i := range noise {
		noise[i] = b.rng.NormFloat64()
	}
	level := math.Sqrt(0.5 / math.Pow(10, snrDB/10) / (2400.0 / (testRate / 2)))
	for _, v := range analyticOf(noise, 300, 2700)[:len(noise)] {
		b.x = append(b.x, 0.1*level*real(v))
	}
	return b
}

// add puts a keyed carrier into the band.
func (b *band) add(fromS, level float64, key []float64, hz func(timeS float64) float64) {
	phase := 0.0
	for i, k := range key {
		at := int(fromS*testRate) + i
		if at >= len(b.x) {
			return
		}
		phase += 2 * math.Pi * hz(float64(at)/testRate) / testRate
		b.x[at] += 0.1 * level * k * math.Cos(phase)
	}
}

func (b *band) samples(left []float64) []float32 {
	var out []float32
	for i, v := range b.x {
		if left != nil {
			out = append(out, float32(left[i]))
		}
		out = append(out, float32(v))
	}
	return out
}

const qrgHz = 700.0

func ownHz(t float64) float64   { return qrgHz + 40 + 12*t }
func otherHz(t float64) float64 { return qrgHz - 90 + 9*t }

// toldWithin counts the rows of a stretch that are told, and those within 5 Hz of the own carrier.
func toldWithin(r *Result, from, to float64) (told, near, all int) {
	for _, row := range r.Rows {
		if row.TimeS < from || row.TimeS > to {
			continue
		}
		all++
		if row.Known() {
			told++
			if math.Abs(row.OffsetHz-(ownHz(row.TimeS)-qrgHz)) <= 5 {
				near++
			}
		}
	}
	return told, near, all
}

// twoStations is a call and a louder answer, in which the call is sent too.
func twoStations() []float32 {
	b := newBand(25, 0, 1)
	b.add(0.5, 1, sent("CQ DE QZ9A QZ9A K", 0.055), ownHz)
	b.add(12, 2, sent("QZ9A DE QY1BX QY1BX K", 0.06), otherHz)
	return b.samples(nil)
}

// Somebody else's carrier is not the own: by the call it is told apart, though he
// sends it too; without the call nothing is told. S/N 0 dB in 2400 Hz.
func TestOwnCarrierByItsCall(t *testing.T) {
	x := twoStations()
	opt := Options{Mic: Unknown, PitchHz: qrgHz, Call: "qz9a"}
	r := analysed(t, x, 1, opt)
	told, near, all := toldWithin(r, 0.8, 7.5)
	if others, _, _ := toldWithin(r, 11, 25); others > 0 {
		t.Errorf("%d rows of the other station's carrier are told; %v", others, r.Notes)
	}
	if near < all*9/10 || near < told*95/100 || r.Method != ByTone {
		t.Errorf("%d of %d rows told, %d within 5 Hz; %s, %v", told, all, near, r.Method, r.Notes)
	}
	opt.Call = ""
	r = analysed(t, x, 1, opt)
	if told, _, _ := toldWithin(r, 0, 25); told > 0 || !hasNote(r, NoteSeveral) {
		t.Errorf("without the call %d rows are told; %v", told, r.Notes)
	}
}

// The sidetone tells pitch and keying: on the other side, and in the same sound.
func TestOwnCarrierByTheSidetone(t *testing.T) {
	key := sent("CQ DE QZ9A", 0.06)
	b := newBand(20, -5, 3)
	b.add(0.55, 1, key, ownHz)
	b.add(9.5, 2, sent("QZ9A DE QY1BX QY1BX K", 0.06), otherHz)
	side := &band{x: make([]float64, len(b.x))}
	side.add(0.5, 3, key, func(float64) float64 { return qrgHz })
	for _, c := range []struct {
		name     string
		x        []float32
		channels int
		method   Method
		share    int // of a hundred rows
	}{
		{"other side", b.samples(side.x), 2, BySidetone, 85},
		{"same sound", (&band{x: plus(b.x, side.x, 0.5)}).samples(nil), 1, ByTone, 70},
	} {
		r := analysed(t, c.x, c.channels, Options{Mic: Unknown, Tone: true})
		told, near, all := toldWithin(r, 1.5, 5)
		if others, _, _ := toldWithin(r, 8.5, 20); others > 0 {
			t.Errorf("%s: %d rows of the other station's carrier are told", c.name, others)
		}
		if r.Method != c.method || near < all*c.share/100 || near < told*85/100 || !hasNote(r, NoteSidetone) {
			t.Errorf("%s: %d of %d rows told, %d within 5 Hz; %s, %v", c.name, told, all, near, r.Method, r.Notes)
		}
		if c.channels == 2 && (len(r.Overs) != 1 || math.Abs(r.Overs[0].FromS-0.5) > 0.2 || math.Abs(r.Overs[0].ToS-0.5-float64(len(key))/testRate) > 0.3) {
			t.Errorf("%s: overs %v", c.name, r.Overs)
		}
	}
}

func plus(a, b []float64, gain float64) []float64 {
	c := append([]float64(nil), a...)
	for i, v := range b {
		c[i] += gain * v
	}
	return c
}

// A tone whose pitch at zero beat nobody knows is not told, and noise holds none.
func TestToneCannotTell(t *testing.T) {
	b := newBand(8, 10, 5)
	r := analysed(t, b.samples(nil), 1, Options{Mic: Unknown, PitchHz: qrgHz})
	if told, _, _ := toldWithin(r, 0, 8); told > 0 || !hasNote(r, NoteNoSpeech) {
		t.Errorf("noise: %d rows told, %v", told, r.Notes)
	}
	b.add(0.5, 1, sent("CQ DE QZ9A", 0.06), ownHz)
	r = analysed(t, b.samples(nil), 1, Options{Mic: Unknown, Tone: true})
	if told, _, _ := toldWithin(r, 0, 8); told > 0 || !hasNote(r, NotePitch) {
		t.Errorf("no pitch: %d rows told, %v", told, r.Notes)
	}
}

// Music keeps time as a key does, on both sides; it is no radio.
func TestMusicIsNoSidetone(t *testing.T) {
	for _, channels := range []int{1, 2} {
		for _, pitch := range []float64{0, 660} {
			var x []float32
			for i := range 10 * testRate {
				at := float64(i) / testRate
				v := float32(0.1 * (math.Mod(220*at, 1) + math.Mod(277*at, 1) - 1) * (0.5 + 0.5*math.Cos(4*math.Pi*at)))
				for range channels {
					x = append(x, v)
				}
			}
			r := analysed(t, x, channels, Options{Mic: Unknown, Tone: true, PitchHz: pitch})
			if told, _, _ := toldWithin(r, 0, 10); told > 0 || r.Method != ByTone {
				t.Errorf("%d sides, pitch %.0f: %d rows told, %s, %v", channels, pitch, told, r.Method, r.Notes)
			}
		}
	}
}
