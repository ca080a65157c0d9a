package sim

import (
	"math"
	"math/rand/v2"
	"slices"
)

// DrillReady makes a drill begin before AOS, at two radios that are not set as
// the dial card wants them.
type DrillReady struct {
	Faults [2]int   `toml:"faults" json:"faults"`   // from..to settings stand wrong, drawn
	Of     []string `toml:"of" json:"of,omitempty"` // names of the settings among which they are; none = all
}

// BenchSetting is one thing to set before AOS.
type BenchSetting uint8

// The settings, receiver first. Their order is that of the list on the desk
// and of Bench.Found in sheets, and never changes.
const (
	BenchReceiveMemory BenchSetting = iota
	BenchReceiveSideband
	BenchRIT
	BenchReceiveStep
	BenchUplinkMemory
	BenchUplinkSideband
	BenchUplinkStep
	BenchKeying
	BenchHeadphones
	BenchRecorder
	BenchSettings // how many there are
)

// BenchValues are the settings' values, one for each BenchSetting: a memory's
// number from 1 on, a Sideband, a step in Hz, 1 or 0 for what is on or off
// (keying: 1 is VOX; headphones: 0 is the loudspeaker).
type BenchValues [BenchSettings]int64

// benchTable holds of each setting its name in files, the command that sets
// it, and the values that it takes.
var benchTable = [BenchSettings]struct {
	name    string
	command CommandKind
	values  []int64
}{
	BenchReceiveMemory:   {"receive-memory", CommandReceiveMemory, []int64{1, 2, 3, 4}},
	BenchReceiveSideband: {"receive-sideband", CommandReceiveSideband, []int64{int64(USB), int64(LSB)}},
	BenchRIT:             {"rit", CommandRIT, []int64{0, 1}},
	BenchReceiveStep:     {"receive-step", CommandReceiveStep, benchSteps},
	BenchUplinkMemory:    {"uplink-memory", CommandUplinkMemory, []int64{1, 2, 3, 4}},
	BenchUplinkSideband:  {"uplink-sideband", CommandUplinkSideband, []int64{int64(USB), int64(LSB)}},
	BenchUplinkStep:      {"uplink-step", CommandUplinkStep, benchSteps},
	BenchKeying:          {"keying", CommandVOX, []int64{0, 1}},
	BenchHeadphones:      {"headphones", CommandHeadphones, []int64{0, 1}},
	BenchRecorder:        {"recorder", CommandRecorder, []int64{0, 1}},
}

// benchSteps are the steps of radios whose steps can be set wrong, Hz.
var benchSteps = []int64{10, 20, 50, 100, 1000}

// BenchMemories is how many memories each radio has.
const BenchMemories = 4

// String returns the setting's name as drill files have it.
func (k BenchSetting) String() string {
	if k < BenchSettings {
		return benchTable[k].name
	}
	return "unknown"
}

// Command is the command that sets it.
func (k BenchSetting) Command() CommandKind { return benchTable[k].command }

// Values are what it takes, in the order in which to offer it.
func (k BenchSetting) Values() []int64 { return append([]int64(nil), benchTable[k].values...) }

// benchSettingOf is the setting that a command sets; false where it sets none.
func benchSettingOf(c CommandKind) (BenchSetting, bool) {
	for k := range benchTable {
		if benchTable[k].command == c {
			return BenchSetting(k), true
		}
	}
	return 0, false
}

func benchSettingNamed(name string) (BenchSetting, bool) {
	for k := range benchTable {
		if benchTable[k].name == name {
			return BenchSetting(k), true
		}
	}
	return 0, false
}

// Bench is how the two radios of a run stand as the operator sits down at
// them, and what the dial card wants.
type Bench struct {
	Found     BenchValues          `json:"found"`
	Wants     BenchValues          `json:"wants"`      // by the card; of the steps the coarsest that will do
	ReceiveHz [BenchMemories]int64 `json:"receive_hz"` // what the receiver's memories hold
	UplinkHz  [BenchMemories]int64 `json:"uplink_hz"`
	RITHz     int64                `json:"rit_hz"` // by how much the receiver is off its dial with the RIT on
	Card      []BenchCard          `json:"card"`   // the first minute
}

// BenchCard is a line of the dial card.
type BenchCard struct {
	AfterS    int   `json:"after_s"` // AOS
	ReceiveHz int64 `json:"receive_hz"`
	UplinkHz  int64 `json:"uplink_hz"`
}

// What the card tells, and how near to it a dial is right: choices of this project.
const (
	benchCardS    = 60  // the first minute ...
	benchCardStep = 20  // ... in lines so far apart, s
	benchNearHz   = 100 // a dial outside what the card has in that minute by no more than this is right
	benchFreeStep = 100 // Hz: what will do for the dial that is not the knob's
)

func (r *DrillReady) check(c *checker, d *Drill) {
	n := len(r.Of)
	if n == 0 {
		n = int(BenchSettings)
	}
	c.span("ready.faults", [2]float64{float64(r.Faults[0]), float64(r.Faults[1])}, 1, float64(n))
	if len(r.Of) > int(BenchSettings) {
		c.fail("ready.of", "there are %d settings", BenchSettings)
	}
	for i, name := range r.Of {
		if _, ok := benchSettingNamed(name); !ok {
			c.fail(indexed("ready.of", i), "there is no setting %q", name)
		}
		if slices.Contains(r.Of[:i], name) {
			c.fail(indexed("ready.of", i), "%q stands there twice", name)
		}
	}
	if d.Kind != "fly" || d.Plan.Free || d.Start.Found || d.Voice == "cw" || d.SecondRule != "" || d.Rule == "both" || d.Rule == "computer" || len(d.Faults) > 0 {
		c.fail("ready", "goes with a drill that is flown by one dial in speech, with a plan, from the search for oneself on, and without faults of its own")
	}
	if d.Pass.Part != "rise" || d.Pass.AfterS > -20 || d.Pass.AfterS < -600 || d.Pass.LengthS < 20-d.Pass.AfterS {
		c.fail("ready", "needs pass.part = \"rise\", pass.after_s from -600 to -20 (the time to set up) and a length_s that ends 20 s after AOS or later")
	}
	if d.Station != nil && (d.Station.Keying != "ptt" || d.Station.Uplink.Sideband != "" || d.Station.Receive.Sideband != "") {
		c.fail("ready", "sets keying and sidebands itself: leave them out of the station")
	}
}

func (b *Bench) check(c *checker) {
	for k := range BenchSettings {
		if !slices.Contains(benchTable[k].values, b.Found[k]) || !slices.Contains(benchTable[k].values, b.Wants[k]) {
			c.fail("bench", "%s is %d or is to be %d: none of %v", k, b.Found[k], b.Wants[k], benchTable[k].values)
		}
	}
	for i := range BenchMemories {
		c.within(indexed("bench.receive_hz", i), float64(b.ReceiveHz[i]), minRadioHz, maxRadioHz)
		c.within(indexed("bench.uplink_hz", i), float64(b.UplinkHz[i]), minRadioHz, maxRadioHz)
	}
	c.within("bench.rit_hz", float64(b.RITHz), -9999, 9999)
	if n := len(b.Card); n < 1 || n > 20 {
		c.fail("bench.card", "%d lines", n)
	}
	for i := range b.Card {
		c.within(indexed("bench.card", i)+".after_s", float64(b.Card[i].AfterS), 0, 3600)
		c.within(indexed("bench.card", i)+".receive_hz", float64(b.Card[i].ReceiveHz), minRadioHz, maxRadioHz)
		c.within(indexed("bench.card", i)+".uplink_hz", float64(b.Card[i].UplinkHz), minRadioHz, maxRadioHz)
	}
}

// drawBench draws how the radios stand, for a drill that begins at them.
func (s *Setup) drawBench(track *Track) {
	r := s.Drill.Ready
	if r == nil {
		return
	}
	g := stream(s.Seed, streamBench)
	b := &Bench{}
	s.Bench = b
	s.fillCard(track)
	b.fillMemories(g, s.transponder().Inverting)
	b.RITHz = int64(quantise(between(g, [2]float64{250, 900}), 10))
	if g.IntN(2) == 0 {
		b.RITHz = -b.RITHz
	}
	s.wantBench()
	b.Found = b.Wants
	names := r.Of
	if len(names) == 0 {
		for k := range BenchSettings {
			names = append(names, k.String())
		}
	}
	order := g.Perm(len(names))
	for _, i := range order[:r.Faults[0]+g.IntN(r.Faults[1]-r.Faults[0]+1)] {
		k, _ := benchSettingNamed(names[i])
		wrong := b.wrongs(k)
		b.Found[k] = wrong[g.IntN(len(wrong))]
	}
}

// fillCard writes the dial card's lines of the first minute.
func (s *Setup) fillCard(track *Track) {
	tr, b := s.transponder(), s.Bench
	known := tr.Constant() + tr.OscillatorHz
	for after := 0; after <= benchCardS; after += benchCardStep {
		row := BenchCard{AfterS: after, ReceiveHz: s.StartReceiveHz, UplinkHz: s.StartUplinkHz}
		beta := track.beta(s.cardTick(s.AOSTick + Tick(after)*TicksPerSecond))
		if s.Drill.Rule == "downlink" {
			row.ReceiveHz = roundHz(quantise(float64(tr.Through(float64(s.StartUplinkHz), beta, known)*(1-beta)), 10))
		} else {
			row.UplinkHz = roundHz(quantise(tr.ZeroBeat(float64(s.StartReceiveHz), beta, known), 10))
		}
		b.Card = append(b.Card, row)
	}
}

// fillMemories puts the card's first line into one memory of each radio, and
// other channels, 5 to 15 kHz off, into the rest.
func (b *Bench) fillMemories(g *rand.Rand, inverting bool) {
	right := g.IntN(BenchMemories)
	offs := [...]float64{-11e3, -6e3, 7e3, 12e3}
	order := g.Perm(len(offs))
	for i := range BenchMemories {
		off := int64(quantise(offs[order[i]]+between(g, [2]float64{-1500, 1500}), 10))
		if i == right {
			off = 0
		}
		b.ReceiveHz[i] = b.Card[0].ReceiveHz + off
		if inverting {
			off = -off
		}
		b.UplinkHz[i] = b.Card[0].UplinkHz + off
	}
	b.Wants[BenchReceiveMemory], b.Wants[BenchUplinkMemory] = int64(right+1), int64(right+1)
}

// wantBench writes down what the card wants beside the memories.
func (s *Setup) wantBench() {
	tr, w := s.transponder(), &s.Bench.Wants
	w[BenchReceiveSideband], w[BenchUplinkSideband] = int64(parseSideband(tr.DownlinkSideband)), int64(parseSideband(tr.UplinkSideband))
	w[BenchReceiveStep], w[BenchUplinkStep] = benchFreeStep, int64(s.Drill.StepHz)
	if s.Drill.Rule == "downlink" {
		w[BenchReceiveStep], w[BenchUplinkStep] = int64(s.Drill.StepHz), benchFreeStep
	}
	w[BenchHeadphones], w[BenchRecorder] = 1, 1
}

// wrongs are the values of a setting that the card does not want.
func (b *Bench) wrongs(k BenchSetting) []int64 {
	var wrong []int64
	for _, v := range benchTable[k].values {
		if !b.wanted(k, v) {
			wrong = append(wrong, v)
		}
	}
	return wrong
}

// wanted says whether a value will do, of a memory by its number.
func (b *Bench) wanted(k BenchSetting, v int64) bool {
	if k == BenchReceiveStep || k == BenchUplinkStep {
		return v <= b.Wants[k]
	}
	return v == b.Wants[k]
}

// Right says whether a setting stands as the card wants it. Of the memories
// the dials are asked, wherever they come from.
func (b *Bench) Right(k BenchSetting, values *BenchValues, receiveHz, uplinkHz int64) bool {
	low, high := b.CardSpan(k)
	switch k {
	case BenchReceiveMemory:
		return receiveHz >= low-benchNearHz && receiveHz <= high+benchNearHz
	case BenchUplinkMemory:
		return uplinkHz >= low-benchNearHz && uplinkHz <= high+benchNearHz
	}
	return b.wanted(k, values[k])
}

// CardSpan is the lowest and the highest frequency that the card has for the
// dial of a memory setting in the first minute, Hz; 0, 0 for any other setting.
func (b *Bench) CardSpan(k BenchSetting) (low, high int64) {
	if k != BenchReceiveMemory && k != BenchUplinkMemory {
		return 0, 0
	}
	low, high = math.MaxInt64, 0
	for _, row := range b.Card {
		hz := row.UplinkHz
		if k == BenchReceiveMemory {
			hz = row.ReceiveHz
		}
		low, high = min(low, hz), max(high, hz)
	}
	return low, high
}
