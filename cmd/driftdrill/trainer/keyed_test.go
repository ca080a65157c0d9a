package trainer

import (
	"testing"

	"driftdrill/sim"
	"driftdrill/sim/morse"
)

// morseSetup prepares a drill in Morse with some key.
func morseSetup(t *testing.T, key sim.MorseKey) sim.Setup {
	t.Helper()
	f := Flight{Drill: "first-hold-cw", Seed: 3}
	setup, err := f.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	setup.Morse = key
	return setup
}

// marks steps a run while some contacts are closed, and returns for how many ticks
// the carrier was on each time.
func marks(t *testing.T, key sim.MorseKey, ticks int, paddle func(tick int, k *keyedRun)) []int {
	t.Helper()
	run, err := sim.NewRun(morseSetup(t, key))
	if err != nil {
		t.Fatal(err)
	}
	k := newKeyedRun(run)
	var s sim.State
	var out []int
	n := 0
	for tick := range ticks {
		paddle(tick, k)
		k.Step(&s)
		if s.Carrier {
			n++
		} else if n > 0 {
			out, n = append(out, n), 0
		}
	}
	return out
}

func equal(a, b []int) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// The contacts of the desk key the carrier in the very tick: a dot of 30 words per
// minute is eight ticks of 5 ms (M.1677-1 and PARIS: 40 ms), a dash 24.
func TestPaddlesKeyTheCarrier(t *testing.T) {
	key := sim.MorseKey{Kind: morse.IambicB, WPM: 30}
	tap := func(dot, dash bool) func(int, *keyedRun) {
		return func(tick int, k *keyedRun) {
			switch tick {
			case 10:
				k.paddle(dot, dash)
				k.paddle(false, false) // closed for less than a tick
			}
		}
	}
	swapped := key
	swapped.Swapped = true
	straight := sim.MorseKey{Kind: morse.Straight}
	hold := func(tick int, k *keyedRun) {
		if tick == 10 || tick == 57 {
			k.paddle(false, tick == 10)
		}
	}
	for _, c := range []struct {
		name   string
		key    sim.MorseKey
		paddle func(int, *keyedRun)
		want   []int
	}{
		{"a short tap of the dot paddle", key, tap(true, false), []int{8}},
		{"a short tap of the dash paddle", key, tap(false, true), []int{24}},
		{"paddles that changed places", swapped, tap(true, false), []int{24}},
		{"a straight key, by either contact", straight, hold, []int{47}},
		{"the usual key at its usual speed", sim.MorseKey{}, tap(true, false), []int{14}}, // 240/18 = 13.3 ticks
	} {
		if got := marks(t, c.key, 200, c.paddle); !equal(got, c.want) {
			t.Errorf("%s: %v ticks, want %v", c.name, got, c.want)
		}
	}
}
