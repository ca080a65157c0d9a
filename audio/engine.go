package audio

import (
	"math"
	"sync/atomic"

	"driftdrill/sim"
)

// Stepper is a run that moves on by one tick at a time.
type Stepper interface {
	// Step moves on by one tick and fills s. Called on the sound thread.
	Step(s *sim.State)
	// Done tells that the run has ended.
	Done() bool
}

// Config is how the operator wants to hear a run. The zero value is usable.
type Config struct {
	OwnVoice    string      // "tone", "vowel", "call", "cw", "whistle", "own", "mic"; "" as the scene says
	Own         *Recording  // the operator's own voice for "own"
	Mic         *Microphone // for "mic"
	TonePitchHz float64     // 0 is the middle of the headset's region, 700 without one
	Headset     Headset
	Seed        uint64 // of the noise
	AGC         AGC
	Filter      Filter
	CWPitchHz   float64 // 0 is 700
	WPM         float64 // of the own CW; 0 is 15
	SoftStartS  float64 // 0 is 1 s
	Output      Output  // what the sink gets
	Speaker     string  // of the spoken call; "" is the first
}

// Engine renders a run: each tick it steps the run, makes the passband from
// the state, receives it and mixes the headset. It is a Source; Fill may be
// called with any length and the samples do not depend on it.
//
// All memory is taken when it is made. The methods that set something are
// safe from any goroutine and take effect with the next tick.
type Engine struct {
	run    Stepper
	voices *Voices
	scene  Scene

	state    sim.State
	stepped  bool
	refDB    float64 // reference noise in 2400 Hz, dBW
	centreHz float64 // of the passband, as the receive dial shows it

	own       voice
	usual     voice // of the drill or the operator
	trials    map[string]voice
	ownRe     [tickFrames]float32
	ownIm     [tickFrames]float32
	room      *room // what the microphone picks up besides; nil = nothing
	mouthRe   [tickFrames]float32
	mouthIm   [tickFrames]float32
	line      delayLine
	keyGain   float32 // of the transmitter
	sideGain  float32 // of the sidetone
	idleTicks int     // since the own voice was last needed
	channels  [maxChannels]channel
	noise     noiseSource
	noiseGain float32
	pass      [2][passSamples]float32
	rx        *receiver
	heard     [tickFrames]float32
	sideUp    oscillator
	gains     earGains
	asked     int // ticks since the question of an exercise by ear
	extras    extras
	lift      lift
	output    Output
	tap       func(re, im []float32, centreHz float64) // gets each tick of passband
	limiter   *limiter
	fade      fader
	tickOut
	tail int // frames still to come after the end

	headset   atomic.Pointer[Headset]
	settings  receiverSettings
	reference atomic.Bool
	cueOn     atomic.Bool
	paused    atomic.Bool
	over      atomic.Bool
	scope     *scope
}

// receiverSettings are how the receiver is set for a run.
type receiverSettings struct {
	filter  Filter
	agc     AGC
	pitchHz float64
}

// NewSceneEngine makes an engine for a run in a given scene. voices may be nil.
func NewSceneEngine(run Stepper, scene Scene, voices *Voices, cfg Config) (*Engine, error) {
	e := &Engine{run: run, voices: voices, scene: scene, limiter: newLimiter(), rx: newReceiver(), scope: newScope()}
	e.noise = newNoise(cfg.Seed, 1)
	err := e.ownVoices(cfg)
	if err != nil {
		return nil, err
	}
	e.output = cfg.Output
	e.centreHz = scene.CentreHz
	if err := e.giveVoices(voices, cfg); err != nil {
		return nil, err
	}
	if scene.Room {
		if e.room, err = newRoom(voices); err != nil {
			return nil, err
		}
	}
	voices.tidy()
	h := cfg.Headset
	e.headset.Store(&h)
	e.gains = h.gains()
	pitch := cfg.CWPitchHz
	if pitch == 0 {
		pitch = defaultPitchHz
	}
	e.settings = receiverSettings{cfg.Filter, cfg.AGC, pitch}
	soft := cfg.SoftStartS
	if soft <= 0 {
		soft = 1
	}
	e.fade.start(soft)
	e.tail = limiterAhead + 2
	e.sideUp.freq = ssbCentreHz
	return e, nil
}

// defaultPitchHz is the pitch of the own tone and of CW.
const defaultPitchHz = 700

// SetHeadset changes what is heard.
func (e *Engine) SetHeadset(h Headset) { e.headset.Store(&h) }

// Headset returns what was set last.
func (e *Engine) Headset() Headset { return *e.headset.Load() }

// SetReference lets the own voice be heard as spoken, in the ear and at the
// level of the sidetone, while the key is up: to remember what true sounds
// like. It goes on the air in no way.
func (e *Engine) SetReference(on bool) { e.reference.Store(on) }

// Pause stops or resumes the run: while it is paused Fill gives silence and
// the run is not stepped. It fades in 10 ms and comes back in 50 ms.
func (e *Engine) Pause(on bool) { e.paused.Store(on) }

// Over tells whether the run has ended, and with it the sound.
func (e *Engine) Over() bool { return e.over.Load() }

// Paused tells whether the run is paused.
func (e *Engine) Paused() bool { return e.paused.Load() }

// Fill implements Source.
func (e *Engine) Fill(dst []float32) int {
	n := e.give(dst, len(dst)/2, e.render)
	clear(dst[2*n:])
	return n
}

// render makes the next tick of sound; false after the end.
func (e *Engine) render() bool {
	done := e.run.Done()
	if done {
		e.over.Store(true)
	}
	paused := e.paused.Load() && !done
	switch {
	case done && e.fade.silent():
		if e.tail <= 0 {
			return false
		}
		e.tail -= tickFrames
		clear(e.out[:])
		e.limiter.run(e.out[:])
		return true
	case paused && e.fade.silent():
		clear(e.out[:])
		e.addSpeech()
		e.limiter.run(e.out[:])
		return true
	case !done && !paused:
		e.run.Step(&e.state)
	}
	e.fade.aim(!done && !paused)
	e.apply()
	e.renderOwn()
	e.renderPassband()
	e.rx.run(e.heard[:], e.pass[0][:], e.pass[1][:], e.dial())
	e.mix()
	if e.tap != nil {
		e.tap(e.pass[0][:], e.pass[1][:], e.centreHz)
	}
	e.addSpeech()
	e.limiter.run(e.out[:])
	e.watchHowl()
	return true
}

// dial is the receive dial in the passband, Hz.
func (e *Engine) dial() float64 { return float64(e.state.ReceiveHz) - e.centreHz }

// dialLimitHz is how far the receive dial may go from the centre of the
// passband before the passband is laid around the dial anew.
const dialLimitHz = 43000

// apply takes over settings and, with the first tick, the scales.
func (e *Engine) apply() {
	set := &e.settings
	e.rx.filter, e.rx.pitchHz = set.filter, set.pitchHz
	e.rx.agc.set(set.agc, baseRate)
	e.rx.lsb = e.state.ReceiveSideband == sim.LSB
	moved := math.Abs(e.dial()) > dialLimitHz
	if moved {
		e.centreHz = 1000 * math.Round(float64(e.state.ReceiveHz)/1000)
		for i := range e.channels {
			e.channels[i].placed = false
		}
	}
	if !e.stepped {
		e.stepped = true
		e.refDB = e.state.NoiseDBWHz + 10*math.Log10(noiseBandHz)
		if math.IsNaN(e.refDB) || math.IsInf(e.refDB, 0) {
			e.refDB = -200 + 10*math.Log10(noiseBandHz)
		}
		e.noiseGain = e.noiseAmplitude(e.headset.Load())
		moved = true
	}
	if moved {
		e.rx.tune(e.dial())
	}
}

// noiseBandHz is the bandwidth in which S/N is told.
const noiseBandHz = 2400

func (e *Engine) noiseAmplitude(h *Headset) float32 {
	if h.NoiseDB <= offDB {
		return 0
	}
	return amplitudeOf(e.state.NoiseDBWHz + 10*math.Log10(passRate) - e.refDB + h.NoiseDB)
}

// renderOwn makes one tick of the own voice, keyed, and puts it on its way.
func (e *Engine) renderOwn() {
	e.chooseVoice()
	reference := e.reference.Load()
	key, side := float32(0), float32(0)
	if e.state.Keyed {
		key, side = 1, 1
		if e.headset.Load().NoSidetone || e.state.Bench.ByVOX {
			side = 0
		}
	}
	if reference {
		side = 1
	}
	if e.state.ByHand { // the keyed carrier rises and falls by itself, without a click
		e.keyGain, e.sideGain = 1, 1
	}
	if key == 0 && side == 0 && e.keyGain == 0 && e.sideGain == 0 {
		if e.idleTicks++; e.idleTicks == restartTicks {
			e.own.restart()
		}
		clear(e.ownRe[:])
		clear(e.ownIm[:])
	} else {
		e.idleTicks = 0
		e.own.fill(e.ownRe[:], e.ownIm[:])
	}
	own := &e.channels[0]
	re, im := own.re[1:], own.im[1:]
	mouthRe, mouthIm := e.ownRe[:], e.ownIm[:]
	if e.room != nil {
		mouthRe, mouthIm = e.mouthRe[:], e.mouthIm[:]
		e.room.pick(mouthRe, mouthIm, e.ownRe[:], e.ownIm[:], e.heard[:], &e.state)
	}
	ramp(re, mouthRe, e.keyGain, key)
	ramp(im, mouthIm, e.keyGain, key)
	e.line.write(re, im)
	e.line.read(re, im, e.state.Own().DelayS)
	e.keyGain = key
	ramp(e.ownRe[:], e.ownRe[:], e.sideGain, side)
	ramp(e.ownIm[:], e.ownIm[:], e.sideGain, side)
	e.sideGain = side
}

// restartTicks is the pause after which a spoken voice begins anew: 0.3 s.
const restartTicks = 60

// ramp writes src times a gain that goes from a to b.
func ramp(dst, src []float32, a, b float32) {
	if a == b {
		if a == 1 {
			copy(dst, src)
			return
		}
		if a == 0 {
			clear(dst[:len(src)])
			return
		}
	}
	g, step := moved(a, b, len(src))
	for i, x := range src {
		g += step
		dst[i] = x * g
	}
}

// mix puts sidetone, receiver and extras on the ears.
func (e *Engine) mix() {
	e.sideUp.next(ssbCentreHz, SampleRate, tickFrames).rotate(e.ownRe[:], e.ownIm[:])
	if e.output != OutputHeard {
		e.fade.tick()
		e.fileOut()
		return
	}
	h := e.headset.Load()
	now := h.gains()
	e.takeTurns(h, &now)
	if e.state.Bench.Is(sim.BenchHeadphones, 0) {
		now.throughSpeaker()
	}
	old := e.gains
	e.gains = now
	e.extras.render(e, h)
	const side, recv = referenceRMS * math.Sqrt2, referenceRMS * math.Sqrt2
	a, b := e.fade.tick()
	f, fs := moved(a, b, tickFrames)
	for ear := range 2 {
		s, ss := moved(old.sidetone[ear]*side, now.sidetone[ear]*side, tickFrames)
		r, rs := moved(old.receive[ear]*recv, now.receive[ear]*recv, tickFrames)
		x, xs := moved(old.extra[ear], now.extra[ear], tickFrames)
		g, cue := f, &e.extras.cue.ear[ear]
		for i := range tickFrames {
			s, r, x, g = s+ss, r+rs, x+xs, g+fs
			e.out[2*i+ear] = (e.ownRe[i]*s + e.heard[i]*r + (e.extras.out[i]+cue[i])*x) * g
		}
	}
	e.lift.set(h.Region)
	e.lift.run(e.out[:])
}
