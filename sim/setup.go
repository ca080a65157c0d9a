package sim

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"driftdrill/orbit"
)

// Setup is everything that decides a run before the first command: with the
// commands it gives the run again, bit by bit. It is the header of a run sheet.
type Setup struct {
	Program  string         `json:"program,omitempty"` // version of the program that made it
	Drill    Drill          `json:"drill"`
	Bird     Bird           `json:"bird"`
	Elements orbit.Elements `json:"elements"`
	Site     orbit.Site     `json:"site"`
	Pass     orbit.Pass     `json:"pass"`
	Start    time.Time      `json:"start"`  // tick 0, UTC
	Length   Tick           `json:"length"` // the run ends here at the latest
	Lead     Tick           `json:"lead"`   // before it the operator does not key
	Seed     uint64         `json:"seed"`
	Station  Station        `json:"station"`
	Others   []Other        `json:"others,omitempty"`
	Operator string         `json:"operator,omitempty"`
	Call     string         `json:"call,omitempty"` // the operator's call
	Hand     string         `json:"hand,omitempty"` // the simulated hand that flew it, if any
	Morse    MorseKey       `json:"morse,omitzero"` // how he sends, where the own voice is "cw"; for the keyer and the sound
	Knob     Knob           `json:"knob,omitempty"` // what turned the dials beside keys, wheel and gamepad; "" = nothing

	// OwnVoice is what the operator spoke with, where that is not the drill's
	// voice: one of OwnVoices; "" = the drill's. It changes nothing on the air.
	OwnVoice string `json:"own_voice,omitempty"`

	BirdFrom     string `json:"bird_from,omitempty"`     // whose plan the bird's is: "bundled", "own: ..."; for the reader
	ElementsFrom string `json:"elements_from,omitempty"` // whose elements; for the reader

	StartUplinkHz  int64   `json:"start_uplink_hz"`
	StartReceiveHz int64   `json:"start_receive_hz"`
	UnknownHz      float64 `json:"unknown_hz"`         // the transponder's error that the dial card does not know, at the downlink
	NotedHz        float64 `json:"noted_hz,omitempty"` // of UnknownHz: what the operator has found in runs before, with which the dials begin
	AgeS           float64 `json:"age_s"`              // the dial card runs this much late
	NoiseRaiseDB   float64 `json:"noise_raise_db"`
	OffAt          Tick    `json:"off_at,omitempty"` // the transponder goes off for good; 0 = never
	Fault          Fault   `json:"fault,omitempty"`
	Trials         []Trial `json:"trials,omitempty"` // of an exercise that asks
	Bench          *Bench  `json:"bench,omitempty"`  // the radios of a drill that begins at them before AOS
	Partner        int     `json:"partner"`          // index into Others of the station on the operator's own channel; -1 = none
	AOSTick        Tick    `json:"aos_tick"`         // of the pass; may lie before tick 0
	TCATick        Tick    `json:"tca_tick"`
	LOSTick        Tick    `json:"los_tick"` // may lie after the end
}

// Knob says which radio's own dial turned those of a run. It changes nothing
// on the air: what it turned stands among the commands.
type Knob string

// The radios at the knob: one, which turns the dial that the rule gives to the
// hand, one at the receive dial alone, or one at each. By movement only how far
// a dial is turned counts, by frequency what it shows.
const (
	KnobRadioMovement    Knob = "radio, by movement"
	KnobRadioFrequency   Knob = "radio, by frequency"
	KnobReceiveMovement  Knob = "radio at the receive dial, by movement"
	KnobReceiveFrequency Knob = "radio at the receive dial, by frequency"
	KnobTwoMovement      Knob = "two radios, by movement"
	KnobTwoFrequency     Knob = "two radios, by frequency"
)

var knobs = []string{"", string(KnobRadioMovement), string(KnobRadioFrequency), string(KnobReceiveMovement), string(KnobReceiveFrequency),
	string(KnobTwoMovement), string(KnobTwoFrequency)}

// What an operator speaks with beside the voices of drills.
const (
	VoiceRecorded = "own" // a recording of his own voice
	VoiceLive     = "mic" // his microphone
)

// OwnVoices are all voices that an operator may choose in place of the drill's.
var OwnVoices = []string{"tone", "whistle", "vowel", "cw", "call", VoiceRecorded, VoiceLive}

// Voice is what the operator spoke with: the drill's voice or his own choice.
func (s *Setup) Voice() string {
	if s.OwnVoice != "" {
		return s.OwnVoice
	}
	return s.Drill.Voice
}

// SpeaksCall tells whether the own voice says the operator's call by itself.
// Of his own recording and his microphone that is taken for granted.
func (s *Setup) SpeaksCall() bool {
	switch s.Voice() {
	case "call", VoiceRecorded, VoiceLive:
		return true
	}
	return false
}

// MaxOthers is the most other stations a run can have.
const MaxOthers = 12

// PassSearch is how far ahead Prepare looks for the pass that a drill asks for.
const PassSearch = 20 * 24 * time.Hour

// Streams of the seeded generator: each subsystem draws from its own, so that
// none disturbs another. The numbers never change.
const (
	streamStart = 1 + iota
	streamTraffic
	streamFade
	streamTrials
	streamHand
	streamOthers
	streamFault
	streamPass
	streamBench
)

func stream(seed uint64, which uint64) *rand.Rand {
	return rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15*which))
}

// gauss draws from a normal distribution of mean 0 and deviation 1, cut at 6:
// the sum of twelve uniform draws less 6, which is the same on every processor.
func gauss(g *rand.Rand) float64 {
	sum := -6.0
	for range 12 {
		sum += g.Float64()
	}
	return sum
}

func between(g *rand.Rand, span [2]float64) float64 {
	return span[0] + float64((span[1]-span[0])*g.Float64())
}

// ErrOrbit is the error of Prepare where the bird flies at another height than
// the drill asks for. PreparePass takes any.
var ErrOrbit = errors.New("asks for an orbit")

// Prepare finds the first pass after from that the drill asks for and draws
// everything that the seed decides. A seed of 0 takes the drill's own.
func Prepare(d Drill, b Bird, el orbit.Elements, site orbit.Site, from time.Time, seed uint64) (Setup, error) {
	p, err := orbit.NewPropagator(el)
	if err != nil {
		return Setup{}, fmt.Errorf("elements of %s: %w", el.Name, err)
	}
	if h := meanHeightKm(el); d.Pass.HeightKm != 0 && math.Abs(h-d.Pass.HeightKm) > 60 {
		return Setup{}, fmt.Errorf("drill %s %w %.0f km high, but %s is at %.0f km", d.Name, ErrOrbit, d.Pass.HeightKm, el.Name, h)
	}
	to := from.Add(PassSearch)
	passes, err := orbit.FindPasses(p, site, from, to, orbit.PassOptions{})
	if err != nil {
		return Setup{}, fmt.Errorf("passes of %s: %w", el.Name, err)
	}
	if pass, ok := choosePass(passes, &d, from, seed); ok {
		return PreparePass(d, b, el, site, pass, seed)
	}
	return Setup{}, fmt.Errorf("%s does not pass over %.4f, %.4f with a top between %g and %g degrees within %.0f days of %s",
		el.Name, site.LatDeg, site.LonDeg, d.Pass.TopDeg[0], d.Pass.TopDeg[1], PassSearch.Hours()/24, from.UTC().Format(time.RFC3339))
}

// choosePass returns the first pass that the drill can use or, where the drill
// wants any, one drawn from those of the next five days.
func choosePass(passes []orbit.Pass, d *Drill, from time.Time, seed uint64) (orbit.Pass, bool) {
	if seed == 0 {
		seed = d.Seed
	}
	const span = 5 * 24 * time.Hour
	var fit []orbit.Pass
	for _, p := range passes {
		if p.UpAtStart || p.UpAtStop || p.MaxElevationDeg < d.Pass.TopDeg[0] || p.MaxElevationDeg > d.Pass.TopDeg[1] {
			continue
		}
		if !d.Pass.Random {
			return p, true
		}
		if len(fit) > 0 && p.AOS.Sub(from) > span {
			break
		}
		fit = append(fit, p)
	}
	if len(fit) == 0 {
		return orbit.Pass{}, false
	}
	return fit[stream(seed, streamPass).IntN(len(fit))], true
}

// meanHeightKm is the height of the mean orbit by Kepler's third law, over the
// equator's radius.
func meanHeightKm(el orbit.Elements) float64 {
	n := el.MeanMotion * 2 * math.Pi / 86400
	return math.Cbrt(398600.8/(n*n)) - 6378.135
}

// PreparePass makes the setup for one pass, whichever the drill asks for.
func PreparePass(d Drill, b Bird, el orbit.Elements, site orbit.Site, pass orbit.Pass, seed uint64) (Setup, error) {
	if seed == 0 {
		seed = d.Seed
	}
	d = d.dealt(seed)
	if d.Transponder > len(b.Transponders) {
		return Setup{}, fmt.Errorf("drill %s wants transponder %d, but %s has %d", d.Name, d.Transponder, b.Name, len(b.Transponders))
	}
	s := Setup{Drill: d, Bird: b, Elements: el, Site: site, Pass: rounded(pass), Seed: seed, Call: "Q5HTH", Station: UsualStation()}
	if d.Station != nil {
		s.Station = *d.Station
	}
	s.settleRule()
	if s.Drill.Rule == "downlink" && d.Start.ReceiveHz != 0 {
		return Setup{}, fmt.Errorf("drill %s, start.receive_hz: %w; leave it out, or give the drill rule = \"uplink\"", d.Name, errReceiveByCard)
	}
	s.placePart()
	track, err := s.newTrack()
	if err != nil {
		return Setup{}, err
	}
	s.drawStart(track)
	s.drawFault(track)
	s.drawTrials()
	if err := s.drawTraffic(track); err != nil {
		return Setup{}, err
	}
	s.setNoise(track)
	s.drawBench(track)
	return s, nil
}

// rounded leaves out of a pass the last bits, in which processors differ: the
// setup is part of the sheet, and the sheet is to be the same on all of them.
func rounded(p orbit.Pass) orbit.Pass {
	for _, t := range []*time.Time{&p.AOS, &p.Max, &p.TCA, &p.LOS} {
		*t = t.Round(time.Microsecond)
	}
	for _, v := range []*float64{&p.AOSAzimuthDeg, &p.LOSAzimuthDeg, &p.MaxElevationDeg, &p.TCARangeKm} {
		*v = math.Round(*v*1e6) / 1e6
	}
	return p
}

// placePart sets start, length and lead from the part of the pass asked for.
func (s *Setup) placePart() {
	d, pass := &s.Drill, &s.Pass
	second := func(v float64) time.Duration { return time.Duration(v * float64(time.Second)) }
	length := second(d.Pass.LengthS)
	start := pass.AOS.Add(-5 * time.Second)
	switch d.Pass.Part {
	case "rise":
		start = pass.AOS.Add(second(d.Pass.AfterS))
	case "top":
		start = pass.TCA.Add(-length/2 + second(d.Pass.AfterS))
	case "set":
		start = pass.LOS.Add(-length - second(d.Pass.AfterS))
		if length == 0 {
			start = pass.TCA
		}
	case "frozen":
		start = pass.TCA
		if length == 0 {
			e := &d.Exercise
			length = second(d.Start.LeadS + float64(e.Trials)*(e.LimitS+e.PauseS) + 5)
		}
	}
	if length == 0 || (d.Pass.Part == "whole" && length > 0 && start.Add(length).After(pass.LOS)) {
		length = pass.LOS.Sub(start)
	}
	s.Start = start.UTC().Truncate(time.Millisecond)
	s.Length = Tick(length / TickLength)
	if s.Length < TicksPerSecond {
		s.Length = TicksPerSecond
	}
	s.Lead = min(s.Length, Tick(math.Round(d.Start.LeadS*TicksPerSecond)))
	tick := func(t time.Time) Tick { return Tick(math.Round(float64(t.Sub(s.Start)) / float64(TickLength))) }
	s.AOSTick, s.TCATick, s.LOSTick = tick(pass.AOS), tick(pass.TCA), tick(pass.LOS)
}

// transponder returns the transponder that the drill uses.
func (s *Setup) transponder() *Transponder { return &s.Bird.Transponders[s.Drill.Transponder-1] }

// newTrack makes the operator's track.
func (s *Setup) newTrack() (*Track, error) {
	p, err := orbit.NewPropagator(s.Elements)
	if err != nil {
		return nil, fmt.Errorf("elements of %s: %w", s.Elements.Name, err)
	}
	return newTrack(p, s.Site, s.Start, s.Length, s.Drill.Pass.Part == "frozen")
}

// cardTick is the tick whose place on the dial card stands at a tick.
func (s *Setup) cardTick(t Tick) Tick { return t - Tick(math.Round(s.AgeS*TicksPerSecond)) }

// drawStart draws the unknown errors and sets the dials as the dial card says.
func (s *Setup) drawStart(track *Track) {
	g := stream(s.Seed, streamStart)
	d, tr := &s.Drill, s.transponder()
	size, toss := between(g, d.Start.OffsetHz), g.Float64()
	s.AgeS = between(g, d.Pass.AgeS)
	if span := between(g, d.Pass.Eclipse); span > 0 {
		s.OffAt = Tick(math.Round(span * TicksPerSecond))
	}
	receive := d.Start.ReceiveHz
	if receive == 0 {
		receive = tr.DownlinkLowHz + float64(s.startShare()*(tr.DownlinkHighHz-tr.DownlinkLowHz))
	}
	begin := s.Lead
	for begin < s.Length && !track.Up(begin) {
		begin += TicksPerSecond / 10
	}
	_, beta, betaRate := track.Radial(begin)
	cardBeta := track.beta(s.cardTick(begin))
	known := tr.Constant() + tr.OscillatorHz
	step := float64(d.StepHz)
	if d.Rule == "downlink" {
		up := quantise(tr.upAt(s.startShare()), step)
		receive = float64(tr.Through(up, cardBeta, known) * (1 - cardBeta))
		s.StartUplinkHz = roundHz(up)
		s.StartReceiveHz = roundHz(quantise(receive, step))
	} else {
		s.StartReceiveHz = roundHz(receive)
		s.StartUplinkHz = roundHz(quantise(tr.ZeroBeat(receive, cardBeta, known), step))
	}
	rate := tr.OwnRate(float64(s.StartUplinkHz), beta, betaRate, known)
	sign := startSign(d.Start.Side, rate, toss, parseSideband(tr.DownlinkSideband))
	s.UnknownHz = float64(sign * math.Round(size))
	if !track.Sunlit(0) {
		s.UnknownHz -= tr.EclipseHz // the cold shift is part of what is drawn
	}
}

// startSign returns the sign that a start offset gets as radio frequency.
func startSign(side string, rate, toss float64, receiver Sideband) float64 {
	switch {
	case side == "away" && rate < 0,
		side == "any" && toss < 0.5,
		side == "high" && receiver == LSB,
		side == "low" && receiver == USB:
		return -1
	}
	return 1
}

// Timing errors of old elements and of a wrong clock: a week on a low orbit,
// and a clock that nobody has set. Choices of this project.
var (
	oldElementsS = [2]float64{3, 8}
	wrongClockS  = [2]float64{4, 10}
)

// drawFault draws what is wrong in a drill that is flown; an exercise has its
// faults in its trials.
func (s *Setup) drawFault(track *Track) {
	if s.Drill.Kind != "fly" || len(s.Drill.Faults) == 0 {
		return
	}
	g := stream(s.Seed, streamFault)
	s.Fault, _ = faultByName(s.Drill.Faults[g.IntN(len(s.Drill.Faults))])
	tr := s.transponder()
	switch s.Fault {
	case FaultOldElements:
		s.AgeS = quantise(between(g, oldElementsS), 0.005)
	case FaultClock:
		s.AgeS = quantise(-between(g, wrongClockS), 0.005)
	case FaultOutsidePassband:
		beta := track.beta(s.Lead)
		k := tr.Constant() + tr.OscillatorHz
		s.StartReceiveHz = outsideDial(tr, k, beta)
		s.StartUplinkHz = roundHz(quantise(tr.ZeroBeat(float64(s.StartReceiveHz), beta, k), float64(s.Drill.StepHz)))
	}
}

// setNoise raises or lowers the noise to the S/N that the drill asks for, on
// the average over the part.
func (s *Setup) setNoise(track *Track) {
	if s.Drill.Noise.SNRDB == nil {
		return
	}
	sum, n := 0.0, 0
	for tick := s.Lead; tick < s.Length; tick += 5 * TicksPerSecond {
		km, _, _ := track.Radial(tick)
		sum += s.plainSNR(km)
		n++
	}
	s.NoiseRaiseDB = quantise(sum/float64(n)-*s.Drill.Noise.SNRDB, 0.01)
}

// plainSNR is the S/N in 2400 Hz of one's own return at a range, without
// fading, while half of the other stations are on and as strong as oneself.
func (s *Setup) plainSNR(km float64) float64 {
	tr := s.transponder()
	up, down := tr.UplinkLowHz, tr.DownlinkLowHz
	crossed := polarisationDB(&s.Bird)
	eirp := decibel(s.Station.PowerW) + s.Station.UplinkGainDBi - crossed - FreeSpaceLossDB(up, km) + tr.GainDB
	share := decibel(1 + float64(len(s.Others))/2)
	eirp = math.Min(eirp, tr.MaxEIRPDBW-share)
	level := eirp - FreeSpaceLossDB(down, km) + s.Station.ReceiveGainDBi - crossed
	noise := NoiseDensity(s.Drill.Noise.Environment, down, s.Station.ReceiverK)
	return level - noise - ssbFilterDB
}

// upAt is the uplink that comes out at a share, 0 to 1, of the downlink from its lower edge.
func (t *Transponder) upAt(share float64) float64 {
	if t.Inverting {
		share = 1 - share
	}
	return t.UplinkLowHz + float64(share*(t.UplinkHighHz-t.UplinkLowHz))
}
