package soundfile

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"time"
)

// Stream gives the samples of a file in order.
type Stream struct {
	Format   string    // "WAV", "FLAC", "MP3" or "Ogg Vorbis"
	Frames   int64     // as the file says; -1 where it does not
	Start    time.Time // of the first sample, as the file's own stamp says, in an unnamed zone; zero where it has none
	rate     int
	channels int
	next     decoder
	done     int64 // frames given
	fault    error
}

// decoder reads interleaved samples of full scale 1, whole frames.
type decoder interface {
	read(dst []float32) (frames int, err error)
}

// ErrCut is the end of a file that says that there should be more.
var ErrCut = errors.New("is cut off")

// Rate returns frames per second.
func (s *Stream) Rate() int { return s.rate }

// Channels returns the samples of a frame.
func (s *Stream) Channels() int { return s.channels }

// Read fills dst with interleaved samples of full scale 1 and returns how many
// whole frames it wrote. The end is io.EOF; a file that ends before its own
// count, or is damaged from some place on, ends with another error, and what
// was read until then is good.
func (s *Stream) Read(dst []float32) (frames int, err error) {
	want := len(dst) / s.channels
	for idle := 0; frames < want && s.fault == nil; {
		n, err := s.some(dst[frames*s.channels : want*s.channels])
		frames += n
		s.done += int64(n)
		if err != nil {
			s.fault = s.ending(err)
		} else if n > 0 {
			idle = 0
		} else if idle++; idle > 100 {
			s.fault = s.ending(io.ErrNoProgress)
		}
	}
	clean(dst[:frames*s.channels])
	if frames < want {
		return frames, s.fault
	}
	return frames, nil
}

// some reads what the decoder gives at once; a decoder that panics over a
// damaged file has come upon its end.
func (s *Stream) some(dst []float32) (n int, err error) {
	defer func() {
		if r := recover(); r != nil {
			n, err = 0, flaw(fmt.Sprintf("is damaged (%v)", r))
		}
	}()
	return s.next.read(dst)
}

// flaw is what is wrong with a file that is being read, worded to follow its name.
type flaw string

// Error implements error.
func (f flaw) Error() string { return string(f) }

// ending words the end of a file.
func (s *Stream) ending(err error) error {
	short := s.Frames > 0 && s.done < s.Frames
	switch {
	case errors.Is(err, io.EOF) && !short, errors.Is(err, io.ErrUnexpectedEOF) && s.Frames > 0 && !short:
		return io.EOF
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, ErrCut):
		if s.Frames > 0 {
			return fmt.Errorf("%w after %.1f of %.1f s", ErrCut, s.seconds(s.done), s.seconds(s.Frames))
		}
		return fmt.Errorf("%w after %.1f s", ErrCut, s.seconds(s.done))
	}
	var at *fs.PathError
	if errors.As(err, &at) {
		err = at.Err // whose file it is stands before it
	}
	var found flaw
	if errors.As(err, &found) {
		return fmt.Errorf("%w after %.1f s", err, s.seconds(s.done))
	}
	return fmt.Errorf("cannot be read on after %.1f s (%w)", s.seconds(s.done), err)
}

func (s *Stream) seconds(frames int64) float64 { return float64(frames) / float64(s.rate) }

// LengthS is how long the file says that it is, seconds; 0 where it does not.
func (s *Stream) LengthS() float64 {
	if s.Frames <= 0 {
		return 0
	}
	return s.seconds(s.Frames)
}

// clean takes out what no sound is: not-a-number and infinities of float files.
func clean(x []float32) {
	const most = 8 // full scale; float files may go above it
	for i, v := range x {
		switch {
		case v != v:
			x[i] = 0
		case v > most:
			x[i] = most
		case v < -most:
			x[i] = -most
		}
	}
}

// Limits of what is read.
const (
	minRate     = 4000
	maxRate     = 768000
	maxChannels = 64
)

// Open looks at the beginning of a file and returns its samples as a stream.
// Errors are worded to follow the file's name: one line, what and what to do.
func Open(r io.Reader) (s *Stream, err error) {
	defer func() {
		if p := recover(); p != nil {
			s, err = nil, fmt.Errorf("is damaged (%v)", p)
		}
	}()
	in, head, err := peek(r)
	if err != nil {
		return nil, err
	}
	open, known := kindOf(head)
	if open == nil {
		return nil, errors.New(known)
	}
	if s, err = open(in); err != nil {
		return nil, err
	}
	if s.rate < minRate || s.rate > maxRate {
		return nil, fmt.Errorf("has a rate of %d Hz; %d to %d are read", s.rate, minRate, maxRate)
	}
	if s.channels < 1 || s.channels > maxChannels {
		return nil, fmt.Errorf("has %d channels; 1 to %d are read", s.channels, maxChannels)
	}
	return s, nil
}

const headLength = 16

// kindOf returns what opens a file that begins so, or in words what it is.
func kindOf(head string) (open func(io.Reader) (*Stream, error), otherwise string) {
	at := func(i int, s string) bool { return len(head) >= i+len(s) && head[i:i+len(s)] == s }
	switch {
	case (at(0, "RIFF") || at(0, "RF64") || at(0, "BW64")) && at(8, "WAVE"):
		return openWAV, ""
	case at(0, "fLaC"):
		return openFLAC, ""
	case at(0, "OggS"):
		return openVorbis, ""
	case at(0, "ID3"), len(head) > 1 && head[0] == 0xff && head[1]&0xe6 == 0xe2: // layer III
		return openMP3, ""
	case at(4, "ftyp"):
		return nil, "is an MP4 or M4A file; save it as WAV or FLAC"
	case at(0, "FORM"):
		return nil, "is an AIFF file; save it as WAV or FLAC"
	case at(0, "RIFF"):
		return nil, "is a RIFF file without sound in WAVE form; save it as WAV or FLAC"
	}
	return nil, "is not sound that is read here: WAV, FLAC, MP3 or Ogg Vorbis"
}

// peek reads the first bytes and returns them with a reader that begins before them.
func peek(r io.Reader) (io.Reader, string, error) {
	head := make([]byte, headLength)
	n, err := io.ReadFull(r, head)
	switch {
	case n == 0 && (err == io.EOF || err == io.ErrUnexpectedEOF):
		return nil, "", errors.New("is empty")
	case err != nil && err != io.EOF && err != io.ErrUnexpectedEOF:
		return nil, "", err
	}
	return &again{head[:n], r}, string(head[:n]), nil
}

// again gives what was read before, then the rest. It cannot seek: no decoder
// walks through a long file before its first sample.
type again struct {
	head []byte
	rest io.Reader
}

func (a *again) Read(p []byte) (int, error) {
	if len(a.head) > 0 {
		n := copy(p, a.head)
		a.head = a.head[n:]
		return n, nil
	}
	return a.rest.Read(p)
}
