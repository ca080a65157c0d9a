package audio

import (
	"math"
	"testing"

	"driftdrill/sim"
)

// fakeRun fills states by a function of the tick; it stands in for a run.
type simState = sim.State

type fakeRun struct {
	tick sim.Tick
	last sim.Tick // done after this many; 0 is never
	fill func(s *sim.State)
}

func (f *fakeRun) Step(s *sim.State) {
	s.Tick = f.tick
	s.ReceiveHz = fakeDialHz
	s.NoiseDBWHz = fakeNoise
	s.NumSignals = 1
	s.Keyed = true
	s.Signals[0] = sim.Signal{Kind: sim.SignalOwn, On: true, Sideband: sim.USB, LevelDBW: -140, DelayS: 0.02}
	if f.fill != nil {
		f.fill(s)
	}
	f.tick++
}

func (f *fakeRun) Done() bool { return f.last > 0 && f.tick >= f.last }

const (
	fakeDialHz = 145910000
	fakeNoise  = -300 // dBW/Hz: hardly any
)

var fakeScene = Scene{CentreHz: 145900000}

func newTestEngine(t testing.TB, run Stepper, cfg Config) *Engine {
	t.Helper()
	if cfg.SoftStartS == 0 {
		cfg.SoftStartS = 0.01
	}
	return newSceneTestEngine(t, run, fakeScene, cfg)
}

// busyEngine has eight other stations that sing.
func busyEngine(t testing.TB, run Stepper, cfg Config) *Engine {
	t.Helper()
	scene := fakeScene
	scene.Others = make([]OtherScene, 8)
	return newSceneTestEngine(t, run, scene, cfg)
}

func newSceneTestEngine(t testing.TB, run Stepper, scene Scene, cfg Config) *Engine {
	t.Helper()
	e, err := NewSceneEngine(run, scene, nil, cfg)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// listen renders seconds and returns the ears.
func listen(e Source, seconds float64) (left, right []float64) {
	n := int(seconds * SampleRate)
	buf := make([]float32, 2*n)
	got := e.Fill(buf)
	for i := range got {
		left = append(left, float64(buf[2*i]))
		right = append(right, float64(buf[2*i+1]))
	}
	return left, right
}

// toneHz finds the frequency of the strongest tone near guess: the phase of
// the correlation with the guess is followed over the two halves of a Hann
// window each.
func toneHz(x []float64, guess float64) float64 {
	for range 3 {
		half := len(x) / 2
		p1 := correlate(x[:half], guess, 0)
		p2 := correlate(x[half:2*half], guess, half)
		d := math.Atan2(p2[1], p2[0]) - math.Atan2(p1[1], p1[0])
		d -= 2 * math.Pi * math.Round(d/(2*math.Pi))
		guess += d / (2 * math.Pi) * SampleRate / float64(half)
	}
	return guess
}

func correlate(x []float64, f float64, from int) [2]float64 {
	var re, im float64
	for i, v := range x {
		w := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(len(x)))
		s, c := math.Sincos(-2 * math.Pi * f * float64(i+from) / SampleRate)
		re += v * w * c
		im += v * w * s
	}
	return [2]float64{re, im}
}

// toneLevel is the amplitude of the tone at f.
func toneLevel(x []float64, f float64) float64 {
	p := correlate(x, f, 0)
	return 4 * math.Hypot(p[0], p[1]) / float64(len(x))
}

func rms(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(x)))
}
