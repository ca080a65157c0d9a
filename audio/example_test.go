package audio_test

import (
	"fmt"
	"io"
	"os"

	"driftdrill/audio"
)

// A WAV is written as it comes; its lengths are put in when it is closed.
func ExampleNewWAVWriter() {
	f, err := os.CreateTemp("", "*.wav")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.Remove(f.Name())
	w, err := audio.NewWAVWriter(f, audio.WAVInt16, 1, audio.SampleRate)
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := w.Write(make([]float32, audio.SampleRate/2)); err != nil {
		fmt.Println(err)
		return
	}
	if err := w.Close(); err != nil {
		fmt.Println(err)
		return
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		fmt.Println(err)
		return
	}
	rec, err := audio.ReadWAV(f, "half a second", 10)
	fmt.Println(rec.Rate, "Hz,", rec.Seconds(), "s,", err)
	// Output: 48000 Hz, 0.5 s, <nil>
}
