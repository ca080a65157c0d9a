package onair

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
)

// written writes one side of sound at 8 kHz to a file.
func written(t *testing.T, x []float64) string {
	t.Helper()
	b := append([]byte("RIFF\x00\x00\x00\x00WAVEfmt "), 16, 0, 0, 0, 1, 0, 1, 0, 0x40, 0x1f, 0, 0, 0x80, 0x3e, 0, 0, 2, 0, 16, 0)
	b = binary.LittleEndian.AppendUint32(append(b, "data"...), uint32(2*len(x)))
	for _, v := range x {
		b = binary.LittleEndian.AppendUint16(b, uint16(int16(32767*max(-1, min(1, v)))))
	}
	path := filepath.Join(t.TempDir(), "sound.wav")
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// made is 30 s of noise, and of what is added to it at a moment, seconds.
func made(noise float64, add func(t float64) float64) []float64 {
	r, x := rand.New(rand.NewPCG(5, 6)), make([]float64, 30*8000)
	for i := range x {
		x[i] = noise*r.NormFloat64() + add(float64(i)/8000)
	}
	return x
}

// Keyed tones are CW, one whose pitch slides among them; silence, noise, melodies,
// a buzz with harmonics like a voice's and a tone buried in noise are not. The
// sounds are made up by formulas; the command's verification has spoken ones.
func TestWhatSoundsLikeCW(t *testing.T) {
	tau := 2 * math.Pi
	key := func(t float64) float64 { // over of 6 s of dots, pause of 4 s
		if math.Mod(t, 10) > 6 || math.Mod(t, 0.16) > 0.1 {
			return 0
		}
		return 1
	}
	for _, c := range []struct {
		name string
		want bool
		x    []float64
	}{
		{"sidetone", true, made(0.001, func(t float64) float64 { return 0.3 * key(t) * math.Sin(tau*650*t) })},
		{"sliding by 2 Hz/s", true, made(0.05, func(t float64) float64 { return 0.3 * key(t) * math.Sin(tau*(600*t+t*t)) })},
		{"silence", false, make([]float64, 30*8000)},
		{"one click", false, func() []float64 { x := make([]float64, 30*8000); x[9000] = 1; return x }()},
		{"noise", false, made(0.1, func(float64) float64 { return 0 })},
		{"buried", false, made(0.3, func(t float64) float64 { return 0.1 * key(t) * math.Sin(tau*650*t) })},
		{"melody", false, made(0.001, func(t float64) float64 {
			return 0.3 * math.Sin(tau*220*math.Exp2(math.Mod(7*math.Floor(3*t), 24)/12)*t)
		})},
		{"buzz", false, made(0.001, func(t float64) float64 {
			sum := 0.0
			for h := 1.0; h < 20; h++ {
				sum += 0.05 * math.Sin(h*tau*(120*t+2*math.Sin(3*t)))
			}
			return sum * key(t)
		})},
	} {
		if got := SoundsLikeCW(t.Context(), written(t, c.x)); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
	if SoundsLikeCW(t.Context(), filepath.Join(t.TempDir(), "none.wav")) {
		t.Error("no file sounds like CW")
	}
}
