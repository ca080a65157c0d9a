//go:build !nodesk && !js

package out

import (
	"encoding/binary"
	"errors"
	"io"
	"math"
	"sync"
	"sync/atomic"
	"time"

	"driftdrill/audio"
)

// player is what both versions of the sound library have.
type player interface {
	Play()
	UnplayedBufferSize() int
	Err() error
	Close() error
}

const (
	frameBytes = 8 // two float32
	readyWait  = 5 * time.Second
	pollEvery  = 50 * time.Millisecond
	settling   = 300 * time.Millisecond // a device fills its own buffer first
)

// shared is the one context that a process can have. It is opened by the
// first sink that starts; its buffer is that of the first one. While no sink
// plays it is suspended: to write silence costs more than a page at rest.
var shared struct {
	sync.Mutex
	ctx     context
	open    bool
	buffer  time.Duration
	playing int  // sinks
	rests   bool // the context is suspended
}

// lingers is for how long the context writes silence after the last sink: what
// the device holds is played to its end, and the next sound often comes soon.
const lingers = time.Second

// begin lets the context play for one sink more.
func begin(ctx context) {
	shared.Lock()
	defer shared.Unlock()
	shared.playing++
	if shared.rests {
		shared.rests = false
		_ = ctx.Resume() // its error is that of the context, which the watch sees
	}
}

// end is told when a sink that began plays no more.
func end() {
	shared.Lock()
	defer shared.Unlock()
	shared.playing--
	if shared.playing > 0 {
		return
	}
	time.AfterFunc(lingers, func() {
		shared.Lock()
		defer shared.Unlock()
		if shared.playing == 0 && !shared.rests {
			shared.rests = true
			_ = shared.ctx.Suspend() // a context that has failed does not play either
		}
	})
}

// device plays on the machine's sound device.
type device struct {
	opt    Options
	player atomic.Pointer[player] // kept here: the library closes a player that nobody holds
	ctx    context
	src    audio.Source
	buf    []float32

	mu      sync.Mutex // over Fill, so that Close waits for it
	closed  bool
	started atomic.Bool
	ended   atomic.Bool // the source has
	stop    chan struct{}
	begin   time.Time

	frames    atomic.Int64
	underruns atomic.Int64
	err       atomic.Pointer[error]
}

// NewDevice makes a sink for the machine's default sound device. The device
// is opened by Start, which fails where there is none.
func NewDevice(opt Options) audio.Sink {
	return &device{opt: opt.withDefaults(), buf: make([]float32, 2*silentChunk), stop: make(chan struct{})}
}

// Start implements audio.Sink.
func (d *device) Start(src audio.Source) error {
	if d.started.Swap(true) {
		return errStarted
	}
	ctx, buffer, err := sharedContext(d.opt.Device)
	if err != nil {
		d.fail(err)
		return err
	}
	d.ctx, d.opt.Device = ctx, buffer
	begin(ctx)
	d.src = src
	d.begin = time.Now()
	queue := int(d.opt.Player*audio.SampleRate/time.Second) * frameBytes
	p := ctx.player(reader{d}, queue)
	d.player.Store(&p)
	p.Play()
	go d.watch(p)
	return nil
}

// sharedContext opens the context or returns the open one. A context that has
// failed is given up and opened anew where the system allows it.
func sharedContext(buffer time.Duration) (context, time.Duration, error) {
	shared.Lock()
	defer shared.Unlock()
	if shared.open && shared.ctx.Err() == nil {
		return shared.ctx, shared.buffer, nil
	}
	hushServers()
	ctx, ready, err := openContext(buffer)
	if err != nil {
		return context{}, 0, &plainError{noDeviceWords, err}
	}
	select {
	case <-ready:
	case <-time.After(readyWait):
		return context{}, 0, &plainError{noDeviceWords, errors.New("it did not answer within 5 s")}
	}
	if err := ctx.Err(); err != nil {
		return context{}, 0, &plainError{noDeviceWords, err}
	}
	shared.ctx, shared.open, shared.rests, shared.buffer = ctx, true, false, buffer
	return ctx, buffer, nil
}

func (d *device) fail(err error) { d.err.CompareAndSwap(nil, &err) }

// reader is what the sound library reads from.
type reader struct{ d *device }

// Read gives at most one tick at a time, so that no more is queued than asked for.
func (r reader) Read(p []byte) (int, error) {
	d := r.d
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.closed {
		return 0, io.EOF
	}
	frames := min(len(p)/frameBytes, silentChunk)
	if p := d.player.Load(); p != nil && d.played() > settling && (*p).UnplayedBufferSize() == 0 {
		d.underruns.Add(1)
	}
	d.pace()
	n := d.src.Fill(d.buf[:2*frames])
	for i, x := range d.buf[:2*n] {
		binary.LittleEndian.PutUint32(p[4*i:], math.Float32bits(x))
	}
	d.frames.Add(int64(n))
	if n < frames {
		d.ended.Store(true)
	}
	if n == 0 {
		return 0, io.EOF
	}
	return n * frameBytes, nil
}

// paceAhead is how far a device may pull ahead of the clock: a null device
// takes sound as fast as it comes, a real one never gets near.
const paceAhead = 500 * time.Millisecond

func (d *device) pace() {
	if ahead := d.played() - time.Since(d.begin); ahead > paceAhead {
		time.Sleep(ahead - paceAhead)
	}
}

func (d *device) played() time.Duration {
	return time.Duration(d.frames.Load()) * time.Second / audio.SampleRate
}

// watch looks for a lost device and for time that the device lost: when it
// runs dry it stands still, and from then on it is behind the clock by that much.
func (d *device) watch(p player) {
	const window, jump = 20, 8 * time.Millisecond
	least, before := time.Hour, time.Duration(0)
	for n := 1; ; n++ {
		select {
		case <-d.stop:
			return
		case <-time.After(pollEvery):
		}
		if err := errors.Join(d.ctx.Err(), p.Err()); err != nil {
			d.fail(&plainError{lostWords, err})
			return
		}
		least = min(least, time.Since(d.begin)-d.played())
		if d.ended.Load() {
			continue
		}
		if n%window == 0 {
			if n > window && least-before > jump {
				d.underruns.Add(1)
			}
			least, before = time.Hour, least
		}
	}
}

// Stats implements audio.Sink.
func (d *device) Stats() audio.Stats {
	s := audio.Stats{Frames: d.frames.Load(), Underruns: d.underruns.Load()}
	if p := d.player.Load(); p != nil {
		queued := (*p).UnplayedBufferSize() / frameBytes
		s.QueuedMS = float64(queued)*1000/audio.SampleRate + d.opt.Device.Seconds()*1000
	}
	return s
}

// Err implements audio.Sink.
func (d *device) Err() error {
	if e := d.err.Load(); e != nil {
		return *e
	}
	return nil
}

// Close implements audio.Sink.
func (d *device) Close() error {
	d.mu.Lock()
	was := d.closed
	d.closed = true
	d.mu.Unlock()
	p := d.player.Load()
	if was || p == nil {
		return nil
	}
	close(d.stop)
	defer end()
	if err := (*p).Close(); err != nil && d.Err() == nil {
		return &plainError{lostWords, err}
	}
	return nil
}

// probeDevice opens the device, if it is not open, and tells whether it works.
func probeDevice(opt Options) error {
	_, _, err := sharedContext(opt.withDefaults().Device)
	return err
}
