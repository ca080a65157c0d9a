package soundfile

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"

	"github.com/hajimehoshi/go-mp3"
	"github.com/jfreymuth/oggvorbis"
	"github.com/mewkiz/flac/frame"
)

// OpenAt opens a file as Open does, at a moment, seconds from its beginning. It
// goes there without reading what lies before, as far as the file lets it; the
// moment after the end gives a stream that ends at once.
func OpenAt(r io.ReadSeeker, fromS float64) (*Stream, error) {
	s, err := Open(r)
	if err != nil {
		return nil, err
	}
	want := max(0, int64(fromS*float64(s.rate)))
	at, err := s.seek(r, want)
	if err != nil { // from the beginning, then
		if _, err = r.Seek(0, io.SeekStart); err != nil {
			return nil, err
		}
		if s, err = Open(r); err != nil {
			return nil, err
		}
		at = 0
	}
	s.done = at
	skipped := make([]float32, 4096*s.channels)
	for s.done < want && s.fault == nil {
		if _, err := s.Read(skipped[:min(int64(len(skipped)), (want-s.done)*int64(s.channels))]); err != nil {
			break // Read tells it again
		}
	}
	return s, nil
}

// seek goes to a frame, or to one not long before it, and returns which.
func (s *Stream) seek(r io.ReadSeeker, want int64) (at int64, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("is damaged (%v)", p)
		}
	}()
	switch d := s.next.(type) {
	case *wavDecoder:
		return want, d.seek(r, want)
	case *flacDecoder:
		return d.seek(r, want, s.Frames)
	case *mp3Decoder:
		return d.seek(r, want)
	case *vorbisDecoder:
		return d.seek(r, want)
	}
	return 0, errors.ErrUnsupported
}

func (d *wavDecoder) seek(r io.ReadSeeker, want int64) error {
	left := io.Reader(r)
	if d.size >= 0 {
		want = min(want, d.size/int64(d.frame))
		left = io.LimitReader(r, d.size-want*int64(d.frame))
	}
	if _, err := r.Seek(d.begins+want*int64(d.frame), io.SeekStart); err != nil {
		return err
	}
	d.in = bufio.NewReaderSize(left, 1<<16)
	return nil
}

// flacReach is in how many bytes a whole FLAC frame is sure to be found: twice
// the largest that usual encoders write.
const flacReach = 1 << 17

// seek halves the file until it knows the frame: a FLAC frame says which it is.
func (d *flacDecoder) seek(r io.ReadSeeker, want, frames int64) (at int64, err error) {
	if frames <= 0 {
		return 0, errors.ErrUnsupported
	}
	high, err := r.Seek(0, io.SeekEnd)
	if err != nil {
		return 0, err
	}
	low, buf := int64(-1), make([]byte, flacReach)
	for from := int64(0); high-from > flacReach/2; {
		middle := from + (high-from)/2
		n, first, ok := d.frameAfter(r, middle, buf)
		if !ok || first > want {
			high = middle
			continue
		}
		low, at, from = n, first, max(n, middle)
	}
	if low < 0 {
		return 0, errors.ErrUnsupported
	}
	if _, err = r.Seek(low, io.SeekStart); err != nil {
		return 0, err
	}
	in := bufio.NewReaderSize(r, 1<<16)
	d.parse, d.block = func() (*frame.Frame, error) { return frame.Parse(in) }, nil
	return at, nil
}

// frameAfter finds the first whole FLAC frame from a byte on: where it lies, and
// which sample is its first.
func (d *flacDecoder) frameAfter(r io.ReadSeeker, from int64, buf []byte) (at, first int64, ok bool) {
	if _, err := r.Seek(from, io.SeekStart); err != nil {
		return 0, 0, false
	}
	n, _ := io.ReadFull(r, buf) // less at the end of the file
	for i := 0; i+1 < n; i++ {
		if buf[i] != 0xff || buf[i+1]&0xfe != 0xf8 {
			continue
		}
		f, err := frame.Parse(bytes.NewReader(buf[i:n])) // checks both sums
		if err == nil && f.Channels.Count() == d.channels {
			return from + int64(i), int64(f.SampleNumber()), true
		}
	}
	return 0, 0, false
}

// mp3Before is how many samples before the moment an MP3 file is taken up: a
// frame may need some of the ten before it.
const mp3Before = 10 * 1152

func (d *mp3Decoder) seek(r io.ReadSeeker, want int64) (at int64, err error) {
	if _, err = r.Seek(0, io.SeekStart); err != nil {
		return 0, err
	}
	file, err := mp3.NewDecoder(r)
	if err != nil {
		return 0, err
	}
	at = max(0, want-mp3Before)
	if 4*at >= file.Length() {
		return 0, errors.ErrUnsupported
	}
	if _, err = file.Seek(4*at, io.SeekStart); err != nil {
		return 0, err
	}
	d.file = file
	return at, nil
}

func (d *vorbisDecoder) seek(r io.ReadSeeker, want int64) (at int64, err error) {
	if _, err = r.Seek(0, io.SeekStart); err != nil {
		return 0, err
	}
	file, err := oggvorbis.NewReader(r)
	if err != nil {
		return 0, err
	}
	if want >= file.Length() {
		return 0, errors.ErrUnsupported
	}
	if err = file.SetPosition(want); err != nil {
		return 0, err
	}
	d.file = file
	return want, nil
}
