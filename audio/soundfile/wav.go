package soundfile

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"
)

// Format codes of WAVE files.
const (
	codePCM        = 1
	codeFloat      = 3
	codeALaw       = 6
	codeMuLaw      = 7
	codeExtensible = 0xfffe
)

const (
	maxChunk      = 1 << 20 // of a chunk that is looked into
	unknownLength = math.MaxUint32
	streamed      = unknownLength - 64 // from here on a writer did not know how long it would be
)

// wavFile is what is known of a WAVE file when its sound begins.
type wavFile struct {
	code, channels, rate, bits, frame int
	size                              int64 // of the sound, bytes; -1 where it is not known
	long                              int64 // as the ds64 chunk says
	begins                            int64 // the sound, bytes into the file
	start                             stamp
}

// mostChunks is how many chunks are looked at for the one with the sound;
// programs write less than ten before it.
const mostChunks = 1000

func openWAV(r io.Reader) (*Stream, error) {
	in := bufio.NewReaderSize(r, 1<<16)
	var head [12]byte
	f := wavFile{begins: int64(len(head))}
	if _, err := io.ReadFull(in, head[:]); err != nil {
		return nil, errors.New("is cut off before its sound")
	}
	found := false
	for n := 0; !found; n++ {
		if n == mostChunks {
			return nil, fmt.Errorf("holds no sound in its first %d chunks", mostChunks)
		}
		var err error
		if found, err = f.chunk(in); err != nil {
			return nil, err
		}
	}
	s := &Stream{Format: "WAV", Frames: -1, rate: f.rate, channels: f.channels, Start: f.start.at(f.rate)}
	if f.size >= 0 {
		s.Frames = f.size / int64(f.frame)
		in = bufio.NewReaderSize(io.LimitReader(in, f.size), 1<<16)
	}
	s.next = &wavDecoder{in: in, wavFile: f, sample: f.sampler()}
	return s, nil
}

// chunk reads one chunk; true where the sound begins.
func (f *wavFile) chunk(in *bufio.Reader) (bool, error) {
	var head [8]byte
	if _, err := io.ReadFull(in, head[:]); err != nil {
		return false, errors.New("holds no sound (no data chunk)")
	}
	size := int64(binary.LittleEndian.Uint32(head[4:]))
	name := string(head[:4])
	if f.begins += int64(len(head)); name != "data" {
		f.begins += size + size%2
	}
	switch name {
	case "data":
		if f.rate == 0 {
			return false, errors.New("is damaged: its sound comes before its format")
		}
		f.size = size
		if size >= streamed || size == 0 {
			f.size = -1
			if f.long > 0 {
				f.size = f.long
			}
		}
		return true, nil
	case "fmt ", "ds64", "bext":
		if size > maxChunk {
			return false, fmt.Errorf("is damaged: a %q chunk of %d bytes", strings.TrimSpace(name), size)
		}
		b := make([]byte, size)
		if _, err := io.ReadFull(in, b); err != nil {
			return false, errors.New("is cut off before its sound")
		}
		if err := f.read(name, b); err != nil {
			return false, err
		}
		if size%2 == 1 {
			in.Discard(1) // the next chunk's absence is told then
		}
		return false, nil
	}
	if _, err := io.CopyN(io.Discard, in, size+size%2); err != nil {
		return false, errors.New("holds no sound (no data chunk)")
	}
	return false, nil
}

func (f *wavFile) read(name string, b []byte) error {
	switch name {
	case "ds64": // RIFF size, data size, sample count, 8 bytes each
		if len(b) >= 16 {
			if n := binary.LittleEndian.Uint64(b[8:]); n < math.MaxInt64 {
				f.long = int64(n)
			}
		}
	case "bext":
		f.start = readStamp(b)
	case "fmt ":
		return f.layout(b)
	}
	return nil
}

func (f *wavFile) layout(b []byte) error {
	if len(b) < 16 {
		return fmt.Errorf("is damaged: a format chunk of %d bytes", len(b))
	}
	f.code = int(binary.LittleEndian.Uint16(b))
	f.channels = int(binary.LittleEndian.Uint16(b[2:]))
	f.rate = int(binary.LittleEndian.Uint32(b[4:]))
	f.bits = int(binary.LittleEndian.Uint16(b[14:]))
	if f.code == codeExtensible && len(b) >= 26 {
		f.code = int(binary.LittleEndian.Uint16(b[24:])) // the sub-format's first two bytes
	}
	if f.channels < 1 || f.channels > maxChannels {
		return fmt.Errorf("has %d channels; 1 to %d are read", f.channels, maxChannels)
	}
	if f.sampler() == nil {
		if f.code != codePCM && f.code != codeFloat {
			return fmt.Errorf("is compressed (format %d); save it as plain PCM or FLAC", f.code)
		}
		return fmt.Errorf("has samples of %d bits; 8, 16, 24, 32 and float are read", f.bits)
	}
	f.frame = f.channels * (f.bits / 8)
	return nil
}

// sampler returns what reads one sample, or nil.
func (f *wavFile) sampler() func([]byte) float32 {
	switch [2]int{f.code, f.bits} {
	case [2]int{codePCM, 8}:
		return func(b []byte) float32 { return (float32(b[0]) - 128) / 128 }
	case [2]int{codePCM, 16}:
		return func(b []byte) float32 { return float32(int16(binary.LittleEndian.Uint16(b))) / (1 << 15) }
	case [2]int{codePCM, 24}:
		return func(b []byte) float32 {
			return float32(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)) / (1 << 31)
		}
	case [2]int{codePCM, 32}:
		return func(b []byte) float32 { return float32(int32(binary.LittleEndian.Uint32(b))) / (1 << 31) }
	case [2]int{codeFloat, 32}:
		return func(b []byte) float32 { return math.Float32frombits(binary.LittleEndian.Uint32(b)) }
	case [2]int{codeFloat, 64}:
		return func(b []byte) float32 { return float32(math.Float64frombits(binary.LittleEndian.Uint64(b))) }
	case [2]int{codeALaw, 8}:
		return func(b []byte) float32 { return aLaw(b[0]) }
	case [2]int{codeMuLaw, 8}:
		return func(b []byte) float32 { return muLaw(b[0]) }
	}
	return nil
}

type wavDecoder struct {
	wavFile
	in     *bufio.Reader
	sample func([]byte) float32
	buf    []byte
}

func (d *wavDecoder) read(dst []float32) (int, error) {
	want := min(len(dst)/d.channels, 4096) * d.frame
	if cap(d.buf) < want {
		d.buf = make([]byte, want)
	}
	n, err := io.ReadFull(d.in, d.buf[:want])
	frames := n / d.frame
	size := d.bits / 8
	for i := range frames * d.channels {
		dst[i] = d.sample(d.buf[i*size:])
	}
	if err == io.ErrUnexpectedEOF && d.size < 0 {
		err = io.EOF // nobody said how long it would be
	}
	return frames, err
}

// aLaw decodes a sample by ITU-T G.711, table 1a.
func aLaw(b byte) float32 {
	b ^= 0x55
	exponent, mantissa := int(b>>4&7), int(b&15)
	v := mantissa<<4 + 8
	if exponent > 0 {
		v = (v + 256) << (exponent - 1)
	}
	if b&0x80 == 0 {
		v = -v
	}
	return float32(v) / (1 << 15)
}

// muLaw decodes a sample by ITU-T G.711, table 2a.
func muLaw(b byte) float32 {
	b = ^b
	v := (int(b&15)<<3+132)<<(b>>4&7) - 132
	if b&0x80 != 0 {
		v = -v
	}
	return float32(v) / (1 << 15)
}

// stamp is the time stamp of a bext chunk.
type stamp struct {
	day      time.Time // midnight
	clock    time.Duration
	samples  uint64 // since midnight, of the first one
	hasDay   bool
	hasClock bool
}

// Offsets in a bext chunk (EBU Tech 3285, 2011, section 2.3).
const (
	bextDate      = 256 + 32 + 32
	bextTime      = bextDate + 10
	bextReference = bextTime + 8
)

func readStamp(b []byte) stamp {
	var s stamp
	if len(b) < bextReference+8 {
		return s
	}
	// Separators may be any of several characters: the digits count.
	text := []byte(string(b[bextDate : bextDate+10]))
	text[4], text[7] = '-', '-'
	if day, err := time.Parse("2006-01-02", string(text)); err == nil {
		s.day, s.hasDay = day, true
	}
	text = []byte(string(b[bextTime : bextTime+8]))
	text[2], text[5] = ':', ':'
	if clock, err := time.Parse("15:04:05", string(text)); err == nil {
		s.clock = clock.Sub(time.Date(0, 1, 1, 0, 0, 0, 0, time.UTC))
		s.hasClock = true
	}
	s.samples = binary.LittleEndian.Uint64(b[bextReference:])
	return s
}

// at returns the time of the first sample. The sample count is finer than the
// clock's whole seconds and is taken where the two are within two seconds;
// otherwise it counts from something else than midnight.
func (s stamp) at(rate int) time.Time {
	if !s.hasDay || rate <= 0 {
		return time.Time{}
	}
	counted := time.Duration(float64(s.samples) / float64(rate) * float64(time.Second))
	plausible := s.samples > 0 && s.samples < uint64(rate)*86400
	if plausible && (!s.hasClock || (counted-s.clock).Abs() < 2*time.Second) {
		return s.day.Add(counted)
	}
	if s.hasClock {
		return s.day.Add(s.clock)
	}
	return time.Time{}
}
