package recording

import (
	"encoding/binary"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"driftdrill/testdata/race"
)

var unknown = Options{Mic: Unknown}

// usual is an over of a call, some listening, another over.
func usual(offset func(float64) float64) *scene {
	return &scene{offsetHz: offset, delayS: 0.047, snrDB: 6, gain: [2]float64{1, 1}, lengthS: 15, overs: [][2]float64{{0.8, 6}, {9.5, 14}}}
}

func ownVoice(t testing.TB) []float64 {
	return spoken(t, "alder", "call", "hello", "report", "thanks", "locator", "listening")
}

// The offset that the channel made is the truth; 5 Hz at 0 dB and better and
// 25 Hz at -10 dB are what the program is to reach.
func TestStereoAgainstTheChannelsOwnOffset(t *testing.T) {
	if race.On {
		t.Skip("nothing in it runs side by side; flown without the race detector")
	}
	other := spoken(t, "rowan", "call", "again", "please")
	for _, c := range []struct {
		name   string
		change func(*scene)
		hz     float64
		share  float64
	}{
		{"still at 33 Hz", func(s *scene) { s.offsetHz = func(float64) float64 { return 33 } }, 1, 0.97},
		{"drift of 105 Hz/s in 50 Hz notches", func(s *scene) { s.offsetHz = sawtooth(105, 50) }, 5, 0.95},
		{"a kilohertz off", func(s *scene) { s.offsetHz = func(t float64) float64 { return 1000 + 12*t } }, 5, 0.95},
		{"0 dB, microphone on the right", func(s *scene) { s.snrDB, s.mic = 0, Right }, 5, 0.95},
		{"-10 dB", func(s *scene) { s.snrDB = -10 }, 25, 0.95},
		{"levels 50 dB apart", func(s *scene) { s.gain = [2]float64{0.003, 1} }, 5, 0.95},
		{"leak of -40 dB, another station between", func(s *scene) { s.leakDB, s.other = -40, other }, 5, 0.95},
		{"leak of -20 dB", func(s *scene) { s.leakDB, s.other = -20, other }, 5, 0.95},
		{"hardly any delay", func(s *scene) { s.delayS = 0.0045 }, 5, 0.95},
		{"a delay of 0.3 s", func(s *scene) { s.delayS = 0.3 }, 5, 0.95},
	} {
		t.Run(c.name, func(t *testing.T) {
			if (race.On || testing.Short()) && c.hz != 1 {
				t.Skip("one is enough under the race detector: nothing here runs side by side")
			}
			s := usual(sawtooth(30, 100))
			c.change(s)
			r := analysed(t, s.made(ownVoice(t), 3), 2, unknown)
			if r.Mic != s.mic {
				t.Fatalf("microphone on side %d, want %d; %v", r.Mic, s.mic, r.Notes)
			}
			if got := s.near(r, c.hz); !(got >= c.share) {
				t.Errorf("%.3f of the rows within %.0f Hz, want %.2f", got, c.hz, c.share)
			}
			if math.Abs(r.DelayS-s.delayS) > 0.001 {
				t.Errorf("delay %.4f s, want %.4f", r.DelayS, s.delayS)
			}
			if len(r.Overs) != len(s.overs) {
				t.Fatalf("overs %v, want %v", r.Overs, s.overs)
			}
			for i, o := range r.Overs {
				if math.Abs(o.FromS-s.overs[i][0]) > 0.2 || math.Abs(o.ToS-s.overs[i][1]) > 0.2 {
					t.Errorf("over %.2f to %.2f, want %v", o.FromS, o.ToS, s.overs[i])
				}
			}
		})
	}
}

func TestLeakIsNoticed(t *testing.T) {
	if race.On || testing.Short() {
		t.Skip("run without the race detector: nothing here runs side by side")
	}
	s := usual(sawtooth(30, 100))
	s.leakDB, s.other = -20, spoken(t, "rowan", "call", "again", "please")
	if r := analysed(t, s.made(ownVoice(t), 3), 2, unknown); !hasNote(r, NoteLeak) || r.LeakDB > -10 || r.LeakDB < -35 {
		t.Errorf("leak of %.0f dB, %v", r.LeakDB, r.Notes)
	}
	s.leakDB = 0
	if r := analysed(t, s.made(ownVoice(t), 3), 2, unknown); hasNote(r, NoteLeak) {
		t.Errorf("a leak where there is none: %v", r.Notes)
	}
}

// The wrong sideband up turns the spectrum over: tone a comes back at carrier - a.
func TestWrongSidebandIsRecognised(t *testing.T) {
	if race.On {
		t.Skip("nothing in it runs side by side; flown without the race detector")
	}
	s := usual(func(t float64) float64 { return 3100 + 5*t })
	s.mirrored = true
	r := analysed(t, s.made(ownVoice(t), 3), 2, unknown)
	if !r.Mirrored || !hasNote(r, NoteMirrored) || math.Abs(r.MirrorHz-3135) > 45 {
		t.Errorf("mirrored %v at %.0f Hz, %v", r.Mirrored, r.MirrorHz, r.Notes)
	}
	if len(r.Overs) > 0 {
		t.Errorf("overs %v", r.Overs)
	}
}

// What is read in pieces of another size is measured to the same.
func TestPiecesDoNotMatter(t *testing.T) {
	if race.On {
		t.Skip("nothing in it runs side by side; flown without the race detector")
	}
	x := usual(sawtooth(30, 100)).made(ownVoice(t), 3)
	whole := analysed(t, x, 2, unknown)
	r, err := Analyse(&samples{rate: testRate, channels: 2, x: x, piece: 777}, unknown, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range r.Rows {
		a, b := r.Rows[i], whole.Rows[i]
		if a.Known() != b.Known() || a.Known() && a.OffsetHz != b.OffsetHz || a.Keyed != b.Keyed {
			t.Fatalf("%+v, whole %+v", a, b)
		}
	}
}

// Other rates than the test's own: the same recording, resampled by holding
// sinc interpolation of the shortest kind, must give the same offsets.
func TestRatesOfRecorders(t *testing.T) {
	if race.On || testing.Short() {
		t.Skip("run without the race detector: nothing here runs side by side")
	}
	s := usual(sawtooth(30, 100))
	x := s.made(ownVoice(t), 3)
	for _, rate := range []int{8000, 11025, 48000} {
		r, err := Analyse(&samples{rate: rate, channels: 2, x: resampled(x, rate)}, unknown, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := s.near(r, 5); !(got >= 0.95) || math.Abs(r.LengthS-15) > 0.01 || len(r.Rows) != 150 {
			t.Errorf("%d Hz: %.3f within 5 Hz, %.2f s, %d rows", rate, got, r.LengthS, len(r.Rows))
		}
	}
}

// resampled interpolates interleaved stereo by a windowed sinc of 16 zeros.
func resampled(x []float32, rate int) []float32 {
	n := len(x) / 2
	var out []float32
	cut := math.Min(1, float64(rate)/testRate)
	for i := range n * rate / testRate {
		at := float64(i) * testRate / float64(rate)
		var sum [2]float64
		for k := max(0, int(at)-16); k < min(n, int(at)+17); k++ {
			d := at - float64(k)
			h := cut * sinc(cut*d) * kaiser(d/17, 6)
			sum[0] += h * float64(x[2*k])
			sum[1] += h * float64(x[2*k+1])
		}
		out = append(out, float32(sum[0]), float32(sum[1]))
	}
	return out
}

func TestClearWords(t *testing.T) {
	if race.On || testing.Short() {
		t.Skip("run without the race detector: nothing here runs side by side")
	}
	rng := rand.New(rand.NewPCG(5, 5))
	noise := func(n int, level float64) []float32 {
		x := make([]float32, n)
		for i := range x {
			x[i] = float32(level * rng.NormFloat64())
		}
		return x
	}
	voice, far := ownVoice(t), spoken(t, "rowan", "call", "again", "please", "report")
	narrow := analyticOf(far, 300, 2700) // as from a receiver
	both := make([]float32, 0)
	for i := range 7 * testRate {
		both = append(both, float32(voice[i%len(voice)]), float32(real(narrow[i%len(narrow)])))
	}
	loud := usual(sawtooth(30, 100)).made(voice, 3)
	for i, v := range loud {
		loud[i] = float32(clamp(float64(v)*20, -0.9, 0.9))
	}
	same := make([]float32, 0)
	for i := range 6 * testRate {
		v := float32(voice[i%len(voice)])
		same = append(same, v, v)
	}
	for _, c := range []struct {
		name string
		x    []float32
		code string
	}{
		{"silent", make([]float32, 5*testRate), NoteSilent},
		{"nothing but noise", noise(8*testRate, 0.01), NoteNoSpeech},
		{"two people", both, NoteNoReturn},
		{"clipped", loud, NoteClipped},
		{"dual mono", same, NoteSame},
		{"empty", nil, NoteShort},
		{"music", music(7 * testRate), NoteNotRadio},
	} {
		r := analysed(t, c.x, 2, unknown)
		if !hasNote(r, c.code) {
			t.Errorf("%s: %v", c.name, r.Notes)
		}
		for _, n := range r.Notes {
			if strings.Contains(n.Text, "\n") || !strings.HasSuffix(strings.TrimRight(n.Text, "?"), ".") && !strings.HasSuffix(n.Text, "?") {
				t.Errorf("%s: %q is no sentence", c.name, n.Text)
			}
		}
		for _, row := range r.Rows {
			if row.Known() && c.code != NoteClipped && c.code != NoteSame {
				t.Fatalf("%s: %+v", c.name, row)
			}
		}
	}
	broken := errors.New("is cut off after 3.0 of 9.0 s")
	r, err := Analyse(&samples{rate: testRate, channels: 2, x: loud[:6*testRate], end: broken}, unknown, nil)
	if err != nil || !hasNote(r, NoteCut) || len(r.Rows) != 30 {
		t.Errorf("cut off: %v, %v, %d rows", err, r.Notes, len(r.Rows))
	}
}

// music is a chord of sawtooth strings on both sides with a beat, wide open.
func music(n int) []float32 {
	var x []float32
	for i := range n {
		t := float64(i) / testRate
		var l, r float64
		for _, hz := range []float64{220, 277.2, 329.6, 440 + 110*math.Floor(math.Mod(t, 4))} {
			l += math.Mod(t*hz, 1) - 0.5
			r += math.Mod(t*hz*1.003+0.3, 1) - 0.5
		}
		beat := math.Exp(-6 * math.Mod(t, 0.5))
		x = append(x, float32(0.1*l*(0.3+beat)), float32(0.1*r*(0.3+beat)))
	}
	return x
}

// Frequency, level and images of the way down to complex samples, against a
// tone's own.
func TestDownmixer(t *testing.T) {
	for _, rate := range []int{8000, 11025, 16000, 22050, 44100, 44056, 48000, 96000, 192000} {
		for _, c := range []struct{ hz, low, high float64 }{{400, 0.98, 1.02}, {1500, 0.99, 1.01}, {2600, 0.98, 1.02}, {100, 0, 0.02}, {3300, 0, 0.02}, {5000, 0, 0.003}, {9000, 0, 0.003}} {
			if c.hz > float64(rate)/2 {
				continue
			}
			x := make([]float32, rate)
			for i := range x {
				x[i] = float32(math.Cos(2 * math.Pi * c.hz * float64(i) / float64(rate)))
			}
			z := append([]complex64(nil), newDownmixer(rate).feed(x)...)
			z = z[500 : len(z)-500]
			level := math.Sqrt(energyOf(z)/float64(len(z))) * 2
			if level < c.low || level > c.high {
				t.Errorf("%d Hz, tone of %.0f Hz: level %.4f, want %.3f to %.3f", rate, c.hz, level, c.low, c.high)
			}
			if c.low == 0 {
				continue
			}
			want := 2 * math.Pi * (c.hz * 500 / baseRate) // phase of the tone at sample 500
			want -= 2 * math.Pi * centreHz * 500 / baseRate
			got := math.Atan2(float64(imag(z[0])), float64(real(z[0])))
			if d := math.Remainder(got-want, 2*math.Pi); math.Abs(d) > 0.01 {
				t.Errorf("%d Hz, tone of %.0f Hz: phase off by %.4f", rate, c.hz, d)
			}
		}
	}
}

// keyedBytes is a carrier of 700 Hz in Morse code at 60 words a minute, 8000 Hz, as FuzzAnalyse takes it.
func keyedBytes(text string) []byte {
	var b []byte
	for i, down := range dots(text) {
		for k := range 160 {
			v := 0.01 * math.Cos(float64(k*k))
			if down {
				v += 0.5 * math.Cos(2*math.Pi*700*float64(160*i+k)/8000)
			}
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(v)))
		}
	}
	return b
}

// Whatever the samples are, the analysis ends with a row each 0.1 s.
func FuzzAnalyse(f *testing.F) {
	f.Add([]byte{1, 2, 3, 4}, uint16(8000), uint8(2), false, float64(0), false, "")
	f.Add(make([]byte, 9000), uint16(44100), uint8(1), true, 700.0, false, "")
	f.Add(keyedBytes("CQ DE QZ9A K"), uint16(8000), uint8(0), false, 700.0, true, "QZ9A")
	f.Add(keyedBytes("QZ9A"), uint16(8000), uint8(1), false, 0.0, true, "qz9a/p")
	f.Fuzz(func(t *testing.T, b []byte, rate uint16, channels uint8, mono bool, pitch float64, tone bool, call string) {
		n := int(channels%4) + 1
		var x []float32
		for i := 0; i+4 <= len(b) && i < 1<<18; i += 4 {
			v := math.Float32frombits(binary.LittleEndian.Uint32(b[i:]))
			if v != v || v > 8 || v < -8 {
				v = float32(b[i]) / 128
			}
			x = append(x, v)
		}
		if math.IsNaN(pitch) || pitch < 0 || pitch > 3000 {
			pitch = 0
		}
		r, err := Analyse(&samples{rate: int(rate), channels: n, x: x}, Options{Mic: Unknown, Mono: mono, PitchHz: pitch, Tone: tone, Call: call}, nil)
		if err != nil {
			if rate >= MinRate {
				t.Fatal(err)
			}
			return
		}
		if want := int(math.Ceil(r.LengthS/RowS - 1e-6)); len(r.Rows) != want {
			t.Fatalf("%d rows of %.2f s", len(r.Rows), r.LengthS)
		}
		for i, row := range r.Rows {
			if math.IsInf(row.OffsetHz, 0) || row.Confidence < 0 || row.Confidence > 1 || math.IsNaN(row.Confidence) || math.Abs(row.TimeS-float64(i)*RowS) > 1e-9 {
				t.Fatalf("%+v", row)
			}
		}
	})
}
