package audio_test

import (
	"math"
	"testing"

	"driftdrill/audio"
	"driftdrill/sim"
	"driftdrill/testdata/race"
)

// benchSound renders a ready drill with one thing changed, a tone as own
// voice and no noise, with commands at seconds against AOS, and returns the right
// ear from one second after AOS on, the own key down, and the last state.
func benchSound(t *testing.T, change func(*sim.Bench), seconds float64) ([]float64, sim.State) {
	t.Helper()
	setup := demoSetup(t, "ready")
	setup.Bench.Found = setup.Bench.Wants
	change(setup.Bench)
	setup.Others, setup.Partner = nil, -1
	setup.Drill.Traffic.NoBeacon = true
	run, e := realEngine(t, setup, audio.Config{OwnVoice: "tone", Headset: audio.Headset{Split: true, NoiseDB: -200}})
	tick := make([]float32, 2*240)
	for range setup.AOSTick {
		run.Step(nil)
	}
	run.Post(sim.CommandLatch, 1)
	for range sim.TicksPerSecond {
		e.Fill(tick)
	}
	sound := make([]float32, 2*int(seconds*audio.SampleRate))
	e.Fill(sound)
	right := make([]float64, len(sound)/2)
	for i := range right {
		right[i] = float64(sound[2*i+1])
	}
	var s sim.State
	run.Snapshot(&s)
	return right, s
}

// loudest is the strongest frequency of a sound between 200 and 3000 Hz, Hz.
func loudest(x []float64) (hz, amplitude float64) {
	for f := 200.0; f <= 3000; f += 2 {
		if a := level(x, f); a > amplitude {
			hz, amplitude = f, a
		}
	}
	return hz, amplitude
}

// level is the amplitude of a frequency in a sound, by a Hann window.
func level(x []float64, f float64) float64 {
	var re, im, sum float64
	for i, v := range x {
		w := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(len(x)))
		s, c := math.Sincos(2 * math.Pi * f * float64(i) / audio.SampleRate)
		re, im, sum = re+w*v*c, im+w*v*s, sum+w
	}
	return 2 * math.Hypot(re, im) / sum
}

// What is left wrong at the radios is heard: with the RIT on the own tone comes
// back off by it; on one wrong sideband not at all at zero beat, as the other
// side of the carrier lies outside a receiver of 300 to 2700 Hz (practice of the
// trade), and 3 kHz aside turned over.
func TestRadiosLeftWrongAreHeard(t *testing.T) {
	if race.On {
		t.Skip("ten runs of one goroutine; flown without the race detector")
	}
	sound, s := benchSound(t, func(*sim.Bench) {}, 0.5)
	own, amplitude := loudest(sound)
	if math.Abs(own-700-s.OffsetHz) > 5 || math.Abs(s.OffsetHz) > 100 {
		t.Fatalf("all right: heard at %.0f Hz with an offset of %.0f", own, s.OffsetHz)
	}
	sound, s = benchSound(t, func(b *sim.Bench) { b.Found[sim.BenchRIT], b.RITHz = 1, -430 }, 0.5)
	off, _ := loudest(sound)
	if math.Abs(off-own+float64(s.Bench.RITHz)) > 5 {
		t.Errorf("RIT of %d Hz: heard at %.0f Hz, without at %.0f", s.Bench.RITHz, off, own)
	}
	for _, k := range []sim.BenchSetting{sim.BenchReceiveSideband, sim.BenchUplinkSideband} {
		wrong := func(b *sim.Bench) { b.Found[k] = 1 - b.Wants[k] }
		sound, _ = benchSound(t, wrong, 0.5)
		if _, a := loudest(sound); a > amplitude/30 {
			t.Errorf("%s wrong at zero beat: heard at %.4f, right at %.4f", k, a, amplitude)
		}
	}
	// The transmitter wrong and its carrier 2.5 kHz up on the downlink: a tone a is heard at 2500 - a.
	sound, s = benchSound(t, func(b *sim.Bench) {
		b.Found[sim.BenchUplinkSideband] = int64(sim.USB)
		b.UplinkHz[b.Found[sim.BenchUplinkMemory]-1] -= 2500
	}, 0.5)
	if hz, _ := loudest(sound); math.Abs(hz-(s.OffsetHz-700)) > 5 || s.OffsetHz < 2300 {
		t.Errorf("turned over: heard at %.0f Hz, want %.0f", hz, s.OffsetHz-700)
	}
}

// The loudspeaker goes into the microphone: what comes back goes up once more,
// shifted again by the own offset. It stays weaker than in headphones and below
// the limiter's ceiling, however long.
func TestLoudspeakerComesBack(t *testing.T) {
	if race.On {
		t.Skip("runs of one goroutine; flown without the race detector")
	}
	shift := func(b *sim.Bench) { b.UplinkHz[b.Found[sim.BenchUplinkMemory]-1] -= 300 }
	plain, s := benchSound(t, shift, 0.5)
	if s.OffsetHz < 200 {
		t.Fatalf("offset %.0f Hz", s.OffsetHz)
	}
	first, a := loudest(plain)
	again := first + s.OffsetHz
	hollow, _ := benchSound(t, func(b *sim.Bench) { shift(b); b.Found[sim.BenchHeadphones] = 0 }, 0.5)
	if x, y := level(plain, again)/level(plain, first), level(hollow, again)/level(hollow, first); x > 0.02 || y < 0.2 {
		t.Errorf("at %.0f Hz once more: %.3f of the return in headphones, %.3f before the loudspeaker", again, x, y)
	}
	if b := level(hollow, first); b > 0.6*a {
		t.Errorf("the loudspeaker has %.3f, headphones %.3f", b, a)
	}
	long, _ := benchSound(t, func(b *sim.Bench) { b.Found[sim.BenchHeadphones], b.Found[sim.BenchKeying] = 0, 1 }, 20)
	for i, x := range long {
		if math.Abs(x) > 0.5 {
			t.Fatalf("%.3f after %.2f s", x, float64(i)/audio.SampleRate)
		}
	}
}
