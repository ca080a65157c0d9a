package soundfile

import (
	"bytes"
	"errors"
	"io"
	"math"
	"os"
	"testing"
)

// onset is where a side's tone begins, in samples: where it first reaches a
// third of its height, less the part of a period that this takes.
func onset(x []float32, channels, side, rate int, hz, height float64) int {
	for i := side; i < len(x); i += channels {
		if math.Abs(float64(x[i])) > height/3 {
			return i/channels - int(math.Round(math.Asin(1.0/3)/(2*math.Pi*hz)*float64(rate)))
		}
	}
	return -1
}

// The first sample of an MP3 file is the first that was encoded: the tone that
// fills testdata's file from its beginning begins there, whatever lies before it.
// Layout of the tag: "Mp3 Info Tag rev 1" of LAME's authors; of ID3, its version 2.3.
func TestMP3BeginsWhereItWasRecorded(t *testing.T) {
	plain, err := os.ReadFile("testdata/layer3.mp3")
	if err != nil {
		t.Fatal(err)
	}
	// A silent frame as long as the file's first, with what a tag may hold in it.
	tagged := func(name, encoder string, delay int) []byte {
		frame := make([]byte, 288) // 64 kbit/s at 16 kHz: 72 * 64000 / 16000
		copy(frame, plain[:4])
		at := 4 + 17
		copy(frame[at:], name)
		frame[at+7] = 0xf // every field
		at += 8 + 4 + 4 + 100 + 4
		copy(frame[at:], encoder)
		frame[at+21], frame[at+22] = byte(delay>>4), byte(delay<<4)
		return append(frame, plain...)
	}
	id3 := append([]byte("ID3\x03\x00\x00\x00\x00\x17\x70"), make([]byte, 0x17<<7|0x70)...)
	frames := 0
	for _, c := range []struct {
		name  string
		file  []byte
		later int // samples of the tone that its delay says are none
	}{
		{"no tag", plain, 0},
		{"a tag", tagged("Info", "LAME3.100", 576), 0},
		{"a tag of another bit rate and program", tagged("Xing", "Lavc58.13", 576), 0},
		{"a tag with a longer delay", tagged("Info", "LAME3.100", 576+100), 100},
		{"a tag without a delay", tagged("Info", "", 0), 0},
		{"a picture before it", append(id3, plain...), 0},
		{"both", append(id3, tagged("Info", "LAME3.100", 576)...), 0},
	} {
		s, err := Open(bytes.NewReader(c.file))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		x, err := readAll(s)
		if err != io.EOF {
			t.Errorf("%s: %v", c.name, err)
		}
		if frames == 0 {
			frames = len(x) / 2
		}
		if got := onset(x, 2, 0, s.Rate(), 1000, 0.5); c.later == 0 && (got < -1 || got > 2) {
			t.Errorf("%s: the tone begins at sample %d", c.name, got)
		}
		if got := len(x) / 2; got != frames-c.later {
			t.Errorf("%s: %d frames, want %d", c.name, got, frames-c.later)
		}
	}
	for _, short := range []int{0, 3, 12, 300} {
		s, err := Open(bytes.NewReader(append(id3[:len(id3):len(id3)], plain[:short]...)))
		if err == nil {
			_, err = readAll(s)
		}
		if err == nil {
			t.Errorf("%d bytes behind a tag: no error", short)
		}
	}
}

// An MP3 file that ends within a frame was cut off; one that ends with a frame,
// or with a tag behind it (ID3v1, 128 bytes from "TAG" on), was not.
func TestMP3CutWithinAFrameIsTold(t *testing.T) {
	plain, err := os.ReadFile("testdata/layer3.mp3")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		file []byte
		cut  bool
	}{
		{"whole", plain, false},
		{"a tag at its end", append(append([]byte(nil), plain...), append([]byte("TAG"), make([]byte, 125)...)...), false},
		{"without its last 100 bytes", plain[:len(plain)-100], true},
		{"half of it", plain[:len(plain)/2/288*288+7], true},
	} {
		s, err := Open(bytes.NewReader(c.file))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		buf := make([]float32, 1000)
		for err == nil {
			_, err = s.Read(buf)
		}
		if cut := errors.Is(err, ErrCut); cut != c.cut {
			t.Errorf("%s: ends with %v", c.name, err)
		}
	}
}

// Lengths of frames as ISO/IEC 11172-3 gives them: 144 bit rate / sampling rate, and one byte of padding.
func TestMP3FrameLengths(t *testing.T) {
	for _, c := range []struct {
		head [4]byte
		want int64
	}{
		{[4]byte{0xff, 0xfb, 0x90, 0x00}, 417}, // 128 kbit/s, 44.1 kHz
		{[4]byte{0xff, 0xfb, 0x92, 0x00}, 418}, // padded
		{[4]byte{0xff, 0xfb, 0x94, 0x00}, 384}, // 48 kHz
		{[4]byte{0xff, 0xf3, 0x88, 0x00}, 288}, // MPEG-2, 64 kbit/s, 16 kHz
		{[4]byte{0xff, 0xfb, 0xf0, 0x00}, 0},   // no such bit rate
		{[4]byte{'T', 'A', 'G', 0}, 0},         // no frame
		{[4]byte{0xff, 0xfb, 0x9c, 0x00}, 0},   // no such sampling rate
		{[4]byte{0xff, 0xfb, 0x00, 0x00}, 0},   // free format: not known
	} {
		if got := mp3FrameLength(c.head); got != c.want {
			t.Errorf("% x: %d bytes, want %d", c.head, got, c.want)
		}
	}
}
