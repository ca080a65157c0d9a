package soundfile

import (
	"errors"
	"io"
)

// mp3Walk follows the frames of an MP3 file by their headers while the decoder
// reads it: the decoder takes a file that ends within a frame for one that is
// whole. Header, rates and lengths of frames as ISO/IEC 11172-3 2.4.1.3 and
// 13818-3 (lower sampling rates) give them for layer III.
type mp3Walk struct {
	from io.Reader
	head [4]byte
	have int   // bytes of the next header
	left int64 // bytes of the frame at hand
	lost bool  // what comes is no frame: a tag at the end, or damage
	cut  bool  // the file has ended within a frame
}

// mp3BitRates are kbit/s by their index; 0 and 15 are none of it.
var mp3BitRates = [2][15]int64{
	{0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160},     // lower sampling rates
	{0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320}, // MPEG-1
}

var mp3Rates = [3]int64{44100, 48000, 32000} // of MPEG-1; MPEG-2 has half of it

// mp3FrameLength is the length of a frame with its header, bytes; 0 where that is no header.
func mp3FrameLength(h [4]byte) int64 {
	rate, bits := h[2]>>2&3, h[2]>>4
	if h[0] != 0xff || h[1]&0xe6 != 0xe2 || h[1]>>3&3 == 1 || rate == 3 || bits == 0 || bits == 15 {
		return 0
	}
	hz, samples, kind := mp3Rates[rate], int64(1152), 1
	switch h[1] >> 3 & 3 {
	case 2: // MPEG-2
		hz, samples, kind = hz/2, 576, 0
	case 0: // and half of that again
		hz, samples, kind = hz/4, 576, 0
	}
	return samples/8*1000*mp3BitRates[kind][bits]/hz + int64(h[2]>>1&1)
}

// Read implements io.Reader.
func (w *mp3Walk) Read(p []byte) (int, error) {
	n, err := w.from.Read(p)
	w.walk(p[:n])
	if errors.Is(err, io.EOF) {
		w.cut = !w.lost && w.left > 0
	}
	return n, err
}

func (w *mp3Walk) walk(p []byte) {
	for len(p) > 0 && !w.lost {
		if w.left > 0 {
			k := min(w.left, int64(len(p)))
			w.left, p = w.left-k, p[k:]
			continue
		}
		k := copy(w.head[w.have:], p)
		w.have, p = w.have+k, p[k:]
		if w.have == len(w.head) {
			w.have = 0
			if w.left = mp3FrameLength(w.head) - int64(len(w.head)); w.left < 0 {
				w.left, w.lost = 0, true
			}
		}
	}
}
