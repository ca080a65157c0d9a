//go:build e2e && linux

package main

import (
	"math"
	"slices"
	"testing"

	"driftdrill/sim"
)

// spell is a stretch of tone in the left ear: the frames at which those of its
// 5 ms begin that sound, in order. A tick of the simulation is as long, so one
// of them is one tick, also where the sound ran dry in between.
type spell []int

// spells finds the stretches of tone in the left ear. Breaks shorter than a
// second are no keying: there the sound ran dry.
func (e *ears) spells(hz float64) []spell {
	var found []spell
	const longestBreak = recordedRate
	for k, l := range envelope(e.ear(left, 0, e.frames()), hz) {
		if l < leastLevel {
			continue
		}
		at := k * envelopeSpan
		n := len(found)
		if n == 0 || at-found[n-1][len(found[n-1])-1] > longestBreak {
			found = append(found, nil)
			n++
		}
		found[n-1] = append(found[n-1], at)
	}
	return found
}

// sample returns the frame of the recording at which a tick of a keying was
// heard, counted from the nearer end of the spell; -1 if it was not.
func (s spell) sample(k keying, tick sim.Tick) int {
	i := int(tick - k.from)
	if tick-k.from > k.to-tick {
		i = len(s) - int(k.to-tick)
	}
	if i < 0 || i >= len(s) {
		return -1
	}
	return s[i]
}

// shortestGap is a time of silence that noise and tones never have by chance.
const shortestGap = recordedRate / 2000

// gaps are the stretches in which x is nothing at all: where the sound ran dry
// the sound library and the server put zeros.
func gaps(x []float64) (n, frames int) {
	for i := 0; i < len(x); i++ {
		from := i
		for i < len(x) && x[i] == 0 {
			i++
		}
		if i-from >= shortestGap {
			n, frames = n+1, frames+i-from
		}
	}
	return n, frames
}

// joined is what sounded in both ears, without the stretches in which it ran dry.
func joined(x, y []float64) (xs, ys []float64) {
	for i := 0; i < len(x); i++ {
		from := i
		for i < len(x) && x[i] == 0 && y[i] == 0 {
			i++
		}
		if i-from < shortestGap {
			xs, ys = append(xs, x[from:i]...), append(ys, y[from:i]...)
		}
		if i < len(x) {
			xs, ys = append(xs, x[i]), append(ys, y[i])
		}
	}
	return xs, ys
}

// mostOthers is the share of the machine's time that others may have taken for
// sound that ran dry to be held against the program. Two busy processes take
// half of two cores, and it still does not run dry.
const mostOthers = 0.5

// goesOn checks that the sound of a flight hardly ever ran dry between two
// frames of the recording. Where it does so by itself, on two cores that also
// draw, that is four to ten times a second; a busy machine may do it now and
// then, and one that others kept busy throughout proves nothing.
func (e *ears) goesOn(t *testing.T, from, to int) {
	t.Helper()
	others := timesNow().others(e.begun)
	both := e.ear(left, from, to-from)
	for i, r := range e.ear(right, from, to-from) {
		both[i] = math.Abs(both[i]) + math.Abs(r)
	}
	n, frames := gaps(both)
	seconds := float64(to-from) / recordedRate
	t.Logf("the sound ran dry %d times in %.0f s, %.0f ms in all; others took %.0f %% of the machine", n, seconds, float64(frames)*1000/recordedRate, 100*others)
	if others > mostOthers {
		t.Log("others kept this machine busy: that the sound runs dry proves nothing")
		return
	}
	if share := float64(frames) / float64(to-from); float64(n) > 2*seconds || share > 0.05 {
		t.Errorf("the sound ran dry %.1f times a second, for %.1f %% of the time", float64(n)/seconds, 100*share)
	}
}

// The measures are held against tones made here: a test that measures a
// recording is worth no more than they are.
func TestEndToEndMeasures(t *testing.T) {
	for _, c := range []struct{ hz, rate float64 }{{700, 0}, {333.3, 20}, {1912.7, -20}} {
		x := make([]float64, pitchSpan)
		seed := uint32(1)
		for i := range x {
			s := (float64(i) - pitchSpan/2) / recordedRate
			seed = seed*1664525 + 1013904223
			x[i] = 0.2*math.Sin(2*math.Pi*(c.hz*s+c.rate*s*s/2)) + 0.05*(float64(seed)/(1<<31)-1)
		}
		if n, _ := gaps(x); n != 0 {
			t.Errorf("%.1f Hz: %d gaps found where there are none", c.hz, n)
		}
		broken := slices.Clone(x)
		clear(broken[:shortestGap])
		clear(broken[1000 : 1000+2*shortestGap])
		clear(broken[2000 : 2000+shortestGap-1])
		if n, frames := gaps(broken); n != 2 || frames != 3*shortestGap {
			t.Errorf("%.1f Hz: %d gaps of %d frames found, want 2 of %d", c.hz, n, frames, 3*shortestGap)
		}
		if left, right := joined(broken, broken); len(left) != len(x)-3*shortestGap || len(right) != len(left) {
			t.Errorf("%.1f Hz: %d of %d frames are left without the gaps", c.hz, len(left), len(x))
		}
		got, above := pitch(x, 250, 2750)
		if math.Abs(got-c.hz) > 0.3 || above < 20 {
			t.Errorf("tone of %v Hz, %v Hz/s: measured %.2f, %.0f dB above", c.hz, c.rate, got, above)
		}
	}
	e := &ears{samples: make([]float32, 2*96000)}
	for i := 20160; i < 60000; i++ {
		if i < 40000 || i > 42400 { // ran dry for 50 ms
			e.samples[2*i+left] = float32(0.1 * math.Sin(2*math.Pi*700*float64(i)/recordedRate))
		}
	}
	got := e.spells(700)
	if len(got) != 1 || got[0][0] != 20160 || len(got[0]) < 155 || len(got[0]) > 157 || got[0][len(got[0])-1] != 59760 {
		t.Errorf("spells %v, want one from 20160 to 60000 with 10 of its 5 ms missing", got)
	}
	if sounding(e.ear(left, 36000, pitchSpan)) || !sounding(e.ear(left, 24000, pitchSpan)) {
		t.Error("a tone that ran dry passes for a whole one, or the other way round")
	}
}
