package audio

import "testing"

// timed runs f as a benchmark and returns the processor time of one call in
// seconds. All figures are per second of processor time.
func timed(b *testing.B, f func()) float64 {
	b.Helper()
	b.ReportAllocs()
	f()
	from := processorSeconds(b)
	for b.Loop() {
		f()
	}
	return (processorSeconds(b) - from) / float64(b.N)
}

const tickS = 0.005

func BenchmarkEngineEightOthers(b *testing.B) {
	e := busyEngine(b, &fakeRun{fill: func(s *simState) {
		busyState(s)
		for i := range s.NumSignals {
			s.Signals[i].On = true
		}
	}}, Config{OwnVoice: "vowel"})
	buf := make([]float32, 2*tickFrames)
	b.ReportMetric(tickS/timed(b, func() { e.Fill(buf) }), "x_real_time")
}

func BenchmarkReceiver(b *testing.B) {
	r := newReceiver()
	re, im := make([]float32, passSamples), make([]float32, passSamples)
	newNoise(1, 2).add(re, im, 1, 1)
	out := make([]float32, tickFrames)
	b.ReportMetric(passSamples/timed(b, func() { r.run(out, re, im, 9500) })/1e6, "Msample/s")
}

func BenchmarkNoise(b *testing.B) {
	n := newNoise(1, 1)
	re, im := make([]float32, passSamples), make([]float32, passSamples)
	b.ReportMetric(passSamples/timed(b, func() { n.add(re, im, 1, 1) })/1e6, "Msample/s")
}

func BenchmarkChannel(b *testing.B) {
	c := &channel{wantGain: 1, gain: 1, wantHz: 1000, voice: newClipVoice(0, whistle(1000).keep())}
	re, im := make([]float32, passSamples), make([]float32, passSamples)
	b.ReportMetric(passSamples/timed(b, func() {
		c.speak()
		c.add(re, im)
	})/1e6, "Msample/s")
}

func BenchmarkLimiter(b *testing.B) {
	l := newLimiter()
	x := make([]float32, 2*tickFrames)
	b.ReportMetric(tickS/timed(b, func() { l.run(x) }), "x_real_time")
}

// BenchmarkTaps is the bare multiply-accumulate limit of the filters: complex
// data through 169 real symmetric taps.
func BenchmarkTaps(b *testing.B) {
	f := newReceiver().ssb
	re, im := make([]float32, baseSamples), make([]float32, baseSamples)
	b.ReportMetric(timed(b, func() { f.run(re, im, re, im) })*1e9/(2*baseSamples*filterTaps), "ns/MAC")
}
