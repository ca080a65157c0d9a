package scoring

import (
	"math"
	"math/rand/v2"

	"driftdrill/sim"
)

// stranger is an operator of a make that neither the ladder, nor the study, nor
// person is: he keeps in mind where his voice is and how fast the pass pulls it, and
// puts both right at each look (an alpha-beta filter). He looks for himself with
// the receive dial, as the course teaches, and brings both dials home. Each fault
// is one change of what he hears, turns or keys. All figures are our choice.
type stranger struct {
	setup *sim.Setup
	r     *rand.Rand

	everyS, delayS, earHz float64 // between looks; from ear to hand; deviation of what is heard
	fingers               float64 // notches a second
	low, high, floorDB    float64 // where he hears himself

	x, v   float64   // his voice as he thinks it is, Hz, and how fast it is pulled, Hz/s
	past   []float64 // what really was, and what he thought, delayS ago and since
	mind   []float64
	next   float64
	looks  int
	lost   float64 // s keyed without hearing himself
	sure   bool    // he has heard himself and works on it
	phase  sim.Phase
	began  float64 // of the present phase
	credit float64
	turned float64 // with the last thought, Hz, + lowers his voice

	stop    int // of the search
	atS     float64
	calledS float64
	away    float64 // receive dial against home, Hz
	homing  bool

	turns func(s *sim.State, want float64) float64 // what he would turn, Hz, to lower his voice
	keys  func(s *sim.State, want bool) bool
	hears func(s *sim.State, hz float64) float64
	mute  bool // never says his call
	dull  bool // has no feeling for the rate
	lag   float64
	aimHz float64 // what he aims at
}

func newStranger(setup *sim.Setup, seed uint64) *stranger {
	r := rand.New(rand.NewPCG(seed, 0x57a9))
	p := &stranger{setup: setup, r: r, everyS: 0.3 + 0.3*r.Float64(), delayS: 0.2 + 0.15*r.Float64(), earHz: 8 + 8*r.Float64(), fingers: 10 + 3*r.Float64(), calledS: -99}
	switch p.low, p.high, p.floorDB = -700, 1500, 0; {
	case setup.Station.Receive.FilterHz == 500:
		p.low, p.high, p.floorDB = -250, 250, -9
	case setup.Drill.Voice == "tone" || setup.Drill.Voice == "cw":
		p.low, p.high, p.floorDB = -400, 2000, -9
	case setup.Drill.Voice == "whistle":
		p.high, p.floorDB = 1700, -9
	}
	return p
}

// lowers is the sign of the uplink dial's motion that lowers his voice.
func (p *stranger) lowers() float64 {
	if p.setup.Bird.Transponders[max(0, p.setup.Drill.Transponder-1)].Inverting {
		return 1
	}
	return -1
}

func (p *stranger) Act(s *sim.State, post func(sim.CommandKind, int64)) {
	if s.Tick%SampleTicks != 0 || s.Phase == sim.PhaseWait {
		return
	}
	now := s.Tick.Seconds()
	if s.Phase != p.phase {
		p.phase, p.began = s.Phase, now
	}
	p.antenna(s, post)
	heard := s.Keyed && s.InPassband && s.SNRDB > p.floorDB && s.OffsetHz > p.low && s.OffsetHz < p.high
	p.listen(s, heard)
	if !p.sure && s.Assigned && (!p.setup.Drill.Start.Found || p.looks > 0) {
		p.search(s, post)
		return
	}
	if s.Rule == sim.RuleDownlink {
		p.away = 0
	}
	if p.away != 0 { // home with both dials, the key up
		hz := p.away
		p.dial(s, -hz, post)
		p.x += hz
		p.homing = true
	}
	p.homing = p.homing && math.Abs(p.x) > 200
	p.key(s, s.Assigned && now-p.began > p.lag && !p.homing, post)
	p.card(s, post)
	want := p.x - p.aimHz
	if p.turns != nil {
		want = p.turns(s, want)
	}
	p.turn(s, want, post)
}

// listen keeps what he has in mind.
func (p *stranger) listen(s *sim.State, heard bool) {
	p.past, p.mind = append(p.past, s.OffsetHz), append(p.mind, p.x)
	ago := len(p.past) - 1 - samplesIn(p.delayS)
	p.x += p.v * sampleS
	switch {
	case heard:
		p.lost = 0
	case s.Keyed && s.Assigned:
		p.lost += sampleS
		if p.sure && p.lost > 6 {
			p.sure, p.stop, p.atS = false, 0, 0
		}
		return
	default:
		return
	}
	if now := s.Tick.Seconds(); now >= p.next && ago >= 0 {
		p.next = now + p.everyS*(0.8+0.4*p.r.Float64())
		at := p.past[ago]
		if p.hears != nil {
			at = p.hears(s, at)
		}
		if p.looks == 0 || !p.sure {
			p.x, p.sure = at+p.earHz*p.r.NormFloat64(), true
			p.looks++
			return
		}
		off := at + p.earHz*p.r.NormFloat64() - p.mind[ago]
		p.x += 0.5 * off
		if p.looks++; !p.dull && math.Abs(off) < 150 {
			p.v += math.Max(-20, math.Min(20, 0.12*off/p.everyS))
		}
		if p.dull {
			p.x += 0.5 * off
		}
	}
}

func (p *stranger) key(s *sim.State, down bool, post func(sim.CommandKind, int64)) {
	if p.keys != nil {
		down = p.keys(s, down)
	}
	if down == s.Keyed {
		return
	}
	if now := s.Tick.Seconds(); down && !p.mute && now-p.calledS > 20 {
		p.calledS = now
		post(sim.CommandSay, sim.SayCall)
	}
	post(sim.CommandKey, int64(count(down)))
}

// turn works a wish off, as fast as his fingers go.
func (p *stranger) turn(s *sim.State, want float64, post func(sim.CommandKind, int64)) {
	step := float64(s.StepHz)
	p.turned = 0
	p.credit = math.Min(1.5, p.credit+p.fingers*sampleS)
	if math.Abs(want) < 0.6*step || p.credit < 1 {
		return
	}
	p.credit--
	n := math.Copysign(1, want)
	if math.Abs(want) > 300 && math.Abs(want) > 8*step {
		n *= 3
	}
	p.x, p.turned = p.x-n*step, n*step
	if s.Rule == sim.RuleDownlink {
		post(sim.CommandReceive, int64(n))
		return
	}
	post(sim.CommandUplink, int64(n*p.lowers()))
}

// card moves the receive dial after its card, where both dials are his.
func (p *stranger) card(s *sim.State, post func(sim.CommandKind, int64)) {
	if s.Rule != sim.RuleBoth {
		return
	}
	step := float64(s.StepHz)
	if n := math.Round((s.CardReceiveHz - float64(s.ReceiveHz)) / step); n != 0 {
		post(sim.CommandReceive, int64(n))
		p.x -= n * step
	}
}

// search keys a second at 0, +1, -1, +2, -2 kHz of the receive dial (of the hand's
// dial, where that is the same), and takes both dials home where he hears himself.
func (p *stranger) search(s *sim.State, post func(sim.CommandKind, int64)) {
	stride := 1000.0
	if p.high == 250 {
		stride = 400
	}
	p.atS += sampleS
	if p.atS > 2.2 {
		p.atS = 0
		p.stop++
		if float64(p.stop/2+1)*stride > 6000 {
			p.stop = 0
		}
		to := stride * float64((p.stop+1)/2)
		if p.stop%2 == 0 {
			to = -to
		}
		p.dial(s, to-p.away, post)
	}
	p.key(s, p.atS > 0.3 && p.atS < 1.6, post)
}

// dial turns the receive dial by so much.
func (p *stranger) dial(s *sim.State, hz float64, post func(sim.CommandKind, int64)) {
	n := math.Round(hz / float64(s.StepHz))
	p.away += n * float64(s.StepHz)
	post(sim.CommandReceive, int64(n))
}

// antenna holds the antenna on the bird, where it is his to hold.
func (p *stranger) antenna(s *sim.State, post func(sim.CommandKind, int64)) {
	if !p.setup.Station.HandAntenna || s.Tick%100 != 0 {
		return
	}
	post(sim.CommandAim, int64(math.Round(10*(math.Mod(s.Look.AzimuthDeg-s.AntennaAzimuthDeg+540, 360)-180))))
	post(sim.CommandRaise, int64(math.Round(10*(math.Max(0, s.Look.ElevationDeg)-s.AntennaElevationDeg))))
}
