package sim

import (
	"math"
	"math/rand/v2"
)

// BenchState is how the radios of a run that begins before AOS stand at a tick.
type BenchState struct {
	Of     int                 // how many settings there are; 0 = the run has none
	Values BenchValues         // as they stand
	Right  [BenchSettings]bool // as the card wants them
	RITHz  int64               // by which the receiver is off its dial now
	ByVOX  bool                // the transmitter is on though no hand keys it
	Above  bool                // the bird is up
}

// Is says whether a setting stands at a value.
func (b *BenchState) Is(k BenchSetting, v int64) bool { return b.Of > 0 && b.Values[k] == v }

// RightCount is how many settings stand right.
func (b *BenchState) RightCount() (n int) {
	for k := range b.Right {
		if b.Right[k] {
			n++
		}
	}
	return n
}

// bench is the radios while the run goes on.
type bench struct {
	*Bench              // nil = there is none
	values  BenchValues //
	receive bool        // the knob turns the receive dial
	byVOX   bool
	room    Tick // somebody in the room talks until this tick ...
	next    Tick // ... and the next time from this one on
	his     Tick // the operator himself is what keeps the transmitter on until this tick
	trip    Tick // a voice from the loudspeaker keeps the VOX on until this tick
	g       *rand.Rand
}

// What trips a VOX, choices of this project: a voice out of the loudspeaker
// that stands so far over the noise of 2400 Hz and of which the receiver lets
// so much through, and with headphones the room, now and then.
const (
	voxOverDB    = 6.0
	voxTailS     = 0.3 // after the operator's key what is on the air is his
	voxWidthHz   = 1000.0
	roomLeastS   = 5.0 // between two words in the room
	roomMostS    = 11.0
	roomWordLowS = 0.7 // their length
	roomWordTopS = 1.6
)

func (b *bench) start(s *Setup) {
	if b.Bench = s.Bench; b.Bench == nil {
		return
	}
	b.values = b.Found
	b.g = stream(s.Seed, streamBench+16)
	b.next = seconds(between(b.g, [2]float64{roomLeastS, roomMostS}))
}

// set carries out a command on the radios; false where it is for none.
func (d *dials) setBench(c *Command) bool {
	b := &d.bench
	k, ok := benchSettingOf(c.Kind)
	if !ok {
		return false
	}
	if b.Bench == nil {
		return true
	}
	fits := false
	for _, v := range benchTable[k].values {
		fits = fits || v == c.Value
	}
	if !fits {
		return true
	}
	b.values[k] = c.Value
	switch k {
	case BenchReceiveMemory:
		d.receiveHz = b.ReceiveHz[c.Value-1]
	case BenchUplinkMemory:
		d.uplinkHz = b.UplinkHz[c.Value-1]
	}
	d.takeBench()
	return true
}

// takeBench lets the dials be as the radios are set.
func (d *dials) takeBench() {
	b := &d.bench
	d.downSide, d.upSide = Sideband(b.values[BenchReceiveSideband]), Sideband(b.values[BenchUplinkSideband])
	d.stepHz = int(b.values[BenchUplinkStep])
	if b.receive {
		d.stepHz = int(b.values[BenchReceiveStep])
	}
}

// startBench puts the dials where the radios' memories have them.
func (d *dials) startBench(s *Setup) {
	d.bench.start(s)
	if b := &d.bench; b.Bench != nil {
		b.receive = s.Drill.Rule == "downlink"
		d.receiveHz, d.uplinkHz = b.ReceiveHz[b.values[BenchReceiveMemory]-1], b.UplinkHz[b.values[BenchUplinkMemory]-1]
		d.takeBench()
	}
}

// stepOf is the step of one of the two dials, Hz.
func (d *dials) stepOf(receive bool) int {
	b := &d.bench
	switch {
	case b.Bench == nil || receive == b.receive:
		return d.stepHz
	case receive:
		return int(b.values[BenchReceiveStep])
	}
	return int(b.values[BenchUplinkStep])
}

// setStep takes a step for the knob's dial.
func (d *dials) setStep(hz int64) {
	if b := &d.bench; b.Bench != nil {
		kind := CommandUplinkStep
		if b.receive {
			kind = CommandReceiveStep
		}
		d.setBench(&Command{Kind: kind, Value: hz})
		return
	}
	if validStep(int(hz)) {
		d.stepHz = int(hz)
	}
}

// ritHz is by how much the receiver is off its dial, Hz.
func (d *dials) ritHz() int64 {
	if b := &d.bench; b.Bench != nil && b.values[BenchRIT] == 1 {
		return b.RITHz
	}
	return 0
}

// vox says whether the transmitter listens to its microphone.
func (d *dials) vox(s *Setup) bool {
	if d.bench.Bench != nil {
		return d.bench.values[BenchKeying] == 1
	}
	return s.Station.Keying == "vox"
}

// trips says whether a VOX hears anything at a tick that is not the operator.
func (b *bench) trips(tick Tick) bool {
	if b.Bench == nil {
		return false
	}
	if tick >= b.next {
		b.room = tick + seconds(between(b.g, [2]float64{roomWordLowS, roomWordTopS}))
		b.next = b.room + seconds(between(b.g, [2]float64{roomLeastS, roomMostS}))
	}
	return b.values[BenchKeying] == 1 && (tick < b.room || b.values[BenchHeadphones] == 0 && tick < b.trip)
}

// hangs says whether the transmitter is on by nobody's hand: what holds it
// is what the microphone picks up, not the operator's voice that has just ended.
func (b *bench) hangs(d *dials, want bool, tick Tick) bool {
	if want {
		b.his = tick + seconds(voxTailS)
	}
	return b.Bench != nil && d.keyed && !want && tick >= b.his
}

// listen finds out, 20 times a second, whether a voice comes out of the
// receiver that would trip a VOX from a loudspeaker.
func (b *bench) listen(r *Run) {
	if b.Bench == nil || r.next%slowTicks != 0 || !r.air.above || !r.air.on {
		return
	}
	a := &r.air
	for i := range a.others.list {
		st := &a.others.list[i]
		if !st.on || !st.inside || st.eirpDBW-st.edgeDB+a.pathDB < a.noiseDBWHz+ssbFilterDB+voxOverDB {
			continue
		}
		bird := a.tr.Through(st.dialHz, st.beta, a.k)
		side := st.sideband(a.tr)
		if a.tr.Inverting {
			side = side.Other()
		}
		if passedHz(float64(bird*(1-a.beta))-a.tunedHz, side, r.dials.downSide) >= voxWidthHz {
			b.trip = r.next + slowTicks + 1
		}
	}
}

// passedHz is how much of a voice of 300 to 2700 Hz goes through a receiver of
// the same, where its carrier lies offset Hz of radio frequency beside the dial.
func passedHz(offset float64, voice, receiver Sideband) float64 {
	low, high := offset+300, offset+2700
	if voice == LSB {
		low, high = offset-2700, offset-300
	}
	if receiver == LSB {
		low, high = -high, -low
	}
	return math.Max(0, math.Min(high, 2700)-math.Max(low, 300))
}

// show copies the radios into the state.
func (b *bench) show(r *Run, s *State) {
	if b.Bench == nil {
		return
	}
	d := &r.dials
	s.Bench = BenchState{Of: int(BenchSettings), Values: b.values, RITHz: d.ritHz(), ByVOX: b.byVOX, Above: r.air.above}
	for k := range BenchSettings {
		s.Bench.Right[k] = b.Right(k, &b.values, d.receiveHz, d.uplinkHz)
	}
}

func (b *BenchState) hash(add func(int64)) {
	if b.Of == 0 {
		return
	}
	for _, v := range b.Values {
		add(v)
	}
	add(boolValue(b.ByVOX))
	add(boolValue(b.Above))
}

// readable says whether one's own voice comes back on the receiver's sideband,
// in a run in which the sidebands can be set.
func (a *air) readable(r *Run) bool {
	return r.setup.Bench == nil || a.ownSideband(r) == r.dials.downSide
}

// Readable says whether one's own voice, where it is heard at all, comes back
// on the receiver's sideband: on the other one it is inverted.
func (s *State) Readable() bool { return s.Own().Sideband == s.ReceiveSideband }
