package recording

// Source gives the samples of a recording, once, in order.
type Source interface {
	// Rate is the number of frames in a second, Channels of samples in a frame.
	Rate() int
	Channels() int
	// Read fills dst with interleaved samples, full scale 1, and returns how
	// many whole frames it wrote; fewer than fit only together with an error.
	// io.EOF is the end; with any other error what was read is still good.
	Read(dst []float32) (frames int, err error)
}

// Limits of what is analysed.
const (
	MinRate = 6000   // Hz: below it an SSB voice does not fit
	MaxRate = 384000 // Hz
)
