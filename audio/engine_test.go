package audio

import (
	"fmt"
	"math"
	"testing"

	"driftdrill/sim"
)

// The sign and size of an SSB receiver's mistuning: a tone a arrives at a+e
// (practice of the trade; for LSB the sign of the radio frequency is turned).
func TestReturnedToneSoundsAtPitchPlusOffset(t *testing.T) {
	for _, lsb := range []bool{false, true} {
		for _, offset := range []float64{0.4, -25, -350, 1234.5} {
			t.Run(fmt.Sprintf("lsb=%v e=%g", lsb, offset), func(t *testing.T) {
				run := &fakeRun{fill: func(s *sim.State) {
					s.Signals[0].OffsetHz = offset
					if lsb {
						s.ReceiveSideband = sim.LSB
						s.Signals[0].Sideband = sim.LSB
						s.Signals[0].OffsetHz = -offset
					}
				}}
				e := newTestEngine(t, run, Config{Headset: Headset{Split: true}})
				listen(e, 0.25)
				left, right := listen(e, 1)
				if got := toneHz(left, 700); math.Abs(got-700) > 0.001 {
					t.Errorf("sidetone at %.4f Hz, want 700", got)
				}
				if got := toneHz(right, 700+offset); math.Abs(got-700-offset) > 0.1 {
					t.Errorf("return at %.4f Hz, want %g", got, 700+offset)
				}
			})
		}
	}
}

// Sidetone against return beats at exactly |e| (acoustics: two tones).
func TestSidetoneAndReturnBeatAtTheOffset(t *testing.T) {
	const offset = 3.0
	run := &fakeRun{fill: func(s *sim.State) { s.Signals[0].OffsetHz = offset }}
	e := newTestEngine(t, run, Config{})
	listen(e, 0.5)
	left, _ := listen(e, 2)
	var envelope []float64 // mean square over 10 ms: seven periods of 700 Hz
	for i := 0; i+480 <= len(left); i += 480 {
		envelope = append(envelope, rms(left[i:i+480]))
	}
	deep, high, crossings := math.Inf(1), 0.0, 0
	for _, v := range envelope {
		deep, high = math.Min(deep, v), math.Max(high, v)
	}
	for i := 1; i < len(envelope); i++ {
		if (envelope[i] > high/2) != (envelope[i-1] > high/2) {
			crossings++
		}
	}
	if beats := float64(crossings) / 2 / 2; math.Abs(beats-offset) > 0.51 {
		t.Errorf("beat of %g Hz, want %g", beats, offset)
	}
	if deep > 0.15*high {
		t.Errorf("beat goes from %.4f to %.4f only", deep, high)
	}
}

func TestOwnVoiceIsSilentWhileNotKeyed(t *testing.T) {
	run := &fakeRun{fill: func(s *sim.State) { s.Keyed = s.Tick >= 400; s.Signals[0].On = s.Keyed }}
	e := newTestEngine(t, run, Config{Headset: Headset{Split: true, NoiseDB: -200}})
	left, right := listen(e, 1.9)
	if rms(left) > 1e-6 || rms(right) > 1e-6 {
		t.Errorf("unkeyed: sidetone %g, return %g", rms(left), rms(right))
	}
	listen(e, 0.5)
	left, right = listen(e, 1)
	if rms(left) < 0.09 || rms(right) < 0.09 {
		t.Errorf("keyed: sidetone %g, return %g", rms(left), rms(right))
	}
}

func TestFillLengthMakesNoDifference(t *testing.T) {
	make1 := func() *Engine {
		return busyEngine(t, &fakeRun{last: 200, fill: busyState}, Config{OwnVoice: "vowel", Seed: 5})
	}
	whole := make([]float32, 2*60000)
	n := make1().Fill(whole)
	pieces := make([]float32, 2*60000)
	e := make1()
	at := 0
	for _, k := range []int{1, 7, 240, 239, 241, 480, 1000, 3, 4096, 20000, 60000} {
		at += e.Fill(pieces[2*at : 2*min(at+k, 60000)])
	}
	if at != n {
		t.Fatalf("%d frames in pieces, %d at once", at, n)
	}
	for i := range whole {
		if whole[i] != pieces[i] {
			t.Fatalf("sample %d: %v at once, %v in pieces", i, whole[i], pieces[i])
		}
	}
}

// busyState puts oneself, a beacon and eight others on the air.
func busyState(s *sim.State) {
	s.NoiseDBWHz = -200
	t := s.Tick.Seconds()
	s.Signals[0] = sim.Signal{Kind: sim.SignalOwn, On: true, OffsetHz: 30 * t, LevelDBW: -155, DelayS: 0.012 + 1e-5*t}
	s.Signals[1] = sim.Signal{Kind: sim.SignalBeacon, On: true, OffsetHz: 12000 - 10*t, LevelDBW: -150}
	for i := range 8 {
		s.Signals[2+i] = sim.Signal{Kind: sim.SignalStation, Station: uint8(i), On: (int64(s.Tick)/400+int64(i))%2 == 0,
			OffsetHz: -16000 + 3500*float64(i) + 5*t, LevelDBW: -158 + float64(i), DelayS: 0.01}
	}
	s.NumSignals = 10
}

func TestFillTakesNoMemory(t *testing.T) {
	e := busyEngine(t, &fakeRun{fill: busyState}, Config{OwnVoice: "vowel"})
	buf := make([]float32, 2*tickFrames)
	e.Fill(buf)
	if n := testing.AllocsPerRun(200, func() { e.Fill(buf) }); n != 0 {
		t.Errorf("%g allocations per tick", n)
	}
}

// With the uplink on the wrong sideband the speech is turned about the
// carrier: a tone a arrives at D - a, D being the carrier's distance from the
// dial (practice of the trade), and below zero nothing is heard.
func TestWrongSidebandIsHeardAsInLife(t *testing.T) {
	for _, d := range []float64{1500, 2600, 0, -500} {
		run := &fakeRun{fill: func(s *sim.State) {
			s.NoiseDBWHz = -200
			s.Signals[0] = sim.Signal{Kind: sim.SignalOwn, On: true, Sideband: sim.LSB, OffsetHz: d, LevelDBW: -146, DelayS: 0.02}
		}}
		e := newTestEngine(t, run, Config{Headset: Headset{Split: true}})
		listen(e, 0.3)
		_, right := listen(e, 0.5)
		hz := d - 700
		if hz > 300 {
			if got := toneHz(right, hz); math.Abs(got-hz) > 0.1 {
				t.Errorf("D = %g: heard at %.2f Hz, want %g", d, got, hz)
			}
			if a := toneLevel(right, hz); a < 0.1 {
				t.Errorf("D = %g: level %g", d, a)
			}
		} else if a := toneLevel(right, math.Abs(hz)); a > 0.02 {
			t.Errorf("D = %g: %g Hz is heard at %g, and should not be there", d, math.Abs(hz), a)
		}
	}
}

// The return comes back late by the state's delay and the receiver's own.
func TestReturnIsLateByItsDelay(t *testing.T) {
	for _, delay := range []float64{0.003, 0.031, 0.3} {
		run := &fakeRun{fill: func(s *sim.State) {
			s.Keyed = s.Tick >= 100
			s.Signals[0].On, s.Signals[0].DelayS = s.Keyed, delay
		}}
		e := newTestEngine(t, run, Config{Headset: Headset{Split: true, NoiseDB: -200}})
		left, right := listen(e, 1.5)
		first := func(x []float64) float64 {
			for i, v := range x {
				if math.Abs(v) > 0.001 {
					return float64(i) / SampleRate
				}
			}
			return -1
		}
		got := first(right) - first(left)
		// a strong signal is heard from the filters' first half on, not from their middle
		if late := got - delay; late < 0 || late > ReceiverDelayMS/1000+0.002 {
			t.Errorf("delay %g s: heard %.4f s after the sidetone", delay, got)
		}
	}
}
