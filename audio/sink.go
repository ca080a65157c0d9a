package audio

// SampleRate is the rate of everything the operator hears, Hz.
const SampleRate = 48000

// Source gives stereo sound. Fill writes len(dst)/2 frames, left and right
// interleaved, full scale 1, and returns the frames written. Fewer than asked
// for means that the source has ended; the rest of dst is then zero.
//
// Fill runs on the sound thread: it must not block, allocate, log or do I/O.
type Source interface {
	Fill(dst []float32) (frames int)
}

// Sink is where sound goes: a sound device, a silent clock, a WAV file or a test.
type Sink interface {
	// Start begins to pull from src and returns at once, or with an error if
	// there is nothing to play on.
	Start(src Source) error
	// Stats tells how the sound runs. Safe from any goroutine.
	Stats() Stats
	// Err tells why sound stopped by itself; nil while it runs. Safe from any goroutine.
	Err() error
	// Close stops pulling. No Fill is running when it returns.
	Close() error
}

// Stats tells how a sink runs.
type Stats struct {
	Frames    int64 // pulled from the source
	Underruns int64 // times that the device ran dry
	QueuedMS  float64
}
