package audio

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"driftdrill/sim"
	"driftdrill/sim/morse"
)

// byHand keys a text at a speed into a fake run; the signs as ITU-R M.1677-1 has
// them, written out here: nothing of the program's own code table is used.
func byHand(text string, wpm float64) (*fakeRun, float64) {
	var downs []bool // by tick
	at := 0.0
	add := func(down bool, dots int) {
		at += 1.2 / wpm * float64(dots) * sim.TicksPerSecond
		for len(downs) < int(at+0.5) {
			downs = append(downs, down)
		}
	}
	add(false, 7)
	for _, word := range strings.Fields(text) {
		for _, letter := range word {
			for _, sign := range readable[letter] {
				add(true, map[rune]int{'.': 1, '-': 3}[sign])
				add(false, 1)
			}
			add(false, 2)
		}
		add(false, 4)
	}
	return &fakeRun{fill: func(s *sim.State) {
		s.ByHand, s.Keyed, s.NoiseDBWHz = true, true, -204 // 30 dB in 2400 Hz
		s.Carrier = int(s.Tick) < len(downs) && downs[s.Tick]
	}}, float64(len(downs)) / sim.TicksPerSecond
}

// readable are the signs of the letters used here, ITU-R M.1677-1, section 1.1.1.
var readable = map[rune]string{'C': "-.-.", 'Q': "--.-", 'D': "-..", 'E': ".", '5': ".....", 'H': "....", 'T': "-", 'K': "-.-",
	'A': ".-", 'N': "-.", 'R': ".-.", 'O': "---", '3': "...--", '9': "----."}

// heardText decodes sound: where its envelope is above half of what marks usually have is a mark; two
// dots part dots from dashes and spaces inside a letter from those behind it.
func heardText(x []float64, wpm float64) string {
	const block = SampleRate / 1000 // 1 ms
	var env []float64
	for i := 0; i+4*block <= len(x); i += block {
		env = append(env, rms(x[i:i+4*block]))
	}
	sorted := slices.Sorted(slices.Values(env))
	top := sorted[len(sorted)*4/5] // the AGC overshoots at the first of all
	two := 2 * 1200 / wpm          // ms
	var out, sign strings.Builder
	length, down := 0.0, false
	for _, v := range env {
		now := v > top/2
		if now == down {
			length++
			if !now && length >= two && sign.Len() > 0 {
				out.WriteString(letterOf(sign.String()))
				sign.Reset()
			}
			if !now && length > 2.5*two && !strings.HasSuffix(out.String(), " ") {
				out.WriteByte(' ')
			}
			continue
		}
		if down {
			sign.WriteByte(map[bool]byte{true: '.', false: '-'}[length < two])
		}
		down, length = now, 1
	}
	return strings.TrimSpace(out.String())
}

func letterOf(sign string) string {
	for r, s := range readable {
		if s == sign {
			return string(r)
		}
	}
	return "*"
}

// What a hand keys is heard in both ears as it was keyed, sidetone and return on the
// chosen pitch at zero beat, through the narrow filter, at every speed.
func TestHandKeyedMorseIsHeardAsSent(t *testing.T) {
	const text = "CQ DE Q5HTH K"
	for _, wpm := range []float64{12, 20, 30} {
		for _, pitch := range []float64{400, 600, 1000} {
			run, length := byHand(text, wpm)
			e := newTestEngine(t, run, Config{OwnVoice: "cw", CWPitchHz: pitch, Filter: FilterCW, Headset: Headset{Split: true}})
			left, right := listen(e, length+0.5)
			if a, b := heardText(left, wpm), heardText(right, wpm); a != text || b != text {
				t.Errorf("%.0f words per minute, %.0f Hz: sidetone %q, return %q", wpm, pitch, a, b)
			}
		}
	}
}

// At zero beat the return has the sidetone's pitch, and e Hz off it lies e above.
func TestReturnPitchIsSidetonePlusOffset(t *testing.T) {
	for _, off := range []float64{0, 120, -90} {
		run := &fakeRun{fill: func(s *sim.State) {
			s.ByHand, s.Carrier = true, true
			s.Signals[0].OffsetHz = off
		}}
		e := newTestEngine(t, run, Config{OwnVoice: "cw", CWPitchHz: 650, Filter: FilterCW, Headset: Headset{Split: true, NoiseDB: -200}})
		listen(e, 0.5)
		left, right := listen(e, 1)
		if a, b := toneHz(left, 650), toneHz(right, 650+off); math.Abs(a-650) > 0.05 || math.Abs(b-650-off) > 0.05 {
			t.Errorf("sidetone %.2f Hz, return %.2f Hz; want 650 and %.0f", a, b, 650+off)
		}
	}
}

// aside is the power farther than farHz from a pitch, against all of it, dB.
func aside(x []float64, pitchHz, farHz float64) float64 {
	const n = 1 << 14
	fft := fourier.NewFFT(n)
	all, far := 0.0, 0.0
	for from := 0; from+n <= len(x); from += n / 2 {
		buf := make([]float64, n)
		for i := range buf {
			buf[i] = x[from+i] * (0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/n))
		}
		for k, c := range fft.Coefficients(nil, buf) {
			p := real(c)*real(c) + imag(c)*imag(c)
			all += p
			if math.Abs(float64(k)*SampleRate/n-pitchHz) > farHz {
				far += p
			}
		}
	}
	return 10 * math.Log10(far/all)
}

// The edges do not click: half a cosine over T = 5 ms has the spectrum of a hard edge
// times cos(pi f T) / (1 - (2 f T)^2), which 500 Hz away is at least 25 dB below it. Measured
// on dots at 30 words per minute against the same dots switched hard.
func TestEdgesOfHandKeyedMorseDoNotClick(t *testing.T) {
	run, length := byHand("HHHH HHHH HHHH", 30)
	e := newTestEngine(t, run, Config{OwnVoice: "cw", CWPitchHz: 700, Headset: Headset{Split: true, NoiseDB: -200}})
	left, _ := listen(e, length)
	hard := make([]float64, len(left))
	again, _ := byHand("HHHH HHHH HHHH", 30)
	var s sim.State
	for i := range hard {
		if i%tickFrames == 0 {
			again.Step(&s)
		}
		if s.Carrier {
			hard[i] = math.Sin(2 * math.Pi * 700 * float64(i) / SampleRate)
		}
	}
	soft, sharp := aside(left, 700, 500), aside(hard, 700, 500)
	if sharp < -30 || soft > sharp-20 || soft > -45 {
		t.Errorf("500 Hz and more aside: %.1f dB, switched hard %.1f dB", soft, sharp)
	}
	t.Logf("500 Hz and more aside: %.1f dB, switched hard %.1f dB", soft, sharp)
	if c := splatter(left); c > -50 {
		t.Errorf("%.1f dB above 4 kHz", c)
	}
}

// Another station's Morse is heard as its script says, from the middle of it too.
func TestStationsSendReadableMorse(t *testing.T) {
	const text, wpm = "CQ CQ DE Q3RN Q3RN K", 22.0
	scene := fakeScene
	scene.Others = []OtherScene{{Call: "Q3RN"}}
	scene.Scripts = []ScriptScene{{Voice: "cw", Morse: text, WPM: wpm}}
	length := float64(morse.Dots(text)) * 1.2 / wpm
	for _, late := range []sim.Tick{0, sim.Tick(math.Round(float64(morse.Dots("CQ CQ")+7) * 1.2 / wpm * sim.TicksPerSecond))} {
		run := &fakeRun{fill: func(s *sim.State) {
			s.Keyed, s.Signals[0].On = false, false
			s.NoiseDBWHz = -204
			at := s.Tick - 20 + late
			on := s.Tick >= 20 && at.Seconds() < length+0.02
			s.NumSignals = 2
			s.Signals[1] = sim.Signal{Kind: sim.SignalStation, On: on, Sideband: sim.USB, LevelDBW: -140, OffsetHz: 60, Script: -1}
			if on {
				s.Signals[1].Script, s.Signals[1].ScriptAt = 0, 20-late
			}
		}}
		e := newSceneTestEngine(t, run, scene, Config{SoftStartS: 0.01, CWPitchHz: 600, Filter: FilterCW, Headset: Headset{Split: true}})
		_, right := listen(e, length+1)
		want := text
		if late > 0 {
			want = "DE Q3RN Q3RN K"
		}
		if got := heardText(right, wpm); got != want {
			t.Errorf("from tick %d: %q, want %q", late, got, want)
		}
		if f := toneHz(right[SampleRate/5:SampleRate/5+SampleRate/20], 660); late == 0 && math.Abs(f-660) > 3 {
			t.Errorf("its pitch is %.1f Hz, want 660", f)
		}
	}
}
