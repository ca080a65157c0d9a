package soundfile

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/hajimehoshi/go-mp3"
)

// MP3 begins late: with the delays of its encoder and its decoder, and with a
// frame of silence where a tag is kept in one. They are taken off, so that the
// first sample is the recorder's. Delays as LAME's technical FAQ gives them, and
// places as its "Mp3 Info Tag rev 1" does.
const (
	mp3DecoderDelay = 529  // samples
	mp3EncoderDelay = 576  // of the most usual encoder, where no tag tells
	mp3Head         = 2048 // bytes that hold a first frame's tag
	lameDelayAt     = 21   // bytes behind the beginning of the encoder's part of the tag
)

func openMP3(r io.Reader) (*Stream, error) {
	in, err := pastID3(r)
	if err != nil {
		return nil, fmt.Errorf("is not an MP3 file that can be read (%w); save it as WAV or FLAC", err)
	}
	head, _ := in.Peek(mp3Head)
	skip := mp3Late(head)
	walk := &mp3Walk{from: in} // it cannot seek
	d, err := mp3.NewDecoder(walk)
	if err != nil {
		return nil, fmt.Errorf("is not an MP3 file that can be read (%w); save it as WAV or FLAC", err)
	}
	// The decoder gives two channels of 16 bits, whatever is in the file.
	return &Stream{Format: "MP3", Frames: -1, rate: d.SampleRate(), channels: 2, next: &mp3Decoder{file: d, skip: skip, walk: walk}}, nil
}

// pastID3 returns what follows a tag of ID3 version 2, where there is one: ten
// bytes, the last four of them its length in seven bits each.
func pastID3(r io.Reader) (*bufio.Reader, error) {
	in := bufio.NewReaderSize(r, mp3Head)
	head, err := in.Peek(10)
	if err != nil || string(head[:3]) != "ID3" {
		return in, nil // what is too short is the decoder's to word
	}
	length := 0
	for _, b := range head[6:] {
		if b > 127 {
			return nil, errors.New("its ID3 tag is damaged")
		}
		length = length<<7 | int(b)
	}
	length += 10
	if head[5]&0x10 != 0 {
		length += 10 // a footer
	}
	_, err = io.CopyN(io.Discard, in, int64(length))
	return in, err
}

// mp3Late returns how many samples come before the recorder's first, from a
// file's first frame.
func mp3Late(frame []byte) int {
	const usual = mp3EncoderDelay + mp3DecoderDelay
	if len(frame) < 4 {
		return usual
	}
	version1, mono := frame[1]>>3&3 == 3, frame[3]>>6 == 3
	at, samples := 4+17, 576
	switch {
	case version1 && mono:
		samples = 1152
	case version1:
		at, samples = 4+32, 1152
	case mono:
		at = 4 + 9
	}
	if len(frame) < at+8 || string(frame[at:at+4]) != "Xing" && string(frame[at:at+4]) != "Info" {
		return usual
	}
	flags := binary.BigEndian.Uint32(frame[at+4:])
	at += 8
	for bit, length := range []int{4, 4, 100, 4} { // frames, bytes, table of contents, quality
		if flags>>bit&1 != 0 {
			at += length
		}
	}
	if len(frame) < at+lameDelayAt+3 || !strings.HasPrefix(string(frame[at:]), "LAME") && !strings.HasPrefix(string(frame[at:]), "Lav") {
		return samples + usual
	}
	delay := int(frame[at+lameDelayAt])<<4 | int(frame[at+lameDelayAt+1])>>4
	return samples + delay + mp3DecoderDelay
}

type mp3Decoder struct {
	file *mp3.Decoder
	walk *mp3Walk
	buf  []byte
	skip int // frames before the first that counts
}

func (d *mp3Decoder) read(dst []float32) (int, error) {
	want := min(len(dst)/2, 4096) * 4
	if cap(d.buf) < want {
		d.buf = make([]byte, want)
	}
	if d.skip > 0 {
		n, err := io.CopyN(io.Discard, d.file, int64(4*d.skip))
		if d.skip -= int(n / 4); err != nil {
			return 0, d.ending(err)
		}
	}
	n, err := io.ReadFull(d.file, d.buf[:want])
	if errors.Is(err, io.ErrUnexpectedEOF) {
		err = io.EOF
	}
	for i := range n / 4 * 2 {
		dst[i] = float32(int16(binary.LittleEndian.Uint16(d.buf[2*i:]))) / (1 << 15)
	}
	return n / 4, d.ending(err)
}

// ending tells the end of a file from one within a frame.
func (d *mp3Decoder) ending(err error) error {
	if errors.Is(err, io.EOF) && d.walk.cut {
		return ErrCut
	}
	return err
}
