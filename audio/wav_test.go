package audio

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"strings"
	"testing"
)

// memoryFile is a file in memory.
type memoryFile struct {
	b  []byte
	at int
}

func (m *memoryFile) Write(p []byte) (int, error) {
	if need := m.at + len(p); need > len(m.b) {
		m.b = append(m.b, make([]byte, need-len(m.b))...)
	}
	m.at += copy(m.b[m.at:], p)
	return len(p), nil
}

func (m *memoryFile) Seek(offset int64, whence int) (int64, error) {
	switch whence {
	case io.SeekStart:
		m.at = int(offset)
	case io.SeekEnd:
		m.at = len(m.b) + int(offset)
	case io.SeekCurrent:
		m.at += int(offset)
	}
	return int64(m.at), nil
}

func TestWAVRoundTrip(t *testing.T) {
	x := []float32{0, 0.5, -0.5, 0.25, 1, -1, 2, float32(math.NaN())}
	for format, near := range map[WAVFormat]float64{WAVInt16: 1.0 / 32000, WAVFloat32: 0} {
		var f memoryFile
		w, err := NewWAVWriter(&f, format, 1, 12000)
		if err != nil {
			t.Fatal(err)
		}
		if err := w.Write(x); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		r, err := ReadWAV(bytes.NewReader(f.b), "x.wav", 0)
		if err != nil {
			t.Fatal(err)
		}
		if r.Rate != 12000 || len(r.Samples) != len(x) {
			t.Fatalf("%d Hz, %d samples", r.Rate, len(r.Samples))
		}
		for i, v := range x[:6] {
			if d := math.Abs(float64(r.Samples[i] - v)); d > near {
				t.Errorf("format %d, sample %d: %v, want %v", format, i, r.Samples[i], v)
			}
		}
	}
}

// wavBytes builds a WAV file by hand from the layout that RIFF prescribes.
func wavBytes(code, channels, rate, bits int, data []byte) []byte {
	b := []byte("RIFF....WAVEfmt ")
	b = binary.LittleEndian.AppendUint32(b, 16)
	for _, v := range []int{code, channels} {
		b = binary.LittleEndian.AppendUint16(b, uint16(v))
	}
	b = binary.LittleEndian.AppendUint32(b, uint32(rate))
	b = binary.LittleEndian.AppendUint32(b, uint32(rate*channels*bits/8))
	b = binary.LittleEndian.AppendUint16(b, uint16(channels*bits/8))
	b = binary.LittleEndian.AppendUint16(b, uint16(bits))
	b = append(b, "LIST\x03\x00\x00\x00abc\x00data"...)
	b = binary.LittleEndian.AppendUint32(b, uint32(len(data)))
	return append(b, data...)
}

func TestReadWAVFormats(t *testing.T) {
	f32 := binary.LittleEndian.AppendUint32(nil, math.Float32bits(-0.5))
	f64 := binary.LittleEndian.AppendUint64(nil, math.Float64bits(-0.5))
	for name, b := range map[string][]byte{
		"8 bit":   wavBytes(1, 1, 8000, 8, []byte{64}),
		"16 bit":  wavBytes(1, 1, 8000, 16, []byte{0, 0xc0}),
		"24 bit":  wavBytes(1, 1, 8000, 24, []byte{0, 0, 0xc0}),
		"32 bit":  wavBytes(1, 1, 8000, 32, []byte{0, 0, 0, 0xc0}),
		"float":   wavBytes(3, 1, 8000, 32, f32),
		"double":  wavBytes(3, 1, 8000, 64, f64),
		"stereo":  wavBytes(1, 2, 8000, 16, []byte{0, 0x80, 0, 0}),
		"cut off": append(wavBytes(1, 1, 8000, 16, []byte{0, 0xc0, 1}), 7)[:60],
	} {
		r, err := ReadWAV(bytes.NewReader(b), "x.wav", 0)
		if name == "cut off" {
			continue // not to crash is enough
		}
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if len(r.Samples) != 1 || math.Abs(float64(r.Samples[0])+0.5) > 1e-6 {
			t.Errorf("%s: %v, want -0.5", name, r.Samples)
		}
	}
}

func TestBadWAVsGetOneLine(t *testing.T) {
	hour := wavBytes(1, 1, 8000, 16, make([]byte, 100))
	binary.LittleEndian.PutUint32(hour[len(hour)-104:], 8000*2*3600)
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"empty":      {nil, "is empty"},
		"text":       {[]byte("this is a letter to my aunt"), "is not a WAV"},
		"short":      {[]byte("RIF"), "is not a WAV"},
		"header":     {[]byte("RIFF....WAVE"), "no data"},
		"no samples": {wavBytes(1, 1, 8000, 16, nil), "holds no sound"},
		"an hour":    {hour, "is 3600 s long"},
		"compressed": {wavBytes(0x55, 1, 8000, 16, []byte{1, 2}), "compressed"},
		"12 bits":    {wavBytes(1, 1, 8000, 12, []byte{1, 2}), "12 bits"},
		"0 channels": {wavBytes(1, 0, 8000, 16, []byte{1, 2}), "0 channels"},
		"slow":       {wavBytes(1, 1, 10, 16, []byte{1, 2}), "rate of 10 Hz"},
	} {
		_, err := ReadWAV(bytes.NewReader(c.data), "x.wav", 120)
		switch {
		case err == nil:
			t.Errorf("%s: read", name)
		case !strings.HasPrefix(err.Error(), "x.wav: ") || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n"):
			t.Errorf("%s: %q", name, err)
		}
	}
}

func FuzzReadWAV(f *testing.F) {
	f.Add(wavBytes(1, 1, 8000, 16, []byte{0, 0xc0}))
	f.Add(wavBytes(3, 2, 48000, 32, make([]byte, 64)))
	f.Add([]byte("RIFF....WAVEfmt \xff\xff\xff\xff"))
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := ReadWAV(bytes.NewReader(b), "x", 2)
		if err != nil {
			return
		}
		if len(r.Samples) == 0 || r.Rate == 0 {
			t.Fatal("nothing read and no error")
		}
		for _, v := range r.Samples {
			if v != v {
				t.Fatal("not a number")
			}
		}
	})
}

// Chunks without end are not gone through for ever.
func TestManyChunksAreNoSound(t *testing.T) {
	many := append([]byte("RIFF\xff\xff\xff\xffWAVE"), bytes.Repeat([]byte("junk\x00\x00\x00\x00"), 1<<20)...)
	r := bytes.NewReader(many)
	if _, err := ReadWAV(r, "x.wav", 120); err == nil || !strings.Contains(err.Error(), "x.wav: holds no sound") {
		t.Errorf("said %v", err)
	}
	if read := len(many) - r.Len(); read > 64<<10 {
		t.Errorf("%d bytes were read before it was told", read)
	}
}
