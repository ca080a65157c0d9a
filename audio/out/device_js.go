//go:build !nodesk

package out

import (
	"encoding/binary"
	"fmt"
	"math"
	"sync"
	"sync/atomic"
	"syscall/js"
	"time"

	"driftdrill/audio"
)

// A browser plays through Web Audio. Pieces of sound are handed to it ahead of
// time, each with the moment at which it is to sound, so that nothing has to be
// rendered while a picture is drawn: script processors, which a page over plain
// HTTP would have in place of worklets, have to be.

// pieceFrames is how much is handed over at once: four ticks, 20 ms.
const pieceFrames = 4 * silentChunk

// feedEvery is how often the device looks whether there is room for more.
const feedEvery = 8 * time.Millisecond

// device plays in the browser.
type device struct {
	opt  Options
	src  audio.Source
	page *soundPage
	ear  js.Value // what the pieces go to, so that Close takes them all away

	frames    atomic.Int64
	underruns atomic.Int64
	queued    atomic.Uint64 // ms, as bits of a float64
	err       atomic.Pointer[error]

	once    sync.Once
	started atomic.Bool
	stop    chan struct{}
	idle    chan struct{}
}

// NewDevice makes a sink for the browser's sound. It sounds as soon as the page
// has been clicked on or a key was pressed: before that a browser plays nothing,
// and the source stands still.
func NewDevice(opt Options) audio.Sink {
	return &device{opt: opt.withDefaults(), stop: make(chan struct{}), idle: make(chan struct{})}
}

// soundPage is the one audio context of a page.
type soundPage struct{ ctx js.Value }

var sharedPage struct {
	sync.Mutex
	page *soundPage
}

// openPage opens the page's audio context, once. What a user does later lets it
// begin, or go on where the system had interrupted it.
func openPage() (*soundPage, error) {
	sharedPage.Lock()
	defer sharedPage.Unlock()
	if sharedPage.page != nil {
		return sharedPage.page, nil
	}
	class := js.Global().Get("AudioContext")
	if !class.Truthy() {
		class = js.Global().Get("webkitAudioContext")
	}
	if !class.Truthy() {
		return nil, fmt.Errorf("no sound device: this browser has no Web Audio")
	}
	p := &soundPage{class.New(map[string]any{"sampleRate": audio.SampleRate, "latencyHint": "interactive"})}
	wake := js.FuncOf(func(js.Value, []js.Value) any {
		if !p.runs() {
			p.ctx.Call("resume")
		}
		return nil
	})
	for _, event := range []string{"pointerdown", "pointerup", "touchend", "keydown"} {
		js.Global().Get("document").Call("addEventListener", event, wake, true)
	}
	p.ctx.Call("resume")
	sharedPage.page = p
	return p, nil
}

func (p *soundPage) runs() bool   { return p.ctx.Get("state").String() == "running" }
func (p *soundPage) now() float64 { return p.ctx.Get("currentTime").Float() }

// Start implements audio.Sink.
func (d *device) Start(src audio.Source) error {
	if d.started.Swap(true) {
		return errStarted
	}
	page, err := openPage()
	if err != nil {
		d.err.Store(&err)
		close(d.idle)
		return err
	}
	d.page, d.src = page, src
	d.ear = page.ctx.Call("createGain")
	d.ear.Call("connect", page.ctx.Get("destination"))
	go d.feed()
	return nil
}

// feed keeps so much sound with the browser as the buffer is long.
func (d *device) feed() {
	defer close(d.idle)
	p := newPieces(d.page.ctx, d.ear)
	lead := d.opt.Device.Seconds()
	next, begun := int64(0), false // frame of the context at which the next piece sounds
	for {
		select {
		case <-d.stop:
			return
		case <-time.After(feedEvery):
		}
		if !d.page.runs() {
			begun = false
			continue
		}
		now := int64(math.Ceil(d.page.now() * audio.SampleRate))
		ahead := int64(lead * audio.SampleRate)
		if next < now {
			if begun {
				d.underruns.Add(1)
			}
			next, begun = now+ahead/2, true
		}
		for next < now+ahead {
			n := p.play(d.src, next)
			d.frames.Add(int64(n))
			if next += int64(n); n < pieceFrames {
				return
			}
		}
		d.queued.Store(math.Float64bits(float64(next-now) * 1000 / audio.SampleRate))
	}
}

// pieces hands over one piece after another.
type pieces struct {
	ctx, ear js.Value
	buf      []float32
	raw      []byte
	bytes    js.Value // Uint8Array over the same memory as floats
	floats   [2]js.Value
}

func newPieces(ctx, ear js.Value) *pieces {
	memory := js.Global().Get("ArrayBuffer").New(2 * 4 * pieceFrames)
	p := &pieces{ctx: ctx, ear: ear, buf: make([]float32, 2*pieceFrames), raw: make([]byte, 2*4*pieceFrames), bytes: js.Global().Get("Uint8Array").New(memory)}
	for side := range p.floats {
		p.floats[side] = js.Global().Get("Float32Array").New(memory, side*4*pieceFrames, pieceFrames)
	}
	return p
}

// play fills a piece and lets it sound at a frame of the context. It returns
// how many frames the source gave.
func (p *pieces) play(src audio.Source, at int64) int {
	n := 0
	for n < pieceFrames { // tick by tick, as every device does
		got := src.Fill(p.buf[2*n : 2*(n+silentChunk)])
		if n += got; got < silentChunk {
			break
		}
	}
	clear(p.buf[2*n:])
	for i := range pieceFrames {
		binary.LittleEndian.PutUint32(p.raw[4*i:], math.Float32bits(p.buf[2*i]))
		binary.LittleEndian.PutUint32(p.raw[4*(pieceFrames+i):], math.Float32bits(p.buf[2*i+1]))
	}
	js.CopyBytesToJS(p.bytes, p.raw)
	buffer := p.ctx.Call("createBuffer", 2, pieceFrames, audio.SampleRate)
	buffer.Call("copyToChannel", p.floats[0], 0)
	buffer.Call("copyToChannel", p.floats[1], 1)
	source := p.ctx.Call("createBufferSource")
	source.Set("buffer", buffer)
	source.Call("connect", p.ear)
	source.Call("start", float64(at)/audio.SampleRate)
	return n
}

// Stats implements audio.Sink.
func (d *device) Stats() audio.Stats {
	s := audio.Stats{Frames: d.frames.Load(), Underruns: d.underruns.Load(), QueuedMS: math.Float64frombits(d.queued.Load())}
	if d.page != nil {
		if l := d.page.ctx.Get("outputLatency"); l.Type() == js.TypeNumber {
			s.QueuedMS += 1000 * l.Float()
		}
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

// Close implements audio.Sink: what is still to sound is taken away.
func (d *device) Close() error {
	d.once.Do(func() {
		close(d.stop)
		if d.started.Load() {
			<-d.idle
		}
		if d.ear.Truthy() {
			d.ear.Call("disconnect")
		}
	})
	return nil
}

// probeDevice tells whether the browser has sound.
func probeDevice(Options) error {
	_, err := openPage()
	return err
}
