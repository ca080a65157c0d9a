package audio_test

import (
	"io/fs"
	"math"
	"testing"
	"time"

	"driftdrill/assets"
	"driftdrill/audio"
	"driftdrill/orbit"
	"driftdrill/sim"
)

// demoSetup prepares a bundled drill over the demo site.
func demoSetup(t testing.TB, drill string) sim.Setup {
	t.Helper()
	read := func(name string) []byte {
		b, err := fs.ReadFile(assets.FS, name)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	d, err := sim.ParseDrill(read("drills/"+drill+".toml"), drill)
	if err != nil {
		t.Fatal(err)
	}
	b, err := sim.ParseBird(read("birds/"+d.Bird+".toml"), d.Bird)
	if err != nil {
		t.Fatal(err)
	}
	f, err := assets.FS.Open("elements/demo.tle")
	if err != nil {
		t.Fatal(err)
	}
	sets, problems := orbit.ReadElements(f, "demo.tle")
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	var el orbit.Elements
	for _, e := range sets {
		if e.Catalog == b.Catalog {
			el = e
		}
	}
	site := orbit.Site{Name: "Quern Hill", LatDeg: 50, LonDeg: 8, AltM: 150}
	setup, err := sim.Prepare(d, b, el, site, el.Epoch.Add(time.Hour), 3)
	if err != nil {
		t.Fatal(err)
	}
	return setup
}

// realEngine begins a run of a setup and the sound that goes with it.
func realEngine(t testing.TB, setup sim.Setup, config audio.Config) (*sim.Run, *audio.Engine) {
	t.Helper()
	run, err := sim.NewRun(setup)
	if err != nil {
		t.Fatal(err)
	}
	voices, err := audio.LoadVoices(assets.FS)
	if err != nil {
		t.Fatal(err)
	}
	e, err := audio.NewEngine(run, &setup, voices, config)
	if err != nil {
		t.Fatal(err)
	}
	return run, e
}

// A run of the simulator, keyed and not touched: what is heard is the tone at
// its pitch plus the offset that the state tells, while the offset moves.
func TestRealRunIsHeardAtTheOffsetOfItsState(t *testing.T) {
	setup := demoSetup(t, "first-hold")
	run, e := realEngine(t, setup, audio.Config{OwnVoice: "tone", Headset: audio.Headset{Split: true}})
	run.Post(sim.CommandLatch, 1)
	sound := make([]float32, 2*audio.SampleRate/2)
	var state sim.State
	for half := range 16 {
		e.Fill(sound)
		run.Snapshot(&state)
		if half < 8 || !state.Keyed {
			continue
		}
		// The middle of this half second lies 0.25 s back, less 9 ms of receiver and limiter.
		want := 700 + state.OffsetHz - state.RateHzS*(0.25+0.009)
		got := strongest(sound, want)
		if math.Abs(got-want) > 1.5 { // the pitch glides by some Hz within the half second
			t.Errorf("after %d half seconds: %.2f Hz heard, want %.2f (offset %.2f, %.1f Hz/s)", half, got, want, state.OffsetHz, state.RateHzS)
		}
	}
	if !state.Keyed {
		t.Error("never keyed")
	}
}

// strongest finds the tone near guess in the right ear.
func strongest(sound []float32, guess float64) float64 {
	best, at := 0.0, 0.0
	for f := guess - 6; f <= guess+6; f += 0.5 {
		var re, im float64
		n := len(sound) / 2
		for i := range n {
			w := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(n))
			s, c := math.Sincos(2 * math.Pi * f * float64(i) / audio.SampleRate)
			re += w * float64(sound[2*i+1]) * c
			im += w * float64(sound[2*i+1]) * s
		}
		if p := re*re + im*im; p > best {
			best, at = p, f
		}
	}
	return at
}
