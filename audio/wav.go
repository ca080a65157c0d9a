package audio

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

// WAVFormat is how samples are written.
type WAVFormat uint8

// The formats that are written.
const (
	WAVInt16 WAVFormat = iota
	WAVFloat32
)

// WAVWriter writes a RIFF WAVE file. The header is laid down at once and set
// right by Close, so that a file whose writer was cut off still begins well.
type WAVWriter struct {
	w        io.WriteSeeker
	format   WAVFormat
	channels int
	rate     int
	bytes    int64
	buf      []byte
	err      error
}

// NewWAVWriter begins a file of the given channels and rate in Hz.
func NewWAVWriter(w io.WriteSeeker, format WAVFormat, channels, rate int) (*WAVWriter, error) {
	if channels < 1 || channels > 8 || rate < 1 {
		return nil, fmt.Errorf("WAV with %d channels at %d Hz cannot be written", channels, rate)
	}
	v := &WAVWriter{w: w, format: format, channels: channels, rate: rate}
	if err := v.header(); err != nil {
		return nil, fmt.Errorf("WAV header: %w", err)
	}
	return v, nil
}

func (v *WAVWriter) sampleBytes() int {
	if v.format == WAVFloat32 {
		return 4
	}
	return 2
}

func (v *WAVWriter) header() error {
	code, size := uint16(1), v.sampleBytes()
	if v.format == WAVFloat32 {
		code = 3
	}
	data := uint32(min(v.bytes, math.MaxUint32-36))
	h := append([]byte("RIFF"), 0, 0, 0, 0)
	binary.LittleEndian.PutUint32(h[4:], 36+data)
	h = append(h, "WAVEfmt "...)
	h = binary.LittleEndian.AppendUint32(h, 16)
	h = binary.LittleEndian.AppendUint16(h, code)
	h = binary.LittleEndian.AppendUint16(h, uint16(v.channels))
	h = binary.LittleEndian.AppendUint32(h, uint32(v.rate))
	h = binary.LittleEndian.AppendUint32(h, uint32(v.rate*v.channels*size))
	h = binary.LittleEndian.AppendUint16(h, uint16(v.channels*size))
	h = binary.LittleEndian.AppendUint16(h, uint16(8*size))
	h = append(h, "data"...)
	h = binary.LittleEndian.AppendUint32(h, data)
	_, err := v.w.Write(h)
	return err
}

// Write appends interleaved samples, full scale 1; what lies beyond is cut off.
func (v *WAVWriter) Write(samples []float32) error {
	if v.err != nil {
		return v.err
	}
	v.buf = v.buf[:0]
	for _, x := range samples {
		if v.format == WAVFloat32 {
			v.buf = binary.LittleEndian.AppendUint32(v.buf, math.Float32bits(x))
			continue
		}
		y := math.Round(float64(bounded(x)) * 32767)
		v.buf = binary.LittleEndian.AppendUint16(v.buf, uint16(int16(max(-32768, min(32767, y)))))
	}
	n, err := v.w.Write(v.buf)
	v.bytes += int64(n)
	if err != nil {
		v.err = fmt.Errorf("WAV after %d bytes: %w", v.bytes, err)
	}
	return v.err
}

// Close sets the lengths in the header right. It does not close the file.
func (v *WAVWriter) Close() error {
	if _, err := v.w.Seek(0, io.SeekStart); err != nil {
		return errors.Join(v.err, fmt.Errorf("WAV header: %w", err))
	}
	if err := v.header(); err != nil {
		return errors.Join(v.err, fmt.Errorf("WAV header: %w", err))
	}
	if _, err := v.w.Seek(0, io.SeekEnd); err != nil {
		return errors.Join(v.err, fmt.Errorf("WAV end: %w", err))
	}
	return v.err
}
