//go:build e2e && linux

package main

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/assets"
	"driftdrill/audio/speech"
)

// listenerByEar is a person who cannot see the window, on a computer without
// any speech program: what reaches him is the sound.
type listenerByEar struct {
	*stage
	heard *ears
	words *speech.Bank
}

// hears waits for a text in the recorded sound from frame from on, and returns
// the frame at which it begins and how like the rendered text it is (1 = the
// same): the correlation over the text's first 0.7 s, looked for at 8 kHz and
// taken at 48 kHz.
func (l *listenerByEar) hears(from int, within time.Duration, text string) (at int, like float64) {
	l.t.Helper()
	want := l.rendered(text)
	span := int(within.Seconds() * 48000)
	l.until("sound to go on", func() bool { return l.heard.frames() >= from+span+len(want) })
	y := l.heard.ear(left, from, span+len(want))
	const part = 48000 / 4
	for off := 0; off == 0 || off+part <= len(want); off += part { // the sound may have run dry in one of them
		first := want[off:min(off+part, len(want))]
		rough, _ := find(decimate(first, 6), decimate(y, 6), off/6, (span+off)/6)
		place, _ := find(first, y, max(6*rough-12, off), 6*rough+12)
		if c := inPieces(want, y, place-off); c > like {
			at, like = place-off, c
		}
	}
	return from + at, like
}

// inPieces is how like x is to what stands in y from at on, tenth of a second by
// tenth, by their energy: where the sound ran dry for a moment the rest comes
// later, by up to a tenth of a second each time.
func inPieces(x, y []float64, at int) float64 {
	const piece = 4800
	sum, all := 0.0, 0.0
	for i := 0; i+piece <= len(x); i += piece {
		energy := 0.0
		for _, v := range x[i : i+piece] {
			energy += v * v
		}
		d, like := find(x[i:i+piece], y, at+i, at+i+4)
		if like < 0.9 {
			if late, c := find(x[i:i+piece], y, at+i, at+i+4800); c > like+0.1 {
				d, like = late, c
			}
		}
		if like > 0.5 { // otherwise nothing of it was found there
			at = d - i
		}
		sum, all = sum+energy*like, all+energy
	}
	return sum / all
}

// rendered is the beginning of a text as a player plays it.
func (l *listenerByEar) rendered(text string) []float64 {
	u := l.words.Utter(text)
	u.Fill()
	var p speech.Player
	p.Say(u)
	x := make([]float32, int(min(0.7, u.Seconds())*speech.OutRate))
	p.Add(x, 1)
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = float64(v)
	}
	return y
}

// decimate keeps one of n samples, each the mean of n.
func decimate(x []float64, n int) []float64 {
	y := make([]float64, len(x)/n)
	for i := range y {
		for k := range n {
			y[i] += x[n*i+k] / float64(n)
		}
	}
	return y
}

// find gives where in y, between two samples, x fits best, and the correlation
// there; from and 0 where nothing of it is there.
func find(x, y []float64, from, to int) (at int, like float64) {
	from = max(from, 0)
	at = from
	own := 0.0
	for _, v := range x {
		own += v * v
	}
	for d := from; d <= to && d+len(x) <= len(y); d++ {
		sum, energy := 0.0, 0.0
		for i, v := range x {
			sum += v * y[d+i]
			energy += y[d+i] * y[d+i]
		}
		if c := sum / math.Sqrt(own*energy+1e-12); c > like {
			at, like = d, c
		}
	}
	return at, like
}

// says presses a key and checks that a text is heard after it. Where the sound
// ran dry in its midst, or came late, as it may on a busy machine, it is said
// again by F1, as a person would have it.
func (l *listenerByEar) says(key, text string) {
	l.t.Helper()
	best := 0.0
	for try := 0; try < 8 && best < 0.9; try++ {
		from := l.heard.frames()
		l.do("key %s", key)
		at, like := l.hears(from, 300*time.Millisecond, text)
		for span := time.Second; like < 0.9 && span <= 2*time.Second; span += time.Second {
			at, like = l.hears(from, span, text)
		}
		l.t.Logf("%.2f s after %s: %q, correlation %.3f", float64(at-from)/48000, key, text, like)
		key, best = "F1", max(best, like)
	}
	if best < 0.9 {
		l.t.Errorf("%q was not heard: correlation %.3f", text, best)
	}
}

// hearsOnce waits for a text that nobody can have said again, second by second.
// The sound may have run dry in it, so that it is held against another text.
func (l *listenerByEar) hearsOnce(from int, within time.Duration, text string) {
	l.t.Helper()
	at, like := from, 0.0
	for late := time.Duration(0); late < within && like < 0.9; late += time.Second {
		if a, c := l.hears(from+int(late.Seconds()*48000), time.Second, text); c > like {
			at, like = a, c
		}
	}
	_, other := l.hears(from, time.Second, "Logbook. your runs, and how you are doing")
	l.t.Logf("%.2f s after: %q, correlation %.3f; of another text %.3f", float64(at-from)/48000, text, like, other)
	if like < 0.9 && like < other+0.1 {
		l.t.Errorf("%q was not heard within %v: correlation %.3f, of another text %.3f", text, within, like, other)
	}
}

// TestEndToEndBundledVoice goes from the welcome to the marks of a run where
// the system has no voice: each page is heard in what the sound server plays.
func TestEndToEndBundledVoice(t *testing.T) {
	s := newStage(t)
	empty := filepath.Join(s.dir, "nothing")
	if err := os.MkdirAll(empty, 0o755); err != nil {
		t.Fatal(err)
	}
	for i, v := range s.env {
		if strings.HasPrefix(v, "PATH=") {
			s.env[i] = "PATH=" + empty // no speech program, nor any other
		}
	}
	config := filepath.Join(s.dir, "home", ".config", "driftdrill")
	if err := os.MkdirAll(config, 0o755); err != nil {
		t.Fatal(err)
	}
	s.write(filepath.Join(config, "settings.toml"), "[Levels]\nMasterDB = -6.0\nNoiseDB = -60.0\nOthersDB = -60.0\n")
	words, err := speech.Load(assets.FS, "voices/spoken")
	if err != nil {
		t.Fatal(err)
	}
	l := &listenerByEar{stage: s, heard: s.listen(), words: words}
	begun := l.heard.frames()
	app := s.start(s.program)
	app.begin()
	s.window(app)
	l.hearsOnce(begun, 20*time.Second, "Welcome to drift drill.")
	l.says("F1", "Everything is said aloud. The arrow keys and Tab go through the choices, Enter takes one.")
	l.says("Tab", "Say everything aloud: yes")
	l.says("Escape", "Skip all this? Press Enter.")
	l.says("Return", "Start page. The arrow keys go through the choices")
	l.says("Down", "The next passes.")
	l.says("Up", "Fly now")
	from := l.heard.frames()
	l.until("the sound to be closed, and the device to rest", func() bool { return l.heard.frames() > from+7*48000 })
	l.says("F1", "Fly now")
	from = l.heard.frames()
	l.do("key Return")
	l.hearsOnce(from, 10*time.Second, "First hold on FULMAR-3. Get ready.")
	l.until("three quiet seconds to pass", func() bool { return l.heard.frames() > from+5*48000 })
	l.pulsesAreHeard()
	l.heard.goesOn(t, from+48000, l.heard.frames())
	l.says("Escape", "Paused.")
	l.says("Down", "End the run.")
	from = l.heard.frames()
	l.do("key Return")
	l.hearsOnce(from, 30*time.Second, "Held")
	l.says("F1", "Held")
	if !app.running() {
		t.Errorf("the program has ended: %s", app.output.String())
	}
}

// pulsesAreHeard keys and finds the pulses that tell the offset: the drill
// begins with a voice that is too high, so they come in the right ear, high.
// Where a busy machine lets the sound run dry it goes on where it stopped, so
// the pulses are counted in what sounded.
func (l *listenerByEar) pulsesAreHeard() {
	l.t.Helper()
	const span = 2 * recordedRate
	l.do("keydown space")
	from := l.heard.frames() + recordedRate
	var r, le []float64
	l.until("two seconds of sound on the air", func() bool {
		n := l.heard.frames() - from
		if n < span {
			return false
		}
		r, le = joined(l.heard.ear(right, from, n), l.heard.ear(left, from, n))
		return len(r) >= span
	})
	l.do("keyup space")
	const block = 960 // 20 ms
	pulses, on := 0, false
	for i := 0; i+block <= span; i += block / 2 {
		high := tone(r[i:i+block], 2950)
		loud := high > 0.004 && high > 2*tone(le[i:i+block], 2950)
		if loud && !on {
			pulses++
		}
		on = loud
	}
	l.t.Logf("%d pulses in 2 s", pulses)
	if pulses < 7 || pulses > 21 { // 350 to 550 Hz and drifting away: 7.5 to 10 a second
		l.t.Errorf("%d pulses in 2 s, want 14 to 20 of a voice 400 Hz too high or more", pulses)
	}
}

// tone is the amplitude of a tone under a Hann window.
func tone(x []float64, hz float64) float64 {
	var re, im float64
	for i, v := range x {
		w := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(len(x)))
		s, c := math.Sincos(2 * math.Pi * hz * float64(i) / 48000)
		re, im = re+w*v*c, im+w*v*s
	}
	return 4 * math.Hypot(re, im) / float64(len(x))
}
