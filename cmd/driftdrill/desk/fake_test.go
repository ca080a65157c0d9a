//go:build !nodesk

package desk

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"strconv"
	"sync"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// fakeSession flies a made-up pass without sim, audio or marks: an S-shaped
// Doppler curve and a dial that works against it. Nothing is checked against
// it but what the desk does.
type fakeSession struct {
	mu      sync.Mutex
	about   port.About
	st      sim.State
	posts   []sim.Command
	paused  bool
	clock   func() time.Time // nil = stands still but for advance
	last    time.Time
	closed  bool
	samples []scoring.Sample
	silent  bool
	halting string
	levels  port.Levels

	refOn     bool
	reference int

	exercise sim.ExerciseState
	result   *port.Result
}

const (
	fakeAOS = sim.Tick(1000)
	fakeLOS = sim.Tick(1000 + 900*200)
	fakeTCA = sim.Tick(1000 + 450*200)
)

func newFakeSession() *fakeSession {
	f := &fakeSession{about: port.About{
		Bird: "LARK-1", DrillTitle: "Come back", DrillNumber: 6, Overs: 5, Rule: "uplink",
		Brief:         "Say your call and your locator. He will answer when you are true.",
		Coach:         "You come back 150 Hz high each time: while he talks, one notch a second.",
		Aids:          port.Aids{Ribbon: true, Strip: true, Arrow: true, Rate: true},
		PassbandLowHz: 145_850_000, PassbandHighHz: 145_880_000, UplinkSideband: sim.LSB, BeaconHz: 145_852_000, FilterLowHz: 300, FilterHighHz: 2700,
		Start: 0, End: fakeLOS, AOS: fakeAOS, TCA: fakeTCA, LOS: fakeLOS,
		AOSText: "19:04:10", TCAText: "19:11:40", LOSText: "19:19:15", MaxElevationDeg: 85, TopRateHzS: 61,
	}}
	for t := fakeAOS; t <= fakeLOS; t += 1000 {
		x := (t - fakeTCA).Seconds()
		el := math.Atan2(800-0.0008*x*x*1.0-300*math.Abs(x)/450, math.Hypot(7*x, 60)) * 180 / math.Pi
		f.about.Hill = append(f.about.Hill, port.HillPoint{Tick: t, ElevationDeg: math.Max(0, el), RateHzS: fakeRate(t),
			AzimuthDeg: 330 - 60*math.Atan(x/60)})
	}
	f.st.UplinkHz, f.st.ReceiveHz, f.st.StepHz = 435_148_240, 145_864_000, 20
	f.st.ReceiveSideband = sim.USB
	f.refresh()
	return f
}

func fakeRate(t sim.Tick) float64 {
	x := (t - fakeTCA).Seconds() / 110
	return 61 / math.Pow(1+x*x, 1.5)
}

func fakeShift(t sim.Tick) float64 {
	x := (t - fakeTCA).Seconds() / 110
	return 61 * 110 * x / math.Sqrt(1+x*x)
}

func (f *fakeSession) plan() (p sim.Phase, over int, left sim.Tick) {
	t := f.st.Tick
	if t < fakeAOS {
		return sim.PhaseWait, 0, fakeAOS - t
	}
	if t < fakeAOS+30*200 {
		return sim.PhaseFind, 0, 0
	}
	in := t - fakeAOS - 30*200
	const cycle = 30 * 200
	if in%cycle < 12*200 {
		return sim.PhaseTalk, int(in/cycle) + 1, 12*200 - in%cycle
	}
	return sim.PhaseListen, int(in/cycle) + 1, cycle - in%cycle
}

func (f *fakeSession) refresh() {
	s := &f.st
	s.Phase, s.Over, s.PhaseLeft = f.plan()
	s.Assigned = s.Phase == sim.PhaseFind || s.Phase == sim.PhaseTalk
	s.TrueHz = 435_148_000 + fakeShift(s.Tick)
	s.OffsetHz = s.TrueHz - float64(s.UplinkHz)
	s.RateHzS = fakeRate(s.Tick)
	s.InPassband, s.SNRDB, s.BeaconDB = true, 19, -5
	s.Exercise = f.exercise
	s.Look.AzimuthDeg, s.Look.ElevationDeg, s.AntennaAzimuthDeg, s.AntennaElevationDeg = 312, 34, 300, 30
	s.AntennaTwistDeg, s.AimErrorDeg = 25, 10.9
	s.NumSignals, s.UplinkSideband, s.AidsOn = 6, sim.LSB, true
	s.Signals[0] = sim.Signal{Kind: sim.SignalOwn, On: s.Keyed, OffsetHz: s.OffsetHz}
	s.Signals[1] = sim.Signal{Kind: sim.SignalBeacon, On: true, OffsetHz: 145_852_000 - float64(s.ReceiveHz)}
	for i, o := range []float64{-11500, -5000, 6800, 10400} {
		s.Signals[2+i] = sim.Signal{Kind: sim.SignalStation, Station: uint8(i), On: (int(s.Tick)/2400+i)%3 != 0, OffsetHz: o}
	}
}

// advance moves the made-up pass on by n ticks.
func (f *fakeSession) advance(n sim.Tick) {
	f.mu.Lock()
	defer f.mu.Unlock()
	for ; n > 0; n-- {
		f.st.Tick++
		if f.st.Tick%10 == 0 {
			f.refresh()
			f.samples = append(f.samples, scoring.Sample{Tick: f.st.Tick, Phase: f.st.Phase, Over: f.st.Over, Assigned: f.st.Assigned,
				Keyed: f.st.Keyed, OffsetHz: f.st.OffsetHz, RateHzS: f.st.RateHzS, UplinkHz: f.st.UplinkHz, ReceiveHz: f.st.ReceiveHz,
				TrueHz: f.st.TrueHz, StepHz: f.st.StepHz, InPassband: true})
		}
	}
	f.refresh()
}

func (f *fakeSession) About() *port.About { return &f.about }

func (f *fakeSession) Snapshot(s *sim.State) {
	if f.clock != nil {
		now := f.clock()
		if d := now.Sub(f.last); !f.paused && !f.last.IsZero() && d > 0 {
			f.advance(sim.Tick(d / sim.TickLength))
			now = f.last.Add(d / sim.TickLength * sim.TickLength)
		}
		f.last = now
	}
	f.mu.Lock()
	*s = f.st
	f.mu.Unlock()
}

func (f *fakeSession) Post(kind sim.CommandKind, v int64) {
	f.mu.Lock()
	defer f.mu.Unlock()
	s := &f.st
	f.posts = append(f.posts, sim.Command{Tick: s.Tick, Kind: kind, Value: v})
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
	case sim.CommandLatch:
		s.Latched = v == 1
		s.Keyed = s.Latched
	}
	f.refresh()
}

func (f *fakeSession) Pause(on bool) { f.paused = on }
func (f *fakeSession) Done() bool    { return f.st.Tick >= f.about.End }
func (f *fakeSession) Close()        { f.closed = true }

func (f *fakeSession) SetLevels(l port.Levels) { f.levels = l }

func (f *fakeSession) Sound() port.SoundState {
	return port.SoundState{Silent: f.silent, Halting: f.halting}
}

// SetReference counts in reference how often it was turned on.
func (f *fakeSession) SetReference(on bool) {
	if f.refOn = on; on {
		f.reference++
	}
}

func (f *fakeSession) Spectrum(dst []float32) (centre, span float64) {
	f.mu.Lock()
	defer f.mu.Unlock()
	centre, span = 145_865_000, 96_000
	for i := range dst {
		dst[i] = float32(3 * (0.5 + 0.5*kit.Grain(i, int(f.st.Tick)/4)))
	}
	for n := 0; n < f.st.NumSignals; n++ {
		g := &f.st.Signals[n]
		if !g.On {
			continue
		}
		carrier := float64(f.st.ReceiveHz) + g.OffsetHz
		for i := range dst {
			fr := centre - span/2 + (float64(i)+0.5)*span/float64(len(dst)) - carrier
			v := 22*math.Exp(-sq((fr-800)/330)) + 18*math.Exp(-sq((fr-1850)/420)) + 4*kit.Grain(i/2, int(f.st.Tick)/20+n)
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

func (f *fakeSession) Finish(context.Context) (*port.Result, error) {
	if f.result != nil {
		return f.result, nil
	}
	found := 14.0
	return &port.Result{
		Marks:    scoring.Marks{HoldIndex: 812, FoundS: &found, ShareWithin25Hz: 0.61, ShareWithin50Hz: 0.74, ShareWithin100Hz: 0.88},
		Trace:    &scoring.Trace{Samples: f.samples, TCA: fakeTCA, HasTCA: true},
		Headline: "While he talks, one notch every second.",
		Detail:   "You came back 150 Hz high after each long listen near the top; the pass drifts 40 to 61 Hz/s there.",
		Saved:    "saved to the logbook as run 41",
	}, nil
}

// flyWhole flies the whole made-up pass by a slow hand that lets go while it listens.
func (f *fakeSession) flyWhole() {
	f.st.UplinkHz = 435_148_000 + int64(fakeShift(0)) - 220
	for f.st.Tick < f.about.End {
		f.advance(100)
		talks := f.st.Phase == sim.PhaseTalk || f.st.Phase == sim.PhaseFind
		if talks != f.st.Keyed {
			f.Post(sim.CommandKey, boolValue(talks))
		}
		if talks && math.Abs(f.st.OffsetHz) > 30 {
			f.Post(sim.CommandKnob, int64(kit.Clamp(f.st.OffsetHz/35, -3, 3)))
		}
	}
	back, lag, top := 3.9, 0.6, 1.9
	found := 14.0
	f.result = &port.Result{
		Marks: scoring.Marks{HoldIndex: 812, FoundS: &found, ShareWithin25Hz: 0.61, ShareWithin50Hz: 0.74, ShareWithin100Hz: 0.88, BiasHz: 6,
			ComeBackMedianS: &back, LagS: &lag, TopRatio: &top, TravelRatio: 1.3, AboveBeaconS: 3},
		Trace: &scoring.Trace{Samples: f.samples, TCA: fakeTCA, HasTCA: true, HasFound: true, FoundAt: fakeAOS + 14*200,
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

func fakeConfig() Config {
	set := port.DefaultSettings()
	if v, err := strconv.ParseFloat(os.Getenv("DESK_TEXT"), 64); err == nil {
		set.TextScale = v
	}
	set.Palette = os.Getenv("DESK_PALETTE")
	return Config{Title: "driftdrill", Settings: set, NewSession: func(context.Context, port.RunRequest) (port.Session, error) {
		f := newFakeSession()
		f.clock = time.Now
		if n := os.Getenv("DESK_TICK"); n != "" {
			d, err := time.ParseDuration(n)
			if err != nil {
				return nil, errors.New("DESK_TICK: " + err.Error())
			}
			f.st.Tick = sim.Tick(d / sim.TickLength)
			f.st.UplinkHz = 435_148_000 + int64(fakeShift(f.st.Tick)) - 40
			f.refresh()
			f.silent = os.Getenv("DESK_SILENT") != ""
		}
		if os.Getenv("DESK_SCENE") == "debrief" {
			f.flyWhole()
		}
		return f, nil
	}}
}

func TestMain(m *testing.M) {
	flag.Parse()
	if os.Getenv("DESK_SHOW") != "" {
		time.Local = time.UTC
		os.Exit(show())
	}
	kittest.Main(m)
}

// show opens the real window on a made-up pass, to be looked at.
func show() int {
	cfg := fakeConfig()
	if f := frameLogFromEnv(); f != nil {
		cfg.FrameLog = f
	}
	_, _ = fmt.Sscanf(os.Getenv("DESK_SIZE"), "%dx%d", &cfg.Width, &cfg.Height)
	cfg.First = &port.RunRequest{}
	if err := Run(cfg); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return 0
}

func frameLogFromEnv() *os.File {
	name := os.Getenv("DESK_FRAMES")
	if name == "" {
		return nil
	}
	f, err := os.Create(name)
	if err != nil {
		panic(err)
	}
	return f
}
