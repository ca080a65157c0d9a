package audio

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"driftdrill/sim"
)

// What the engine takes from a setup, by hand: the second transponder of a
// bird whose oscillator is off, with its beacon, the trials and the others.
func TestSceneOfASetup(t *testing.T) {
	s := &sim.Setup{Call: "Q1ABC", UnknownHz: -300}
	s.Drill.Voice, s.Drill.Transponder = "cw", 2
	s.Bird.Transponders = []sim.Transponder{{}, {DownlinkLowHz: 145_900_400, DownlinkHighHz: 145_950_400, OscillatorHz: 1200, ShoulderHz: 2500, ShoulderDB: 35}}
	s.Trials = []sim.Trial{{Voice: "whistle"}, {Voice: "tone"}}
	s.Others = []sim.Other{{Call: "Q2DEF", Voice: "birch"}}
	got := SceneOf(s)
	if got.CentreHz != 145_925_000 || got.MiddleHz != 145_926_300 || got.WidthHz != 50_000 || got.ShoulderHz != 2500 || got.ShoulderDB != 35 {
		t.Errorf("passband %+v", got)
	}
	if got.OwnVoice != "cw" || got.Call != "Q1ABC" || len(got.Trials) != 2 || got.Trials[0] != "whistle" || len(got.Others) != 1 || got.Others[0] != (OtherScene{"Q2DEF", "birch"}) {
		t.Errorf("voices %+v", got)
	}
	s.Drill.Transponder = 9 // of a sheet that names one too many: the last
	if got := SceneOf(s); got.WidthHz != 50_000 {
		t.Errorf("beyond the last transponder: %+v", got)
	}
	s.Drill.Transponder = 0
	if got := SceneOf(s); got.WidthHz != 0 {
		t.Errorf("before the first: %+v", got)
	}
	for hz, want := range map[int]Filter{500: FilterCW, 2400: FilterSSB} {
		s.Station.Receive.FilterHz = hz
		if FilterOf(s) != want {
			t.Errorf("a filter of %d Hz is %v", hz, FilterOf(s))
		}
	}
}

// The edges of the receiver's filters: what an operator sees as their width.
func TestEdgesOfFilters(t *testing.T) {
	for _, c := range []struct {
		f                Filter
		pitch, low, high float64
	}{{FilterSSB, 0, 300, 2700}, {FilterSSB, 500, 300, 2700}, {FilterCW, 0, 450, 950}, {FilterCW, 600, 350, 850}} {
		if low, high := c.f.PassHz(c.pitch); low != c.low || high != c.high {
			t.Errorf("%+v: %g to %g", c, low, high)
		}
	}
	// a transmitter's: half a cosine over 150 Hz on either side
	for hz, want := range map[float64]float64{149: 0, 150: 0, 225: 0.5, 300: 1, 1500: 1, 2700: 1, 2775: 0.5, 2850: 0, 262.5: 0.5 + math.Sqrt2/4} {
		if got := bandEdge(hz); math.Abs(got-want) > 1e-12 {
			t.Errorf("%g Hz: %.4f, want %.4f", hz, got, want)
		}
	}
}

// Kaiser's window parameter at the attenuations whose values are printed
// (Oppenheim and Schafer, Discrete-Time Signal Processing, Kaiser window
// examples: 60 dB 5.653, 40 dB 3.395; from memory) and the low-pass that comes
// of it: half amplitude at its cutoff, all of it at zero.
func TestKaiserDesign(t *testing.T) {
	for db, want := range map[float64]float64{60: 5.653, 40: 3.395, 21: 0, 10: 0, 50: 0.5842*math.Pow(29, 0.4) + 0.07886*29} {
		if got := kaiserBeta(db); math.Abs(got-want) > 0.001 {
			t.Errorf("%g dB: %.3f, want %.3f", db, got, want)
		}
	}
	for x, want := range map[float64]float64{0: 1, 1: 1.2660658778, 2: 2.2795853024, 5: 27.239871824} { // Abramowitz and Stegun, table 9.8, I0
		if got := bessel0(x); math.Abs(got-want) > 1e-8*want {
			t.Errorf("I0(%g) = %.9f, want %.9f", x, got, want)
		}
	}
	for _, n := range []int{24, 169} {
		h := lowPass(n, 1350, 12000, 68)
		gain := func(hz float64) float64 {
			sum := 0.0
			for i, v := range h {
				sum += float64(v) * math.Cos(2*math.Pi*hz/12000*(float64(i)-float64(n-1)/2))
			}
			return sum
		}
		if math.Abs(gain(0)-1) > 1e-6 || math.Abs(gain(1350)-0.5) > 0.01 || n > 100 && math.Abs(gain(2000)) > 1e-3 {
			t.Errorf("%d taps: %.4f at 0, %.4f at its cutoff, %.5f beyond", n, gain(0), gain(1350), gain(2000))
		}
	}
}

// The tilt of a voice on the shoulder, by hand: a fall of 40 dB over 4 kHz
// makes 10 dB a kilohertz, so that a voice's ends, 300 and 2700 Hz from its
// carrier, are 3 and 27 dB below it. On the lower sideband it runs the other way.
func TestTiltOnTheShoulder(t *testing.T) {
	s := Scene{MiddleHz: 145.9e6, WidthHz: 40e3, ShoulderHz: 4000, ShoulderDB: 40}
	db := func(x float64) float64 { return math.Pow(10, x/20) }
	quarter := math.Sin(2 * math.Pi * 1200 * 8 / 48000)
	for _, c := range []struct {
		what string
		hz   float64
		side sim.Sideband
		a, b float64 // gains of the ends against the carrier
	}{
		{"inside", 145.9e6 + 10e3, sim.USB, 1, 1},
		{"on the upper shoulder", 145.9e6 + 21e3, sim.USB, db(-3), db(-27)},
		{"on the upper shoulder, other sideband", 145.9e6 + 21e3, sim.LSB, db(3), db(10)},
		{"on the lower shoulder", 145.9e6 - 21e3, sim.USB, db(3), db(10)},
		{"its end beyond the shoulder", 145.9e6 + 23e3, sim.USB, db(-3), 0},
		{"all of it beyond", 145.9e6 + 25e3, sim.USB, 1, 1},
		{"far down, bounded", 145.9e6 + 23.9e3, sim.LSB, db(3), db(27)},
	} {
		middle, slope := s.tilt(&sim.Signal{BirdHz: c.hz, Sideband: c.side})
		a, b := float64(middle)-float64(slope)*quarter, float64(middle)+float64(slope)*quarter
		if c.b > greatestTilt {
			c.b = greatestTilt
		}
		if math.Abs(a-c.a) > 1e-3*(1+c.a) || math.Abs(b-c.b) > 1e-3*(1+c.b) {
			t.Errorf("%s: %.4f and %.4f at its ends, want %.4f and %.4f", c.what, a, b, c.a, c.b)
		}
	}
}

// A dial that leaves the rendered passband takes it along, in whole kilohertz;
// within 43 kHz of its middle it stays.
func TestPassbandFollowsTheDial(t *testing.T) {
	for off, want := range map[int64]float64{43_000: 145_900_000, -43_000: 145_900_000, 43_001: 145_943_000, -50_600: 145_849_000} {
		run := &fakeRun{fill: func(s *sim.State) { s.ReceiveHz = 145_900_000 + off }}
		e := newTestEngine(t, run, Config{})
		listen(e, 0.02)
		if e.centreHz != want {
			t.Errorf("dial at %+d Hz: the passband lies round %.0f Hz, want %.0f", off, e.centreHz, want)
		}
	}
}

// A passband that is laid anew begins a capture of its own in the metadata,
// with the sample and the time of its beginning: 9600 samples at 96 kHz are 0.1 s.
func TestCapturesOfAPassband(t *testing.T) {
	var data, meta bytes.Buffer
	w := newIQWriter(SoundFiles{IQData: &data, IQMeta: &meta, Title: "Run.", Start: time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)})
	re, im := make([]float32, 4800), make([]float32, 4800)
	re[0], im[0] = 10, -20
	for _, hz := range []float64{145e6, 145e6, 146e6} {
		w.put(re, im, hz)
	}
	if err := w.finish(); err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Global   map[string]any   `json:"global"`
		Captures []map[string]any `json:"captures"`
	}
	if err := json.Unmarshal(meta.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	if len(doc.Captures) != 2 || doc.Captures[0]["core:sample_start"] != 0.0 || doc.Captures[1]["core:sample_start"] != 9600.0 ||
		doc.Captures[1]["core:datetime"] != "2026-11-25T12:00:00.100Z" || doc.Captures[1]["core:frequency"] != 146e6 {
		t.Errorf("%v", doc.Captures)
	}
	if text := doc.Global["core:description"].(string); !strings.HasPrefix(text, "Run. Simulated") {
		t.Errorf("described as %q", text)
	}
	x := math.Float32frombits(binary.LittleEndian.Uint32(data.Bytes()))
	y := math.Float32frombits(binary.LittleEndian.Uint32(data.Bytes()[4:]))
	if data.Len() != 3*4800*8 || math.Abs(float64(x)-0.01) > 1e-8 || math.Abs(float64(y)+0.02) > 1e-8 {
		t.Errorf("%d bytes that begin with %g, %g", data.Len(), x, y)
	}
	if newIQWriter(SoundFiles{IQMeta: &meta}) != nil {
		t.Error("metadata of nothing")
	}
}

// full is a disk that takes so many bytes.
type full struct{ left int }

func (f *full) Write(b []byte) (int, error) {
	if f.left -= len(b); f.left < 0 {
		return 0, errors.New("no space left")
	}
	return len(b), nil
}

// A full disk ends the passband with one line that says how far it got.
func TestPassbandOnAFullDisk(t *testing.T) {
	var meta bytes.Buffer
	w := newIQWriter(SoundFiles{IQData: &full{8 * 960}, IQMeta: &meta})
	for range 5 {
		w.put(make([]float32, 480), make([]float32, 480), 145e6)
	}
	if err := w.finish(); err == nil || err.Error() != "passband after 960 samples: no space left" || meta.Len() != 0 {
		t.Errorf("%v, %d bytes of metadata", err, meta.Len())
	}
}

// A prompt waits until a spoken text is over, for a second and a half at most;
// then what it says is no longer so.
func TestPromptsWaitAndGoStale(t *testing.T) {
	word := &clip{re: make([]float32, 2400), im: make([]float32, 2400)}
	for i := range word.re {
		word.re[i] = 1
	}
	for _, c := range []struct {
		held  int
		heard bool
	}{{0, true}, {promptStale, true}, {promptStale + 1, false}} {
		var p promptPlayer
		p.next.Store(&prompt{[]*kept{word.keep()}})
		out := make([]float32, tickFrames)
		for range c.held {
			p.add(out, 1, true)
		}
		for i, v := range out {
			if v != 0 {
				t.Fatalf("sample %d is %g while a text is spoken", i, v)
			}
		}
		sum := 0.0
		for range 10 {
			p.add(out, 1, false)
			for _, v := range out {
				sum += float64(v) * float64(v)
			}
			clear(out)
		}
		if (sum > 1) != c.heard {
			t.Errorf("held for %d ticks: energy %g, want it heard: %v", c.held, sum, c.heard)
		}
	}
}

// Words of a prompt come one after another, 40 ms apart, and then it is over.
func TestWordsOfAPrompt(t *testing.T) {
	word := func(n int, v float32) *clip {
		c := &clip{re: make([]float32, n), im: make([]float32, n)}
		for i := range c.re {
			c.re[i], c.im[i] = v, -v
		}
		return c
	}
	p := promptPlayer{now: &prompt{[]*kept{word(100, 1).keep(), word(50, 2).keep()}}}
	const gap = clipRate * 40 / 1000
	for i := range 100 + gap + 50 + gap + 20 {
		want := float32(0)
		switch {
		case i < 100:
			want = 1
		case i >= 100+gap && i < 150+gap:
			want = 2
		}
		if re, im := p.pull(); math.Abs(float64(re-want)) > 1e-6 || math.Abs(float64(im+want)) > 1e-6 {
			t.Fatalf("sample %d: %g, %g, want %g", i, re, im, want)
		}
	}
}

// The microphone's samples are read a little faster where too many wait, a
// little slower where too few do, by three in a thousand at most.
func TestMicrophoneKeepsItsDistance(t *testing.T) {
	for _, c := range []struct {
		what    string
		written int
		read    int // samples read in one tick, from a thousandth on
		dry     int64
	}{
		{"as many as should wait", 720, 240_000, 0}, {"half as many more", 1080, 240_360, 0}, {"twice as many", 1440, 240_720, 0}, {"three times as many", 2160, 240_720, 0},
		{"half as many", 360, 239_640, 0}, {"hardly enough", 244, 240_000 - 720*476/720, 0}, {"too few", 243, 0, 1},
	} {
		m := NewMicrophone()
		v, err := newMicVoice(m)
		if err != nil {
			t.Fatal(err)
		}
		mic := v.(*micVoice)
		in := make([]float32, c.written)
		for i := range in {
			in[i] = float32(i) / 10000
		}
		m.Write(in)
		dst := make([]float32, tickFrames)
		peak := mic.take(dst)
		if got := 1000*float64(m.read.Load()) + 1000*mic.frac; math.Abs(got-float64(c.read)) > 0.01 || m.Dry() != c.dry {
			t.Errorf("%s: %.2f thousandths read, want %d; dry %d times", c.what, got, c.read, m.Dry())
		}
		if c.dry == 0 {
			want := float64(c.read) / 1000 / 240 * 239 / 10000
			if last := float64(dst[239]); math.Abs(last-want) > 1e-6 || peak != dst[239] {
				t.Errorf("%s: the last sample is %g, want %g; peak %g", c.what, last, want, peak)
			}
		}
	}
	m := NewMicrophone()
	v, _ := newMicVoice(m)
	m.Write(make([]float32, 2401)) // more than may wait: the oldest are let go
	v.(*micVoice).take(make([]float32, tickFrames))
	if left := m.written.Load() - m.read.Load(); left != 720-240 {
		t.Errorf("%d samples left, want 480", left)
	}
	m.Write(make([]float32, micRing)) // what does not fit is dropped
	if left := m.written.Load() - m.read.Load(); left != micRing {
		t.Errorf("%d samples wait in a ring of %d", left, micRing)
	}
	v.restart()
	if left := m.written.Load() - m.read.Load(); left != micTarget {
		t.Errorf("after a restart %d samples wait", left)
	}
}

// Howl: 60 ticks of an overdriven microphone mute it for two seconds; each tick
// of quiet takes two of them back.
func TestHowlGuardCounts(t *testing.T) {
	m := NewMicrophone()
	v, _ := newMicVoice(m)
	mic := v.(*micVoice)
	loud := func(n int) {
		for range n {
			mic.guard(0.98)
		}
	}
	loud(59)
	mic.guard(0.97)
	loud(2)
	if m.Guarded() != 0 || mic.loudTicks != 59 {
		t.Errorf("muted %d times after %d ticks", m.Guarded(), mic.loudTicks)
	}
	loud(1)
	if m.Guarded() != 1 || mic.muteTicks != 400 || mic.loudTicks != 0 {
		t.Errorf("muted %d times for %d ticks", m.Guarded(), mic.muteTicks)
	}
	loud(100) // it is muted already
	if m.Guarded() != 1 {
		t.Errorf("muted %d times", m.Guarded())
	}
	mic.loudTicks = 1
	mic.guard(0)
	if mic.loudTicks != 0 {
		t.Errorf("%d ticks of howl in quiet", mic.loudTicks)
	}
}

// Where in a script a station is: at the tick since it began, each word in its
// place and cut where the script says.
func TestPlaceInAScript(t *testing.T) {
	v := bundled(t)
	k, err := v.clip("birch", "q")
	if err != nil {
		t.Fatal(err)
	}
	s, err := newScripts([]ScriptScene{{Voice: "birch", Clips: []ClipScene{{"q", 10, 4}, {"no-such-word", 30, 9}, {"q", 100, 10_000}}}}, v)
	if err != nil || len(s) != 1 || len(s[0]) != 2 {
		t.Fatal(err, s)
	}
	if a, b := s[0][0], s[0][1]; a.from != 400 || a.to != 560 || b.from != 4000 || b.to != 4000+k.len() {
		t.Errorf("%d to %d, %d to %d", a.from, a.to, b.from, b.to)
	}
	st := newStationVoice(s, newTone(1000))
	st.follow(57, &sim.Signal{Script: 0, ScriptAt: 50})
	if st.script != 0 || st.pos != 7*40 {
		t.Errorf("script %d at %d", st.script, st.pos)
	}
	for i := 280; i < 600; i++ {
		re, im := st.pull()
		var wantRe, wantIm float32
		if i >= 400 && i < 560 {
			wantRe, wantIm = k.at(i - 400)
		}
		if re != wantRe || im != wantIm {
			t.Fatalf("sample %d: %g, %g, want %g, %g", i, re, im, wantRe, wantIm)
		}
	}
	st.follow(58, &sim.Signal{Script: 0, ScriptAt: 50}) // the same: it goes on
	if st.pos != 600 {
		t.Errorf("went back to %d", st.pos)
	}
	st.follow(60, &sim.Signal{Script: 0, ScriptAt: 60}) // said again
	if st.pos != 0 || st.clip != 0 {
		t.Errorf("begins again at %d", st.pos)
	}
	st.follow(61, &sim.Signal{Script: 1, ScriptAt: 60}) // one that is not there
	if st.script != -1 {
		t.Errorf("script %d of one", st.script)
	}
	if none, err := newScripts([]ScriptScene{{}}, nil); none != nil || err != nil {
		t.Error("scripts without voices")
	}
	// a name that is no speaker's stands for one of them, always the same: letters summed
	names := v.Speakers()
	for _, n := range []string{"", "a", "ab", "zz"} {
		sum := 0
		for _, c := range []byte(n) {
			sum += int(c)
		}
		if got := v.speaker(n); got != names[sum%len(names)] {
			t.Errorf("%q speaks as %q", n, got)
		}
	}
	if v.speaker(names[len(names)-1]) != names[len(names)-1] {
		t.Error("a speaker is not himself")
	}
}

// What is played comes at the level of a voice, each side for itself, and
// silence is not raised by more than 40 dB.
func TestLevelOfPlayback(t *testing.T) {
	tone := func(a float64) []float32 {
		x := make([]float32, 48000)
		for i := range x {
			x[i] = float32(a * math.Sin(2*math.Pi*500*float64(i)/48000))
		}
		return x
	}
	level := func(x []float32) float64 {
		sum := 0.0
		for _, v := range x {
			sum += float64(v) * float64(v)
		}
		return math.Sqrt(sum / float64(len(x)))
	}
	for _, c := range []struct{ amplitude, volume, want float64 }{{0.5, 0, 0.06}, {0.01, 0, 0.06}, {0.01, -6.0206, 0.03}, {1e-5, 0, 1e-5 / math.Sqrt2 * 100}, {0.0006 * math.Sqrt2, 20, 0.6}} {
		if got := level(levelled(tone(c.amplitude), c.volume)); math.Abs(got/c.want-1) > 1e-4 {
			t.Errorf("%+v: level %.5f", c, got)
		}
	}
	if got := levelled(nil, 0); len(got) != 0 {
		t.Error("something of nothing")
	}
	p := NewPlayback(tone(0.5), tone(0.1)[:24000], 48000, 0)
	left, right := listen(p, 0.9)
	for name, x := range map[string][]float64{"left": left[14400:], "right": right[14400:23000]} {
		if got := rms(x); math.Abs(got/0.06-1) > 0.01 {
			t.Errorf("%s at %.4f, want 0.06", name, got)
		}
	}
	if got := rms(right[24200:]); got != 0 {
		t.Errorf("the shorter side goes on at %g", got)
	}
	if n := p.Fill(make([]float32, 20000)); n != 4800 || p.Frames() != 48000 {
		t.Errorf("%d frames at the end, %d in all", n, p.Frames())
	}
}

// Made-up voices: the whistle swings by 0.6 % five times a second and is louder
// where it is high; the vowel's loudest harmonic is that nearest to its first formant.
func TestMadeUpVoices(t *testing.T) {
	c := whistle(1000)
	meanSquare := func(c *clip) float64 {
		sum := 0.0
		for i, x := range c.re {
			sum += float64(x)*float64(x) + float64(c.im[i])*float64(c.im[i])
		}
		return sum / float64(len(c.re))
	}
	if n := len(c.re); n != 4*clipRate || math.Abs(meanSquare(c)-1) > 1e-4 {
		t.Errorf("%d samples of mean square %g", n, meanSquare(c))
	}
	least, most := math.Inf(1), 0.0
	for i := 1; i < len(c.re); i++ {
		turn := math.Atan2(float64(c.im[i]*c.re[i-1]-c.re[i]*c.im[i-1]), float64(c.re[i]*c.re[i-1]+c.im[i]*c.im[i-1]))
		hz := turn/(2*math.Pi)*clipRate + 1500
		least, most = math.Min(least, hz), math.Max(most, hz)
	}
	if math.Abs(least-994) > 0.7 || math.Abs(most-1006) > 0.7 {
		t.Errorf("whistles between %.1f and %.1f Hz, want 994 and 1006", least, most)
	}
	v := sungVowel(120.1, 5, 0.001, vowelAh)
	if math.Abs(meanSquare(v)-1) > 1e-4 {
		t.Errorf("a vowel of mean square %g", meanSquare(v))
	}
	harmonic := func(hz float64) float64 {
		var re, im float64
		for i, x := range v.re {
			s, cs := math.Sincos(-2 * math.Pi * (hz - 1500) * float64(i) / clipRate)
			re += float64(x)*cs - float64(v.im[i])*s
			im += float64(x)*s + float64(v.im[i])*cs
		}
		return math.Hypot(re, im) / float64(len(v.re))
	}
	if a, b, c := harmonic(720), harmonic(600), harmonic(1200); a < 2*b || a < 1.5*c || harmonic(240) > 1e-3 {
		t.Errorf("at 720 Hz %.3f, at 600 %.3f, at 1200 %.3f, at 240 %.4f", a, b, c, harmonic(240))
	}
	// a formant: half its power at half its width, by its definition
	one := []formant{{1000, 100, 0}}
	at := func(hz float64) float64 { return vowelAmplitude(hz, 100, one) * hz / 100 }
	if math.Abs(at(1050)/at(1000)-1/math.Sqrt2) > 1e-9 || math.Abs(at(950)/at(1000)-1/math.Sqrt2) > 1e-9 {
		t.Errorf("half a width off: %.4f", at(1050)/at(1000))
	}
}
