package soundfile

import (
	"fmt"
	"io"

	"github.com/jfreymuth/oggvorbis"
	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
)

func openFLAC(r io.Reader) (*Stream, error) {
	f, err := flac.New(r)
	if err != nil {
		return nil, fmt.Errorf("is a damaged FLAC file: %w", err)
	}
	bits := int(f.Info.BitsPerSample)
	if bits < 4 || bits > 32 {
		return nil, fmt.Errorf("has samples of %d bits", bits)
	}
	s := &Stream{Format: "FLAC", Frames: -1, rate: int(f.Info.SampleRate), channels: int(f.Info.NChannels)}
	if n := f.Info.NSamples; n > 0 && n < 1<<40 {
		s.Frames = int64(n)
	}
	s.next = &flacDecoder{parse: f.ParseNext, channels: s.channels, scale: 1 / float32(uint64(1)<<(bits-1))}
	return s, nil
}

// flacDecoder gives the samples of one FLAC frame after the other.
type flacDecoder struct {
	parse    func() (*frame.Frame, error) // the next frame
	channels int
	scale    float32
	block    [][]int32 // what is left of the frame at hand
}

func (d *flacDecoder) read(dst []float32) (int, error) {
	if len(d.block) == 0 || len(d.block[0]) == 0 {
		f, err := d.parse()
		if err != nil {
			return 0, err
		}
		if len(f.Subframes) != d.channels {
			return 0, flaw(fmt.Sprintf("changes from %d to %d channels", d.channels, len(f.Subframes)))
		}
		d.block = d.block[:0]
		for _, sub := range f.Subframes {
			d.block = append(d.block, sub.Samples)
		}
	}
	n := min(len(dst)/d.channels, len(d.block[0]))
	for c := range d.block {
		n = min(n, len(d.block[c]))
	}
	if n == 0 {
		return 0, flaw("is damaged: an empty FLAC frame")
	}
	for c := range d.block {
		for i, v := range d.block[c][:n] {
			dst[i*d.channels+c] = float32(v) * d.scale
		}
		d.block[c] = d.block[c][n:]
	}
	return n, nil
}

func openVorbis(r io.Reader) (*Stream, error) {
	d, err := oggvorbis.NewReader(r)
	if err != nil {
		return nil, fmt.Errorf("is an Ogg file without Vorbis sound (%w); save it as WAV or FLAC", err)
	}
	return &Stream{Format: "Ogg Vorbis", Frames: -1, rate: d.SampleRate(), channels: d.Channels(), next: &vorbisDecoder{d}}, nil
}

type vorbisDecoder struct{ file *oggvorbis.Reader }

func (d *vorbisDecoder) read(dst []float32) (int, error) {
	n, err := d.file.Read(dst)
	return n / d.file.Channels(), err
}
