package audio

import (
	"math"
	"testing"

	"driftdrill/assets"
	"driftdrill/audio/speech"
	"driftdrill/sim"
)

func utter(t *testing.T, text string) *speech.Utterance {
	t.Helper()
	b, err := speech.Load(assets.FS, "voices/spoken")
	if err != nil {
		t.Fatal(err)
	}
	u := b.Utter(text)
	u.Fill()
	return u
}

func quietRun() *fakeRun {
	return &fakeRun{fill: func(s *sim.State) { s.Keyed, s.NumSignals = false, 0 }}
}

func TestTextsAreSpokenInARunAndInItsPauses(t *testing.T) {
	run := quietRun()
	e := newTestEngine(t, run, Config{Headset: Headset{NoiseDB: -200}, SoftStartS: 0.01})
	listen(e, 0.1)
	e.Speak(utter(t, "Your over. Hold space"))
	if left, right := listen(e, 0.5); rms(left) < 0.02 || rms(right) < 0.02 {
		t.Errorf("in the run at %g and %g", rms(left), rms(right))
	}
	e.Pause(true)
	listen(e, 1.5)
	at := run.tick
	e.Speak(utter(t, "Paused. Resume"))
	left, _ := listen(e, 0.5)
	if rms(left) < 0.02 {
		t.Errorf("in the pause at %g", rms(left))
	}
	if run.tick != at {
		t.Error("the run went on while it was paused")
	}
	e.Speak(nil)
	listen(e, 0.1)
	if left, _ = listen(e, 0.3); rms(left) != 0 || e.Speaking() {
		t.Errorf("cut off, and still %g, speaking %v", rms(left), e.Speaking())
	}
}

// Speech goes through the limiter like everything else, at any volume, and can
// be heard where everything is turned off.
func TestSpeechPassesTheLimiterAndHasAFloor(t *testing.T) {
	for _, volume := range []float64{-60, -30, 0, 40} {
		e := newTestEngine(t, quietRun(), Config{Headset: Headset{NoiseDB: -200, VolumeDB: volume}, SoftStartS: 0.01})
		a := NewAnnouncer()
		a.SetVolume(volume)
		listen(e, 0.1)
		e.Speak(utter(t, "Settings"))
		a.Say(utter(t, "Settings"))
		left, _ := listen(e, 0.5)
		other, _ := listen(a, 0.5)
		for name, x := range map[string][]float64{"engine": left, "announcer": other} {
			peak := 0.0
			for _, v := range x {
				peak = math.Max(peak, math.Abs(v))
			}
			if peak > limiterCeiling*1.07 {
				t.Errorf("%s at %v dB: peak %.2f", name, volume, peak)
			}
			if want := math.Max(volume, speechFloorDB); volume < 10 && math.Abs(20*math.Log10(rms(x))-want+20) > 6 {
				t.Errorf("%s at %v dB: level %.1f dB, want about %.0f", name, volume, 20*math.Log10(rms(x)), want-20)
			}
		}
	}
}

func TestAnnouncerIsSilentAndEndless(t *testing.T) {
	a := NewAnnouncer()
	left, _ := listen(a, 0.2)
	if rms(left) != 0 {
		t.Error("sound from nothing")
	}
	a.Say(utter(t, "Drills"))
	buf := make([]float32, 480)
	if n := testing.AllocsPerRun(20, func() { a.Fill(buf) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
	listen(a, 2)
	if a.Busy() {
		t.Error("busy after the end")
	}
	if left, right := listen(a, 0.2); rms(left) != 0 || rms(right) != 0 {
		t.Errorf("after the end it goes on at %g and %g", rms(left), rms(right))
	}
	if n := a.Fill(buf); n != 240 {
		t.Errorf("%d frames: it has ended", n)
	}
}

// cueHearer finds the pulses in what is heard: for each 5 ms the level at the
// two pitches, in the ear where each is louder.
type cueHearer struct {
	last   int // sample of the last pulse
	period int // between the last two
	high   bool
	was    [2]bool
	n      int // samples heard
	pulses int
}

// hear takes 20 ms of both ears.
func (c *cueHearer) hear(left, right []float64) {
	loud := [2]bool{toneLevel(left, cueLowHz) > 0.4*cueLowPeak, toneLevel(right, cueHighHz) > 0.4*cueHighPeak}
	for i, on := range loud {
		if on && !c.was[i] && c.n-c.last > SampleRate*60/1000 {
			c.period, c.last, c.high = c.n-c.last, c.n, i == 1
			c.pulses++
		}
	}
	c.was = loud
	c.n += len(left)
}

// offset is what the pulses say, Hz; 0 where none came for a second.
func (c *cueHearer) offset() float64 {
	if c.n-c.last > SampleRate || c.pulses < 2 {
		return 0
	}
	rate := SampleRate / float64(c.period)
	off := cueTrueHz * (rate / cueSlowest) * (rate / cueSlowest)
	if !c.high {
		off = -off
	}
	return off
}

// aided is a run at a fixed offset, or one that a hand moves.
func aided(offset *float64) *fakeRun {
	return &fakeRun{fill: func(s *sim.State) {
		s.Keyed, s.AidsOn, s.OffsetHz = true, true, *offset
		s.Signals[0].OffsetHz = *offset
	}}
}

// The rate of the pulses tells the offset, the ear and the pitch its side.
func TestOffsetCueTellsHowFarAndWhichWay(t *testing.T) {
	for _, off := range []float64{-1500, -400, -100, -40, -20, 0, 20, 40, 100, 400, 1500} {
		e := newTestEngine(t, aided(&off), Config{OwnVoice: "tone", SoftStartS: 0.01})
		e.SetOffsetCue(true)
		var c cueHearer
		listen(e, 0.5)
		for range 200 {
			l, r := listen(e, 0.02)
			c.hear(l, r)
		}
		rate := float64(c.pulses) / 4
		if want := cueRate(off); math.Abs(rate-want) > 0.3+0.03*want {
			t.Errorf("%+.0f Hz: %.2f pulses a second, want %.2f", off, rate, want)
		}
		if c.pulses > 0 && c.high != (off > 0) {
			t.Errorf("%+.0f Hz: told as on the other side", off)
		}
	}
}

// The pulses stay 12 dB below the return, add nothing at the pitches of the
// comparison (300 to 2700 Hz) and do not click.
func TestOffsetCueIsSoft(t *testing.T) {
	off := 400.0
	sound := func(cue bool, change func(*sim.State)) (left, right []float64) {
		run := aided(&off)
		fill := run.fill
		run.fill = func(s *sim.State) {
			fill(s)
			if change != nil {
				change(s)
			}
		}
		e := newTestEngine(t, run, Config{OwnVoice: "tone", SoftStartS: 0.01, Headset: Headset{NoiseDB: -200}})
		e.SetOffsetCue(cue)
		listen(e, 0.5)
		return listen(e, 1)
	}
	for _, off = range []float64{400, -400} {
		l0, r0 := sound(false, nil)
		l1, r1 := sound(true, nil)
		diff := func(a, b []float64) []float64 {
			d := make([]float64, len(a))
			for i := range a {
				d[i] = b[i] - a[i]
			}
			return d
		}
		dl, dr := diff(l0, l1), diff(r0, r1)
		loudest := 0.0
		for i := 0; i+480 <= len(dl); i += 240 {
			loudest = math.Max(loudest, math.Max(rms(dl[i:i+480]), rms(dr[i:i+480])))
		}
		if loudest > referenceRMS*math.Pow(10, -12/20.0) || loudest < referenceRMS*math.Pow(10, -17/20.0) {
			t.Errorf("%+.0f Hz: pulses at %.1f dB against the return", off, 20*math.Log10(loudest/referenceRMS))
		}
		whole := rms(dl) + rms(dr)
		for hz := 350.0; hz <= 2650; hz += 100 {
			if v := toneLevel(dl, hz) + toneLevel(dr, hz); v > 0.02*whole {
				t.Errorf("%+.0f Hz: %.1f dB of the pulses at %.0f Hz", off, 20*math.Log10(v/whole), hz)
			}
		}
	}
	for name, change := range map[string]func(*sim.State){
		"key up":    func(s *sim.State) { s.Keyed = false },
		"aids away": func(s *sim.State) { s.AidsOn = false },
	} {
		l0, r0 := sound(false, change)
		l1, r1 := sound(true, change)
		for i := range l0 {
			if l0[i] != l1[i] || r0[i] != r1[i] {
				t.Errorf("%s: pulses all the same", name)
				break
			}
		}
	}
}

// A hand that hears nothing but the pulses brings its voice from +400 Hz to
// within 50 Hz, in noise and with its own tone in both ears.
func TestAHandByTheCueAlone(t *testing.T) {
	for _, off := range []float64{400, -400} {
		start := off
		e := newTestEngine(t, aided(&off), Config{OwnVoice: "tone", SoftStartS: 0.01})
		e.SetOffsetCue(true)
		var c cueHearer
		took := 0.0
		quiet := 0
		for ; took < 30 && quiet < 150; took += 0.02 {
			l, r := listen(e, 0.02)
			before := c.pulses
			c.hear(l, r)
			if quiet++; c.pulses == before {
				continue
			}
			if quiet = 0; c.pulses > 1 {
				off -= math.Round(0.3*c.offset()/20) * 20 // notches of 20 Hz
				if d := c.offset(); math.Abs(d) < 67 {
					off -= math.Copysign(20, d)
				}
			}
		}
		t.Logf("from %+.0f to %+.0f Hz in %.1f s by %d pulses", start, off, took, c.pulses)
		if math.Abs(off) > 50 {
			t.Errorf("from %+.0f Hz it came to %+.0f Hz only", start, off)
		}
	}
}

func TestOffsetCueDoesNotAllocate(t *testing.T) {
	off := 200.0
	e := newTestEngine(t, aided(&off), Config{OwnVoice: "tone"})
	e.SetOffsetCue(true)
	e.Speak(utter(t, "One two three four five six seven"))
	buf := make([]float32, 480)
	e.Fill(buf)
	if n := testing.AllocsPerRun(100, func() { e.Fill(buf) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// A prompt waits for the end of a spoken text, but not longer than it is worth.
func TestPromptsWaitForSpokenTexts(t *testing.T) {
	for text, want := range map[string]bool{"Now": true, "One two three four five six seven eight nine ten eleven twelve": false} {
		e, err := NewSceneEngine(quietRun(), fakeScene, bundled(t), Config{SoftStartS: 0.01, Headset: Headset{NoiseDB: -200}})
		if err != nil {
			t.Fatal(err)
		}
		listen(e, 0.1)
		u := utter(t, text)
		e.Speak(u)
		if e.Say("high") != 1 {
			t.Fatal("no prompt")
		}
		listen(e, u.Seconds()+0.03)
		left, _ := listen(e, 0.4)
		if got := rms(left) > 0.01; got != want {
			t.Errorf("after %q: prompt heard %v (%.4f), want %v", text, got, rms(left), want)
		}
	}
}
