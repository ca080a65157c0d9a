package onair

import (
	"io"
	"math"
	"path/filepath"
	"testing"
)

// How long a sound is stands in a WAV file. Of MP3 and Ogg Vorbis the bytes that
// were read tell it, roughly at first and at the end to a tenth: testdata's files
// hold the same sound as its WAV file.
func TestLengthIsToldWhileAFileIsRead(t *testing.T) {
	folder := filepath.Join("..", "..", "..", "..", "audio", "soundfile", "testdata")
	for _, name := range []string{"s16.wav", "layer3.mp3", "vorbis.ogg"} {
		s, err := Open(filepath.Join(folder, name))
		if err != nil {
			t.Fatal(err)
		}
		doneS, buf := 0.0, make([]float32, 1000*s.Channels())
		for err == nil {
			var n int
			n, err = s.Read(buf)
			doneS += float64(n) / float64(s.Rate())
			if of := s.OfS(doneS); doneS > 0 && of < doneS-1e-9 {
				t.Errorf("%s: %.2f of %.2f s", name, doneS, of)
			}
		}
		if of := s.OfS(doneS); err != io.EOF || math.Abs(of-doneS) > 0.1*doneS {
			t.Errorf("%s: at the end (%v) %.2f s, and %.2f s were read", name, err, of, doneS)
		}
		if s.OfS(0) != s.LengthS() {
			t.Errorf("%s: %.2f s before anything was read", name, s.OfS(0))
		}
		s.Close()
	}
}
