package recording

import (
	"math/rand/v2"
	"testing"
)

// Frames of 10 ms over a microphone's noise 45 dB below the talking: the edges
// of an over are where the voice begins and has died away, not where it is
// loud; clicks make no over and no longer one, a cut syllable does. Levels of
// dying words: those of espeak-ng, -30 to -38 dB for 0.1 to 0.2 s.
func TestEdgesOfOvers(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	const talk, dying, noise = 0.0, -35.0, -45.0
	put := func(level []float64, from, to int, db float64) {
		for i := from; i < to; i++ {
			level[i] = ratioOf(db)
		}
	}
	for _, c := range []struct {
		name string
		add  func(level []float64)
		want []span
	}{
		{"loud from end to end", func([]float64) {}, []span{{300, 700}}},
		{"dies away over 0.2 s", func(l []float64) { put(l, 700, 720, dying) }, []span{{300, 720}}},
		{"begins with a breath of 0.15 s", func(l []float64) { put(l, 285, 300, dying) }, []span{{285, 700}}},
		{"something soft 0.3 s after", func(l []float64) { put(l, 730, 760, dying) }, []span{{300, 700}}},
		{"a click 0.2 s after", func(l []float64) { put(l, 720, 722, talk) }, []span{{300, 700}}},
		{"a click a second after", func(l []float64) { put(l, 800, 804, talk) }, []span{{300, 700}}},
		{"a cut syllable of 40 ms", func(l []float64) { put(l, 720, 724, talk) }, []span{{300, 724}}},
		{"another over", func(l []float64) { put(l, 850, 950, talk) }, []span{{300, 700}, {850, 950}}},
		{"hums on, softly", func(l []float64) { put(l, 700, 1000, dying) }, []span{{300, 743}}}, // tailFrames, and padFrames before
	} {
		level := make([]float64, 1000)
		put(level, 0, len(level), noise)
		put(level, 300, 700, talk)
		c.add(level)
		for i := range level {
			level[i] *= 0.8 + 0.4*rng.Float64()
		}
		limit, _, ok := threshold(level)
		got := spansOf(level, limit)
		if !ok || len(got) != len(c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
			continue
		}
		const most = 5 // frames: what lies a little outside
		for i, s := range got {
			if w := c.want[i]; s.from > w.from || s.from < w.from-most || s.to < w.to || s.to > w.to+most {
				t.Errorf("%s: %v, want %v", c.name, got, c.want)
			}
		}
	}
}
