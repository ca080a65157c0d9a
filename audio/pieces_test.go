package audio

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"testing"

	"driftdrill/sim"
)

// The pulses that tell the offset: none within 25 Hz, from two a second on,
// twice as many for four times the offset, never more than ten; on both sides alike.
func TestPulsesComeFasterFartherOff(t *testing.T) {
	for hz, want := range map[float64]float64{0: 0, 25: 0, 25.001: 2, 100: 4, 400: 8, 225: 6, 625: 10, 3000: 10} {
		for _, side := range []float64{1, -1} {
			if got := cueRate(side * hz); math.Abs(got-want) > 0.001 {
				t.Errorf("%g Hz: %.3f pulses a second, want %g", side*hz, got, want)
			}
		}
	}
	if got := cueRate(math.NaN()); got != 0 {
		t.Errorf("no number: %g", got)
	}
}

// An oscillator that glides has the phase that its frequency adds up to: over a
// block from f0 to f1 in a straight line, f0 t + (f1 - f0) t^2 / (2 T) turns
// (the table's own error is below 5e-6), on from block to block.
func TestGlidingOscillator(t *testing.T) {
	const n = 480
	o := oscillator{freq: 700}
	re, im := make([]float32, n), make([]float32, n)
	turns := 0.0
	from := 700.0
	for _, to := range []float64{700, 1200, -300, -300, 50} {
		o.next(to, SampleRate, n).write(re, im, 0.5)
		for i := range n {
			x := float64(i) / SampleRate
			p := 2 * math.Pi * (turns + from*x + (to-from)*x*x/(2*n/float64(SampleRate)))
			if math.Abs(float64(re[i])-0.5*math.Cos(p)) > 2e-5 || math.Abs(float64(im[i])-0.5*math.Sin(p)) > 2e-5 {
				t.Fatalf("from %g to %g Hz, sample %d: (%.5f, %.5f), want (%.5f, %.5f)", from, to, i, re[i], im[i], 0.5*math.Cos(p), 0.5*math.Sin(p))
			}
		}
		turns += (from + to) / 2 * n / SampleRate
		from = to
	}
	// turning forth by an oscillator and back by its opposite changes nothing
	forth, back := oscillator{freq: 500}, oscillator{freq: -500}
	for i := range re {
		re[i], im[i] = float32(math.Sin(float64(i))), float32(math.Cos(2*float64(i)))
	}
	forth.next(900, SampleRate, n).rotate(re, im)
	back.next(-900, SampleRate, n).rotate(re, im)
	for i := range re {
		if math.Abs(float64(re[i])-math.Sin(float64(i))) > 3e-5 || math.Abs(float64(im[i])-math.Cos(2*float64(i))) > 3e-5 {
			t.Fatalf("sample %d: (%.5f, %.5f)", i, re[i], im[i])
		}
	}
}

// A delay line gives a tone back later, by parts of a sample too (the cubic's
// error at 700 Hz is below -80 dB), gliding from one delay to the next in a
// straight line; it never reads what has not come yet, nor beyond its length.
func TestDelayLineDelays(t *testing.T) {
	const hz = 700.0
	for _, c := range []struct{ first, second float64 }{{0.01, 0.01}, {0.0123456, 0.0123456}, {0.02, 0.0203}, {0.3, 0.2997}} {
		var d delayLine
		n, written := tickFrames, 0
		re, im := make([]float32, n), make([]float32, n)
		delay := func(s float64, i int) float64 { return s }
		for tick := range 100 {
			for i := range re {
				s, cs := math.Sincos(2 * math.Pi * hz * float64(written+i) / SampleRate)
				re[i], im[i] = float32(cs), float32(s)
			}
			d.write(re, im)
			want := c.first
			if tick == 99 {
				want = c.second
				delay = func(s float64, i int) float64 { return c.first + (c.second-c.first)*float64(i+1)/float64(n) }
			}
			d.read(re, im, want)
			if tick >= 98 {
				for i := range re {
					at := float64(written+i)/SampleRate - delay(want, i)
					if s, cs := math.Sincos(2 * math.Pi * hz * at); math.Abs(float64(re[i])-cs) > 2e-3 || math.Abs(float64(im[i])-s) > 2e-3 {
						t.Fatalf("%+v, sample %d: (%.4f, %.4f), want (%.4f, %.4f)", c, i, re[i], im[i], cs, s)
					}
				}
			}
			written += n
		}
	}
	for _, c := range []struct{ asked, got float64 }{{0, 3}, {math.NaN(), 3}, {-1, 3}, {10, delayGreatest}} {
		var d delayLine
		re, im := make([]float32, tickFrames), make([]float32, tickFrames)
		d.write(re, im)
		if d.read(re, im, c.asked); d.delay != c.got {
			t.Errorf("asked for %g s: %g samples, want %g", c.asked, d.delay, c.got)
		}
	}
}

// Outside its passband a transponder falls in a straight line of decibels over
// its shoulder, and nothing passes beyond (assets/FILES.md, bird files).
func TestEdgeOfATransponder(t *testing.T) {
	s := Scene{MiddleHz: 145.9e6, WidthHz: 40e3, ShoulderHz: 3000, ShoulderDB: 40}
	for off, want := range map[float64]float64{0: 0, 19.9e3: 0, 20e3: 0, 20.75e3: -10, 21.5e3: -20, 22.25e3: -30, 22.999e3: -39.987} {
		for _, side := range []float64{1, -1} {
			if got := 20 * math.Log10(s.edgeGain(145.9e6+side*off)); math.Abs(got-want) > 0.001 {
				t.Errorf("%g Hz from the middle: %.3f dB, want %g", side*off, got, want)
			}
		}
	}
	if s.edgeGain(145.9e6+23e3) != 0 || s.edgeGain(145.9e6-50e3) != 0 {
		t.Error("something passes beyond the shoulder")
	}
	if s.WidthHz = 0; s.edgeGain(1) != 1 {
		t.Error("a scene without edges has one")
	}
	s.WidthHz, s.ShoulderHz = 40e3, 0
	if s.edgeGain(145.9e6+20001) != 0 || s.edgeGain(145.9e6+19999) != 1 {
		t.Error("without a shoulder the edge is no step")
	}
}

// The tilt glides within a tick: what comes out is the mean of both filters,
// weighed by how far the tick has gone (the filter is linear in its two gains).
func TestTiltGlides(t *testing.T) {
	tone := newTone(1100)
	input := func() (re, im []float32) {
		re, im = make([]float32, voiceFrames), make([]float32, voiceFrames)
		tone.fill(re, im)
		return re, im
	}
	run := func(gains ...[2]float32) (re, im []float32) {
		tone = newTone(1100)
		var f shoulder
		f.active = true
		for _, g := range gains {
			re, im = input()
			f.run(re, im, g[0], g[1])
		}
		return re, im
	}
	a, b := [2]float32{1, 0.2}, [2]float32{0.6, -0.9}
	aRe, aIm := run(a, a, a)
	bRe, bIm := run(b, b, b)
	re, im := run(a, a, b)
	for i := range re {
		w := float32(i+1) / voiceFrames
		if d := abs32(re[i]-(aRe[i]*(1-w)+bRe[i]*w)) + abs32(im[i]-(aIm[i]*(1-w)+bIm[i]*w)); d > 1e-4 {
			t.Fatalf("sample %d is off by %g", i, d)
		}
	}
}

// What counts as loud, worked by hand on a made-up clip: silence, a second at
// amplitude 0.5, silence. Trimming leaves 30 ms of silence at either end, and
// levelling brings the loud part to 1.
func TestLoudnessByHand(t *testing.T) {
	made := func(before, loud, after float64, amplitude float32) *clip {
		n := func(s float64) int { return int(s * clipRate) }
		c := &clip{re: make([]float32, n(before)+n(loud)+n(after)), im: make([]float32, n(before)+n(loud)+n(after))}
		for i := n(before); i < n(before)+n(loud); i++ {
			s, cs := math.Sincos(float64(i) / 5)
			c.re[i], c.im[i] = amplitude*float32(cs), amplitude*float32(s)
		}
		return c
	}
	c := made(0.5, 1, 0.25, 0.5)
	s := c.stretches()
	if len(s) != 35 || s[0] != 0 || math.Abs(s[12]-0.25) > 1e-4 || s[34] != 0 {
		t.Errorf("%d stretches: %v", len(s), s)
	}
	if got := loudest(s); math.Abs(got-0.25) > 1e-4 {
		t.Errorf("loudest %.4f, want 0.25", got)
	}
	c.trim()
	if got := float64(len(c.re)) / clipRate; math.Abs(got-1.06) > 0.011 || len(c.re) != len(c.im) {
		t.Errorf("trimmed to %.3f s, want 1.06", got)
	}
	if !c.level() || math.Abs(loudest(c.stretches())-1) > 0.01 {
		t.Errorf("levelled to %.3f", loudest(c.stretches()))
	}
	if made(1, 0, 0, 0).level() {
		t.Error("silence was levelled")
	}
	// -60 dB of full scale is 0.001; a voice needs 200 ms above it
	for _, k := range []struct {
		long      float64
		amplitude float32
		voice     bool
	}{{0.2, 0.0011, true}, {0.2, 0.0009, false}, {0.15, 0.5, false}, {0.2, 0.5, true}} {
		if got := made(0.1, k.long, 0.3, k.amplitude).holdsVoice(); got != k.voice {
			t.Errorf("%g s at %g: a voice %v", k.long, k.amplitude, got)
		}
	}
	if got := loudest(nil); got != 0 {
		t.Errorf("nothing is %g loud", got)
	}
}

// A fade takes its ticks, up and down, and knows when it is silent.
func TestFadesTakeTheirTime(t *testing.T) {
	ticks := func(f *fader, on bool) int {
		f.aim(on)
		for n := 1; ; n++ {
			_, to := f.tick()
			if math.Abs(float64(to-f.want)) < 1e-6 {
				return n
			}
			if n > 10000 {
				return -1
			}
		}
	}
	var f fader
	f.start(1)
	if !f.silent() {
		t.Error("not silent at first")
	}
	if n := ticks(&f, true); n < sim.TicksPerSecond-1 || n > sim.TicksPerSecond+1 {
		t.Errorf("the soft start of a second takes %d ticks", n)
	}
	if n := ticks(&f, false); n != fadeOutTicks {
		t.Errorf("out in %d ticks, want %d", n, fadeOutTicks)
	}
	if n := ticks(&f, true); n < fadeInTicks || n > fadeInTicks+1 {
		t.Errorf("in again in %d ticks, want %d", n, fadeInTicks)
	}
	if f.silent() {
		t.Error("silent at full level")
	}
}

// The header of a WAV file field by field, as RIFF has it (Multimedia
// Programming Interface and Data Specifications 1.0, 1991, from memory).
func TestWAVHeaderFields(t *testing.T) {
	for _, c := range []struct {
		format      WAVFormat
		code, bytes int
	}{{WAVInt16, 1, 2}, {WAVFloat32, 3, 4}} {
		var f memoryFile
		w, err := NewWAVWriter(&f, c.format, 2, 48000)
		if err != nil {
			t.Fatal(err)
		}
		if err := w.Write(make([]float32, 20)); err != nil {
			t.Fatal(err)
		}
		early := append([]byte(nil), f.b[:44]...)
		if err := w.Write(make([]float32, 20)); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		data := 40 * c.bytes
		var want bytes.Buffer
		for _, v := range []any{[]byte("RIFF"), uint32(36 + data), []byte("WAVEfmt "), uint32(16), uint16(c.code), uint16(2), uint32(48000), uint32(48000 * 2 * c.bytes), uint16(2 * c.bytes), uint16(8 * c.bytes), []byte("data"), uint32(data)} {
			_ = binary.Write(&want, binary.LittleEndian, v)
		}
		if !bytes.Equal(f.b[:44], want.Bytes()) || len(f.b) != 44+data {
			t.Errorf("header % x, want % x; %d bytes", f.b[:44], want.Bytes(), len(f.b))
		}
		if string(early[:4]) != "RIFF" || binary.LittleEndian.Uint32(early[4:]) != 36 || binary.LittleEndian.Uint32(early[40:]) != 0 {
			t.Errorf("before it is closed: % x", early)
		}
	}
	for _, bad := range [][2]int{{0, 48000}, {9, 48000}, {1, 0}} {
		if _, err := NewWAVWriter(&memoryFile{}, WAVInt16, bad[0], bad[1]); err == nil {
			t.Errorf("%d channels at %d Hz were taken", bad[0], bad[1])
		}
	}
	if _, err := NewWAVWriter(&memoryFile{}, WAVInt16, 8, 1); err != nil {
		t.Error(err)
	}
}

// How long a recording may be, to the sample; a writer to a pipe does not know
// its length, and then what is there counts.
func TestLongestRecording(t *testing.T) {
	file := func(samples int, said int64) []byte {
		b := wavBytes(1, 1, 8000, 16, make([]byte, 2*samples))
		if said >= 0 {
			binary.LittleEndian.PutUint32(b[len(b)-2*samples-4:], uint32(said))
		}
		return b
	}
	for _, c := range []struct {
		samples int
		said    int64
		want    int // samples; -1 = too long
	}{
		{16000, -1, 16000}, {16001, -1, -1}, {100, 0, 100}, {100, 0xffffffff, 100}, {100, 0x7ffff000, 100}, {100, 0x7fffefff, -1},
		{16000, 0, 16000}, {16001, 0, -1}, {100, 2000, 100}, {100, 32002, -1},
	} {
		r, err := ReadWAV(bytes.NewReader(file(c.samples, c.said)), "x.wav", 2)
		switch {
		case c.want < 0 && (err == nil || !strings.Contains(err.Error(), "2 s")):
			t.Errorf("%+v: said %v", c, err)
		case c.want >= 0 && (err != nil || len(r.Samples) != c.want):
			t.Errorf("%+v: %v", c, err)
		}
	}
	if r, err := ReadWAV(bytes.NewReader(wavBytes(1, 1, 8000, 16, make([]byte, 24000))), "x.wav", 0); err != nil || r.Seconds() != 1.5 {
		t.Errorf("%v", err)
	}
	for says, b := range map[string][]byte{
		"has samples of 12 bits": wavBytes(1, 1, 8000, 12, make([]byte, 100)), "has samples of 16 bits": wavBytes(3, 1, 8000, 16, make([]byte, 100)),
		"has 0 channels": wavBytes(1, 0, 8000, 16, make([]byte, 100)), "has 33 channels": wavBytes(1, 33, 8000, 16, make([]byte, 100)),
		"a rate of 3999 Hz": wavBytes(1, 1, 3999, 16, make([]byte, 100)), "a rate of 384001 Hz": wavBytes(1, 1, 384001, 16, make([]byte, 100)),
		"format 7": wavBytes(7, 1, 8000, 8, make([]byte, 100)), "holds no sound": wavBytes(1, 2, 8000, 16, make([]byte, 3)),
	} {
		if _, err := ReadWAV(bytes.NewReader(b), "x.wav", 0); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("said %v, want %q", err, says)
		}
	}
	for _, good := range [][3]int{{1, 32, 8000}, {1, 1, 4000}, {1, 1, 384000}} {
		if _, err := ReadWAV(bytes.NewReader(wavBytes(good[0], good[1], good[2], 16, make([]byte, 4000))), "x.wav", 0); err != nil {
			t.Error(err)
		}
	}
}

// What is heard on which ear and how loud, by hand: 20 dB are a factor of ten.
func TestEarsByHand(t *testing.T) {
	for _, c := range []struct {
		h                        Headset
		sidetone, receive, extra [2]float32
	}{
		{Headset{}, [2]float32{1, 1}, [2]float32{1, 1}, [2]float32{1, 1}},
		{Headset{VolumeDB: -20, SidetoneDB: -20}, [2]float32{0.01, 0.01}, [2]float32{0.1, 0.1}, [2]float32{0.1, 0.1}},
		{Headset{Split: true, ReturnDB: -20}, [2]float32{1, 0}, [2]float32{0, 0.1}, [2]float32{1, 1}},
		{Headset{Split: true, SplitSwap: true}, [2]float32{0, 1}, [2]float32{1, 0}, [2]float32{1, 1}},
		{Headset{BalanceDB: 20}, [2]float32{0.1, 1}, [2]float32{0.1, 1}, [2]float32{0.1, 1}},
		{Headset{BalanceDB: -20}, [2]float32{1, 0.1}, [2]float32{1, 0.1}, [2]float32{1, 0.1}},
		{Headset{SidetoneDB: -100}, [2]float32{0, 0}, [2]float32{1, 1}, [2]float32{1, 1}},
		{Headset{ReturnDB: math.NaN()}, [2]float32{1, 1}, [2]float32{0, 0}, [2]float32{1, 1}},
		{Headset{VolumeDB: 200, SidetoneDB: -40, ReturnDB: -99}, [2]float32{1, 1}, [2]float32{0.0011220185, 0.0011220185}, [2]float32{100, 100}},
	} {
		g := c.h.gains()
		for what, p := range map[string][2][2]float32{"sidetone": {g.sidetone, c.sidetone}, "receiver": {g.receive, c.receive}, "extras": {g.extra, c.extra}} {
			for ear := range 2 {
				if got, want := float64(p[0][ear]), float64(p[1][ear]); math.Abs(got-want) > 1e-5*(1+want) {
					t.Errorf("%+v: %s on ear %d: %g, want %g", c.h, what, ear, got, want)
				}
			}
		}
	}
}

// The lift of a region in dB over frequency: all of its 10 dB in the middle, half
// of them at its edges, none far away (a peaking filter's definition).
func TestLiftByFrequency(t *testing.T) {
	for r := RegionLow; r <= RegionHigh; r++ {
		low, high := regionEdges[r][0], regionEdges[r][1]
		for _, c := range []struct{ hz, want, within float64 }{{math.Sqrt(low * high), 10, 0.05}, {low, 5, 0.4}, {high, 5, 0.4}, {low / 8, 0, 0.4}, {high * 8, 0, 0.4}} {
			var l lift
			l.set(r)
			frames := make([]float32, 2*SampleRate)
			for i := range SampleRate {
				v := float32(math.Sin(2 * math.Pi * c.hz * float64(i) / SampleRate))
				frames[2*i], frames[2*i+1] = v, -v
			}
			l.run(frames)
			sum := [2]float64{}
			for i := SampleRate / 2; i < SampleRate; i++ {
				sum[0] += float64(frames[2*i]) * float64(frames[2*i])
				sum[1] += float64(frames[2*i+1]) * float64(frames[2*i+1])
			}
			for ear := range sum {
				if got := 10 * math.Log10(sum[ear]/(SampleRate/4)); math.Abs(got-c.want) > c.within {
					t.Errorf("region %d, ear %d, %.0f Hz: %.2f dB, want %g", r, ear, c.hz, got, c.want)
				}
			}
		}
		if got := r.ToneHz(); math.Abs(got-math.Sqrt(low*high)) > 0.5 {
			t.Errorf("region %d: own tone at %g Hz", r, got)
		}
	}
	if got := fmt.Sprint(RegionAll.ToneHz(), Region(77).ToneHz()); got != fmt.Sprint(defaultPitchHz, defaultPitchHz) {
		t.Error(got)
	}
}
