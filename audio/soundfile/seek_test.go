package soundfile

import (
	"bytes"
	"encoding/binary"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"
)

// counted counts what is read of a file.
type counted struct {
	*bytes.Reader
	read int
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.Reader.Read(p)
	c.read += n
	return n, err
}

// longFLAC is noise of so many blocks, as the library's encoder writes it.
func longFLAC(t *testing.T, blocks int) []byte {
	t.Helper()
	const size = 1024
	var b bytes.Buffer
	e, err := flac.NewEncoder(&b, &meta.StreamInfo{BlockSizeMin: size, BlockSizeMax: size, SampleRate: 8000, NChannels: 2, BitsPerSample: 16, NSamples: uint64(blocks * size)})
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(1, 2))
	for n := range blocks {
		f := &frame.Frame{Header: frame.Header{HasFixedBlockSize: true, BlockSize: size, SampleRate: 8000, Channels: frame.ChannelsLR, BitsPerSample: 16, Num: uint64(n)}}
		for range 2 {
			sub := &frame.Subframe{SubHeader: frame.SubHeader{Pred: frame.PredVerbatim}, NSamples: size}
			for range size {
				sub.Samples = append(sub.Samples, int32(int16(r.Uint32())))
			}
			f.Subframes = append(f.Subframes, sub)
		}
		if err := e.WriteFrame(f); err != nil {
			t.Fatal(err)
		}
	}
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A file that is opened at a moment gives, from there on, the samples that it
// gives when it is read from its beginning; a long one is not read up to there.
func TestOpenAtAMoment(t *testing.T) {
	noise := make([]byte, 4*400_000)
	r := rand.New(rand.NewPCG(3, 4))
	for i := 0; i < len(noise); i += 8 {
		binary.LittleEndian.PutUint64(noise[i:], r.Uint64())
	}
	files := map[string][]byte{
		"long.wav":  riff("RIFF", chunkOf("LIST", make([]byte, 33)), chunkOf("fmt ", format16(8000, 2)), chunkOf("data", noise)),
		"long.flac": longFLAC(t, 400),
	}
	for _, name := range []string{"s16.flac", "s24.wav", "mu-law.wav", "vorbis.ogg", "layer3.mp3"} {
		b, err := os.ReadFile(filepath.Join("testdata", name))
		if err != nil {
			t.Fatal(err)
		}
		files[name] = b
	}
	for name, b := range files {
		s, err := Open(bytes.NewReader(b))
		if err != nil {
			t.Fatal(name, err)
		}
		all, _ := readAll(s)
		whole := float64(len(all)/s.Channels()) / float64(s.Rate())
		for _, part := range []float64{0, 0.3, 0.61, 0.97, 1.5} {
			from := part * whole
			in := &counted{Reader: bytes.NewReader(b)}
			s, err := OpenAt(in, from)
			if err != nil {
				t.Fatal(name, err)
			}
			if len(b) > 1<<20 && in.read > len(b)/3*4 {
				t.Errorf("%s at %.2f s: %d of %d bytes were read", name, from, in.read, len(b))
			}
			got, err := readAll(s)
			want := all[min(len(all), int(from*float64(s.Rate()))*s.Channels()):]
			if err != io.EOF || len(got) != len(want) {
				t.Errorf("%s at %.2f s: %d samples, want %d; %v", name, from, len(got), len(want), err)
				continue
			}
			for i := range got {
				if d := got[i] - want[i]; d > 1e-4 || d < -1e-4 {
					t.Errorf("%s at %.2f s: sample %d is %g, want %g", name, from, i, got[i], want[i])
					break
				}
			}
		}
	}
}
