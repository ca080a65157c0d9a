package audio

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
)

// Recording is a WAV file in memory, mixed down to one channel.
type Recording struct {
	Rate    int       // Hz
	Samples []float32 // full scale 1
}

// Seconds is the length of the recording.
func (r *Recording) Seconds() float64 { return float64(len(r.Samples)) / float64(r.Rate) }

// Limits of what is read.
const (
	maxRecordingS     = 600
	minRecordingRate  = 4000
	maxRecordingRate  = 384000
	maxWAVChannels    = 32
	maxWAVChunkHeader = 1 << 16
)

// streamedSize is the length of a data chunk from which on its writer did not
// know it: speech programs that write to a pipe put 0x7ffff000 there, as seen
// here with espeak-ng 1.51, others up to 0xffffffff.
const streamedSize = 0x7ffff000

// wavLayout is the format chunk of a WAV file.
type wavLayout struct {
	float    bool
	channels int
	rate     int
	bits     int // of one sample as stored: 8, 16, 24, 32, 64
}

// ReadWAV reads a RIFF WAVE file: 8, 16, 24 or 32 bit PCM or 32 or 64 bit
// float, any number of channels (mixed to one) and any rate. name stands in
// the errors, which are one line each. A file of more than maxS seconds
// (600 where maxS is 0) is refused without being read.
func ReadWAV(r io.Reader, name string, maxS float64) (*Recording, error) {
	if maxS <= 0 || maxS > maxRecordingS {
		maxS = maxRecordingS
	}
	rec, err := readWAV(r, maxS)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return rec, nil
}

var errNoWAV = errors.New("is not a WAV file (it does not begin with RIFF and WAVE); save it as WAV, PCM 16 bit")

func readWAV(r io.Reader, maxS float64) (*Recording, error) {
	var head [12]byte
	if n, err := io.ReadFull(r, head[:]); err != nil {
		if n == 0 {
			return nil, errors.New("is empty")
		}
		return nil, errNoWAV
	}
	if string(head[:4]) != "RIFF" || string(head[8:]) != "WAVE" {
		return nil, errNoWAV
	}
	var layout *wavLayout
	for range mostWAVChunks {
		var chunk [8]byte
		if _, err := io.ReadFull(r, chunk[:]); err != nil {
			return nil, errors.New("holds no sound (no data chunk)")
		}
		size := int64(binary.LittleEndian.Uint32(chunk[4:]))
		switch string(chunk[:4]) {
		case "fmt ":
			l, err := readLayout(r, size)
			if err != nil {
				return nil, err
			}
			layout = l
		case "data":
			if layout == nil {
				return nil, errors.New("is damaged: its sound comes before its format")
			}
			return layout.read(r, size, maxS)
		default:
			if _, err := io.CopyN(io.Discard, r, size+size%2); err != nil {
				return nil, errors.New("holds no sound (no data chunk)")
			}
		}
	}
	return nil, fmt.Errorf("holds no sound in its first %d chunks", mostWAVChunks)
}

// mostWAVChunks is how many chunks are looked at for the one with the sound;
// programs write less than ten before it.
const mostWAVChunks = 1000

func readLayout(r io.Reader, size int64) (*wavLayout, error) {
	if size < 16 || size > maxWAVChunkHeader {
		return nil, fmt.Errorf("is damaged: a format chunk of %d bytes", size)
	}
	b := make([]byte, size+size%2)
	if _, err := io.ReadFull(r, b); err != nil {
		return nil, errors.New("is cut off in its format chunk")
	}
	code := binary.LittleEndian.Uint16(b)
	l := &wavLayout{
		channels: int(binary.LittleEndian.Uint16(b[2:])),
		rate:     int(binary.LittleEndian.Uint32(b[4:])),
		bits:     int(binary.LittleEndian.Uint16(b[14:])),
	}
	const extensible = 0xfffe
	if code == extensible && len(b) >= 26 {
		code = binary.LittleEndian.Uint16(b[24:]) // the sub-format's first two bytes
	}
	l.float = code == 3
	switch {
	case code != 1 && code != 3:
		return nil, fmt.Errorf("is compressed (format %d); save it as plain PCM", code)
	case l.float && l.bits != 32 && l.bits != 64, !l.float && l.bits != 8 && l.bits != 16 && l.bits != 24 && l.bits != 32:
		return nil, fmt.Errorf("has samples of %d bits; 8, 16, 24, 32 and float are read", l.bits)
	case l.channels < 1 || l.channels > maxWAVChannels:
		return nil, fmt.Errorf("has %d channels; 1 to %d are read", l.channels, maxWAVChannels)
	case l.rate < minRecordingRate || l.rate > maxRecordingRate:
		return nil, fmt.Errorf("has a rate of %d Hz; %d to %d are read", l.rate, minRecordingRate, maxRecordingRate)
	}
	return l, nil
}

// read takes the samples of a data chunk; a chunk that is longer than what
// is there (a writer that was cut off) is read as far as it goes.
func (l *wavLayout) read(r io.Reader, size int64, maxS float64) (*Recording, error) {
	frame := l.channels * l.bits / 8
	most := int64(maxS*float64(l.rate)) * int64(frame)
	if size > most && size < streamedSize {
		return nil, fmt.Errorf("is %.0f s long; at most %.0f s are read", float64(size)/float64(frame)/float64(l.rate), maxS)
	}
	if size == 0 || size >= streamedSize {
		size = most + 1 // a writer that streamed did not know
	}
	var pieces [][]float32 // what is told of the length may be untrue: nothing is made ready by it
	data, left, got := make([]byte, wavPiece*frame), size, int64(0)
	for left > 0 {
		n, err := io.ReadFull(r, data[:min(left, int64(len(data)))])
		if got, left = got+int64(n), left-int64(n); got > most {
			return nil, fmt.Errorf("is longer than %.0f s", maxS)
		}
		pieces = append(pieces, l.mix(data[:n]))
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("after %d bytes: %w", got, err)
		}
	}
	rec := &Recording{Rate: l.rate, Samples: slices.Concat(pieces...)}
	if len(rec.Samples) == 0 {
		return nil, errors.New("holds no sound (its data chunk is empty)")
	}
	return rec, nil
}

// wavPiece is how many samples of each channel are read at once.
const wavPiece = 4096

// mix is what whole frames hold, all channels together.
func (l *wavLayout) mix(data []byte) []float32 {
	frame := l.channels * l.bits / 8
	out := make([]float32, len(data)/frame)
	for i := range out {
		sum := 0.0
		for c := range l.channels {
			sum += l.sample(data[i*frame+c*l.bits/8:])
		}
		out[i] = bounded(float32(sum / float64(l.channels)))
	}
	return out
}

func (l *wavLayout) sample(b []byte) float64 {
	switch {
	case l.float && l.bits == 64:
		return math.Float64frombits(binary.LittleEndian.Uint64(b))
	case l.float:
		return float64(math.Float32frombits(binary.LittleEndian.Uint32(b)))
	case l.bits == 8:
		return (float64(b[0]) - 128) / 128
	case l.bits == 16:
		return float64(int16(binary.LittleEndian.Uint16(b))) / (1 << 15)
	case l.bits == 24:
		return float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)) / (1 << 31)
	}
	return float64(int32(binary.LittleEndian.Uint32(b))) / (1 << 31)
}
