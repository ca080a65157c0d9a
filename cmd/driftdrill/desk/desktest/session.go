//go:build !nodesk

package desktest

import (
	"context"
	"math"
	"slices"
	"sync"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// Session flies a made-up pass without sim, audio or marks: an S-shaped
// Doppler curve and a dial that works against it. Nothing is checked against
// it but what the desk does.
type Session struct {
	Facts    port.About    // what About answers
	State    sim.State     // the snapshot
	Posts    []sim.Command // all that was posted
	Closed   bool          // it was closed
	Halting  string        // what Sound answers
	Broken   bool          // as it answers Paused
	Unwanted bool          // silence was asked for
	Live     bool          // the operator speaks into a microphone
	Muted    bool          // and has muted it
	Howls    int64         // how often it was muted by itself
	Levels   port.Levels   // as they were set last

	RefOn      bool // the reference is heard
	References int  // how often it was turned on

	Paddles [][2]bool // each change of the Morse key's contacts, dot and dash

	Exercise sim.ExerciseState // of each snapshot
	Result   *port.Result      // what Finish answers; nil = marks of its own

	mu      sync.Mutex
	paused  bool
	clock   func() time.Time // nil = stands still but for Advance
	last    time.Time
	samples []scoring.Sample
	Silent  bool
}

// The made-up pass rises, is highest and sets at these ticks.
const (
	AOS = sim.Tick(1000)
	LOS = sim.Tick(1000 + 900*200)
	TCA = sim.Tick(1000 + 450*200)
)

// NewSession returns a made-up run that stands still at its beginning.
func NewSession() *Session {
	f := &Session{Facts: port.About{
		Bird: "LARK-1", DrillTitle: "Come back", DrillNumber: 6, Overs: 5, Rule: "uplink",
		Brief:         "Say your call and your locator. He will answer when you are true.",
		Coach:         "You come back 150 Hz high each time: while he talks, one notch a second.",
		Aids:          port.Aids{Ribbon: true, Strip: true, Yours: true, Arrow: true, Rate: true},
		PassbandLowHz: 145_850_000, PassbandHighHz: 145_880_000, UplinkSideband: sim.LSB, BeaconHz: 145_852_000, FilterLowHz: 300, FilterHighHz: 2700,
		Start: 0, End: LOS, AOS: AOS, TCA: TCA, LOS: LOS,
		AOSText: "19:04:10", TCAText: "19:11:40", LOSText: "19:19:15", MaxElevationDeg: 85, TopRateHzS: 61,
	}}
	for t := AOS; t <= LOS; t += 1000 {
		x := (t - TCA).Seconds()
		el := math.Atan2(800-0.0008*x*x*1.0-300*math.Abs(x)/450, math.Hypot(7*x, 60)) * 180 / math.Pi
		f.Facts.Hill = append(f.Facts.Hill, port.HillPoint{Tick: t, ElevationDeg: math.Max(0, el), RateHzS: RateHzS(t),
			AzimuthDeg: 330 - 60*math.Atan(x/60)})
	}
	f.State.UplinkHz, f.State.ReceiveHz, f.State.StepHz = 435_148_240, 145_864_000, 20
	f.State.ReceiveSideband = sim.USB
	f.Refresh()
	return f
}

// RateHzS is how fast the made-up pass pulls the voice at a tick.
func RateHzS(t sim.Tick) float64 {
	x := (t - TCA).Seconds() / 110
	return 61 / math.Pow(1+x*x, 1.5)
}

// ShiftHz is how far it has pulled it, 0 at the top.
func ShiftHz(t sim.Tick) float64 {
	x := (t - TCA).Seconds() / 110
	return 61 * 110 * x / math.Sqrt(1+x*x)
}

func (f *Session) plan() (p sim.Phase, over int, left sim.Tick) {
	t := f.State.Tick
	if t < AOS {
		return sim.PhaseWait, 0, AOS - t
	}
	if t < AOS+30*200 {
		return sim.PhaseFind, 0, 0
	}
	in := t - AOS - 30*200
	const cycle = 30 * 200
	if in%cycle < 12*200 {
		return sim.PhaseTalk, int(in/cycle) + 1, 12*200 - in%cycle
	}
	return sim.PhaseListen, int(in/cycle) + 1, cycle - in%cycle
}

// Refresh works the snapshot out anew after a test has changed something.
func (f *Session) Refresh() {
	s := &f.State
	s.Phase, s.Over, s.PhaseLeft = f.plan()
	s.Assigned = s.Phase == sim.PhaseFind || s.Phase == sim.PhaseTalk
	s.TrueHz = 435_148_000 + ShiftHz(s.Tick)
	s.OffsetHz = s.TrueHz - float64(s.UplinkHz)
	s.RateHzS = RateHzS(s.Tick)
	s.InPassband, s.SNRDB, s.BeaconDB = true, 19, -5
	s.Exercise = f.Exercise
	s.Look.AzimuthDeg, s.Look.ElevationDeg, s.AntennaAzimuthDeg, s.AntennaElevationDeg = 312, 34, 300, 30
	s.AntennaTwistDeg, s.AimErrorDeg = 25, 10.9
	s.NumSignals, s.UplinkSideband, s.AidsOn = 6, sim.LSB, true
	s.Signals[0] = sim.Signal{Kind: sim.SignalOwn, On: s.Keyed, OffsetHz: s.OffsetHz}
	s.Signals[1] = sim.Signal{Kind: sim.SignalBeacon, On: true, OffsetHz: 145_852_000 - float64(s.ReceiveHz)}
	for i, o := range []float64{-11500, -5000, 6800, 10400} {
		s.Signals[2+i] = sim.Signal{Kind: sim.SignalStation, Station: uint8(i), On: (int(s.Tick)/2400+i)%3 != 0, OffsetHz: o}
	}
}

// Advance moves the made-up pass on by n ticks.
func (f *Session) Advance(n sim.Tick) {
	f.mu.Lock()
	defer f.mu.Unlock()
	for ; n > 0; n-- {
		f.State.Tick++
		if f.State.Tick%10 == 0 {
			f.Refresh()
			f.samples = append(f.samples, scoring.Sample{Tick: f.State.Tick, Phase: f.State.Phase, Over: f.State.Over, Assigned: f.State.Assigned,
				Keyed: f.State.Keyed, OffsetHz: f.State.OffsetHz, RateHzS: f.State.RateHzS, UplinkHz: f.State.UplinkHz, ReceiveHz: f.State.ReceiveHz,
				TrueHz: f.State.TrueHz, StepHz: f.State.StepHz, InPassband: true})
		}
	}
	f.Refresh()
}

// About implements port.Session.
func (f *Session) About() *port.About { return &f.Facts }

// Snapshot implements port.Session.
func (f *Session) Snapshot(s *sim.State) {
	if f.clock != nil {
		now := f.clock()
		if d := now.Sub(f.last); !f.paused && !f.last.IsZero() && d > 0 {
			f.Advance(sim.Tick(d / sim.TickLength))
			now = f.last.Add(d / sim.TickLength * sim.TickLength)
		}
		f.last = now
	}
	f.mu.Lock()
	*s = f.State
	f.mu.Unlock()
}

// set sets the radios of a run that begins at them.
func (f *Session) set(kind sim.CommandKind, v int64) {
	s := &f.State
	for k := range sim.BenchSettings {
		if s.Bench.Of > 0 && k.Command() == kind {
			s.Bench.Values[k] = v
		}
	}
	if b := f.Facts.Bench; b != nil && kind == sim.CommandReceiveMemory {
		s.ReceiveHz = b.ReceiveHz[v-1]
	}
}

// Post implements port.Session.
func (f *Session) Post(kind sim.CommandKind, v int64) {
	f.mu.Lock()
	defer f.mu.Unlock()
	s := &f.State
	f.Posts = append(f.Posts, sim.Command{Tick: s.Tick, Kind: kind, Value: v})
	switch kind {
	case sim.CommandKnob:
		step := int64(s.StepHz)
		if s.Fast {
			step *= 10
		}
		s.UplinkHz += v * step
	case sim.CommandReceive:
		s.ReceiveHz += v * int64(s.StepHz)
	case sim.CommandStep:
		s.StepHz = int(v)
	case sim.CommandFast:
		s.Fast = v == 1
	case sim.CommandKey:
		s.Keyed = v == 1 || s.Latched
	case sim.CommandNote:
		s.Note.Write(v)
	case sim.CommandPower:
		s.PowerW = 5 * math.Pow(10, float64(v)/10)
	case sim.CommandLatch:
		s.Latched = v == 1
		s.Keyed = s.Latched
	}
	f.set(kind, v)
	f.Refresh()
}

// Pause implements port.Session.
func (f *Session) Pause(on bool) { f.paused = on }

// Done implements port.Session.
func (f *Session) Done() bool { return f.State.Tick >= f.Facts.End }

// Close implements port.Session.
func (f *Session) Close() { f.Closed = true }

// SetLevels implements port.Session.
func (f *Session) SetLevels(l port.Levels) { f.Levels = l }

// Sound implements port.Session.
func (f *Session) Sound() port.SoundState {
	return port.SoundState{Live: f.Live, Muted: f.Muted, Howls: f.Howls, Silent: f.Silent, Unwanted: f.Unwanted, Halting: f.Halting, Paused: f.Broken}
}

// MuteMicrophone mutes the live voice.
func (f *Session) MuteMicrophone(on bool) { f.Muted = on }

// SetReference counts in reference how often it was turned on.
func (f *Session) SetReference(on bool) {
	if f.RefOn = on; on {
		f.References++
	}
}

// Spectrum implements port.Session.
func (f *Session) Spectrum(dst []float32) (centre, span float64) {
	f.mu.Lock()
	defer f.mu.Unlock()
	centre, span = 145_865_000, 96_000
	for i := range dst {
		dst[i] = float32(3 * (0.5 + 0.5*kit.Grain(i, int(f.State.Tick)/4)))
	}
	for n := 0; n < f.State.NumSignals; n++ {
		g := &f.State.Signals[n]
		if !g.On {
			continue
		}
		carrier := float64(f.State.ReceiveHz) + g.OffsetHz
		for i := range dst {
			fr := centre - span/2 + (float64(i)+0.5)*span/float64(len(dst)) - carrier
			v := 22*math.Exp(-sq((fr-800)/330)) + 18*math.Exp(-sq((fr-1850)/420)) + 4*kit.Grain(i/2, int(f.State.Tick)/20+n)
			if g.Kind == sim.SignalBeacon {
				v = 30 * math.Exp(-sq(fr/60))
			} else if g.Kind == sim.SignalStation {
				v *= 0.5 + 0.15*float64(g.Station)
			}
			dst[i] = float32(math.Max(float64(dst[i]), v))
		}
	}
	return centre, span
}

func sq(x float64) float64 { return x * x }

// Finish implements port.Session.
func (f *Session) Finish(context.Context) (*port.Result, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.Result != nil {
		return f.Result, nil
	}
	found := 14.0
	return &port.Result{
		Marks:    scoring.Marks{HoldIndex: 812, FoundS: &found, ShareWithin25Hz: 0.61, ShareWithin50Hz: 0.74, ShareWithin100Hz: 0.88},
		Trace:    &scoring.Trace{Samples: slices.Clone(f.samples), TCA: TCA, HasTCA: true},
		Headline: "While he talks, one notch every second.",
		Detail:   "You came back 150 Hz high after each long listen near the top; the pass drifts 40 to 61 Hz/s there.",
		Saved:    "saved to the logbook as run 41",
	}, nil
}

// FlyWhole flies the whole made-up pass by a slow hand that lets go while it listens.
func (f *Session) FlyWhole() {
	f.State.UplinkHz = 435_148_000 + int64(ShiftHz(0)) - 220
	for f.State.Tick < f.Facts.End {
		f.Advance(100)
		talks := f.State.Phase == sim.PhaseTalk || f.State.Phase == sim.PhaseFind
		if talks != f.State.Keyed {
			f.Post(sim.CommandKey, int64(kit.Count(talks)))
		}
		if talks && math.Abs(f.State.OffsetHz) > 30 {
			f.Post(sim.CommandKnob, int64(kit.Clamp(f.State.OffsetHz/35, -3, 3)))
		}
	}
	back, lag, top := 3.9, 0.6, 1.9
	found := 14.0
	f.Result = &port.Result{
		Marks: scoring.Marks{HoldIndex: 812, FoundS: &found, ShareWithin25Hz: 0.61, ShareWithin50Hz: 0.74, ShareWithin100Hz: 0.88, BiasHz: 6,
			ComeBackMedianS: &back, LagS: &lag, TopRatio: &top, TravelRatio: 1.3, AboveBeaconS: 3},
		Trace: &scoring.Trace{Samples: f.samples, TCA: TCA, HasTCA: true, HasFound: true, FoundAt: AOS + 14*200,
			Plan: scoring.Plan{TalkS: 12, ListenS: 18, Rule: "uplink"}},
		Headline: "While he talks, one notch every second.",
		Detail:   "You came back 150 Hz high after each long listen near the top; the pass drifts 40 to 61 Hz/s there.",
		Verdict:  "not yet: back within 4 s, half the time",
		Saved:    "saved to the logbook as run 41", NextName: "drill 7", Next: &port.RunRequest{Drill: "cold-find"},
		Rate: func(ctx context.Context, p port.Progress) (*port.Rated, error) {
			for i := 0; i < 20; i++ {
				p(i, 20)
				time.Sleep(50 * time.Millisecond)
			}
			r := &port.Rated{Hand: 56, SD: 7, Words: "56 ± 7"}
			for l := 0.0; l <= 100; l += 12.5 {
				r.Ladder = append(r.Ladder, port.LadderPoint{Level: l, HoldIndex: 640 + 340*(1-math.Exp(-l/45))/(1-math.Exp(-100/45.0))})
			}
			return r, nil
		},
		Replay: func(from, length sim.Tick) (func(), func() sim.Tick, error) {
			began := time.Now()
			return func() {}, func() sim.Tick { return from + sim.Tick(time.Since(began)/sim.TickLength) }, nil
		},
	}
}

// Paddle notes what the Morse key does.
func (f *Session) Paddle(dot, dash bool) { f.Paddles = append(f.Paddles, [2]bool{dot, dash}) }
