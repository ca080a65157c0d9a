package audio

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"runtime"
	"strings"
	"testing"

	"driftdrill/assets"
	"driftdrill/testdata/race"
)

// The spoken call says the operator's own sign, letter by letter in the
// speaker's own clips, twice, in runs and in the trials of an exercise alike;
// without a sign of his own it is the recorded call.
func TestSpokenCallIsTheOperatorsOwn(t *testing.T) {
	voices, err := LoadVoices(assets.FS)
	if err != nil {
		t.Fatal(err)
	}
	for _, speaker := range voices.Speakers() {
		e := func(scene Scene) *kept {
			t.Helper()
			v, err := ownVoice("call", scene, voices, Config{Speaker: speaker})
			if err != nil {
				t.Fatal(err)
			}
			return v.(*clipVoice).clip
		}
		recorded, err := voices.clip(speaker, "call")
		if err != nil {
			t.Fatal(err)
		}
		if e(Scene{}) != recorded || e(Scene{Call: "q5hth"}) != recorded {
			t.Error("the recorded call is not said")
		}
		said := e(Scene{Call: "Q7ZEB/P"})
		at := 0
		for _, word := range []string{"cq", "satellite", "de", "q", "7", "z", "e", "b", "p", "", "q", "7", "z", "e", "b", "p", ""} {
			if word == "" {
				at += int(0.25 * clipRate)
				continue
			}
			k, err := voices.clip(speaker, word)
			if err != nil {
				t.Fatal(err)
			}
			sum, wrong := 0.0, 0.0
			for i := range k.len() {
				if at+i >= said.len() {
					t.Fatalf("%s: %q is cut off", speaker, word)
				}
				re, _ := k.at(i)
				got, _ := said.at(at + i)
				sum, wrong = sum+float64(re*re), wrong+float64((re-got)*(re-got))
			}
			if wrong > 1e-6*sum {
				t.Errorf("%s: at %.2f s it is not %q that is said", speaker, float64(at)/clipRate, word)
			}
			at += k.len() + int(0.06*clipRate)
		}
		if at != said.len() {
			t.Errorf("%s: %d samples, want %d", speaker, said.len(), at)
		}
	}
	if got := strings.Join(callWords("Q1A"), " "); got != "cq satellite de q 1 a  q 1 a " {
		t.Error(got)
	}
}

// wavOf writes seconds of a sliding tone as WAV of 48 kHz, stereo, 16 bits, as it is read.
type wavOf struct {
	head    *bytes.Reader
	at, end int // bytes of sound
	given   int
}

func newWavOf(seconds int) *wavOf {
	n := seconds * SampleRate * 4
	var b bytes.Buffer
	b.WriteString("RIFF")
	for _, v := range []any{uint32(36 + n), []byte("WAVEfmt "), uint32(16), uint16(1), uint16(2), uint32(SampleRate), uint32(4 * SampleRate), uint16(4), uint16(16), []byte("data"), uint32(n)} {
		_ = binary.Write(&b, binary.LittleEndian, v)
	}
	return &wavOf{head: bytes.NewReader(b.Bytes()), end: n}
}

// Read implements io.Reader.
func (w *wavOf) Read(p []byte) (int, error) {
	if w.head.Len() > 0 {
		return w.head.Read(p)
	}
	n := 0
	for ; n+4 <= len(p) && w.at < w.end; n, w.at = n+4, w.at+4 {
		x := float64(w.at/4) / SampleRate
		v := uint16(int16(8000 * math.Sin(2*math.Pi*700*x+3*math.Sin(9*x))))
		binary.LittleEndian.PutUint16(p[n:], v)
		binary.LittleEndian.PutUint16(p[n+2:], v)
	}
	w.given += n
	if n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

// The longest own voice that is taken, 120 s of it, takes no more memory in all
// than longVoiceBytes, read and made a voice; what is longer is refused before
// its sound is read. The same 119 s once cost 1.27 GB.
func TestLongOwnVoiceIsBounded(t *testing.T) {
	if race.On {
		t.Skip("one goroutine, whose memory is measured; run without the race detector")
	}
	const longVoiceBytes = 500e6 // allocated in all, what was let go of again included
	taken := func(do func()) float64 {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		do()
		runtime.ReadMemStats(&after)
		return float64(after.TotalAlloc - before.TotalAlloc)
	}
	long := newWavOf(600)
	if got := taken(func() {
		if _, err := ReadVoice(long, "long.wav"); err == nil || !strings.Contains(err.Error(), "120 s") {
			t.Errorf("ten minutes: %v", err)
		}
	}); got > 1e6 || long.given > 0 {
		t.Errorf("ten minutes are refused with %.1f MB, %d bytes of sound read", got/1e6, long.given)
	}
	var rec *Recording
	if got := taken(func() {
		var err error
		if rec, err = ReadVoice(newWavOf(119), "ok.wav"); err != nil {
			t.Fatal(err)
		}
	}); got > longVoiceBytes {
		t.Errorf("119 s take %.0f MB to read", got/1e6)
	} else {
		t.Logf("119 s take %.0f MB to read", got/1e6)
	}
	if got := taken(func() {
		if _, err := rec.voice(); err != nil {
			t.Fatal(err)
		}
	}); got > longVoiceBytes {
		t.Errorf("119 s take %.0f MB to be a voice", got/1e6)
	}
}
