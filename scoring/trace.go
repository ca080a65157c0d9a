package scoring

import "driftdrill/sim"

// SampleTicks is the spacing of a Trace's samples: 50 ms.
const SampleTicks sim.Tick = 10

const sampleS = float64(SampleTicks) / sim.TicksPerSecond

// Sample is what marks need to know about one moment of a run.
type Sample struct {
	Tick       sim.Tick
	Phase      sim.Phase
	Over       int
	Assigned   bool // the plan gives the operator the channel
	Keyed      bool
	Found      bool // he has found himself at or before this moment
	InPassband bool
	Turned     bool    // a dial has been turned at or before this moment
	OffsetHz   float64 // own offset e, + is too high
	RateHzS    float64 // how fast e moves if no dial is turned
	UplinkHz   int64
	ReceiveHz  int64
	TrueHz     float64 // uplink dial that would be at zero beat now
	StepHz     int
	BeaconDB   float64 // own return against the beacon; meaningful while keyed
	NearestHz  float64 // at the bird, from the own carrier to the nearest channel in use by others; +Inf where there is none
	RangeKm    float64
	BirdHz     float64  // own carrier as the bird sends it down
	Rule       sim.Rule // which dial is the hand's now
	AimDeg     float64  // between the hand antenna and the bird
	Heard      bool     // another station is on the air near the receive dial
	HeardHz    float64  // how far off the nearest of them is in the receiver, Hz of radio frequency; where one is heard
	SNRDB      float64  // own return against the noise of 2400 Hz
	Called     bool     // he has chosen to say his call in this over or since the one before it
	PowerW     float64  // of the transmitter as it is set
}

// Plan is the part of a drill that marks depend on.
type Plan struct {
	TalkS, ListenS float64 // one over and one listening time; ListenS 0 means one long over
	Overs          int     // the run ends after so many; 0 = at the end of the pass
	LastS          float64 // length of the last of them where it differs
	Rule           string  // "uplink", "downlink" or "both": the dial that the hand turns
	Free           bool    // no plan: he talks when he likes
	BeginsFound    bool    // the drill begins at zero beat: there is nothing to find
	NonInverting   bool
	Others         int     // stations beside the operator's
	AudibleDB      float64 // S/N in 2400 Hz from which the own return is heard
	SpeaksCall     bool    // the own voice says the operator's call by itself
}

// Trace is a run sampled every 50 ms: what marks are computed from and what
// pictures of a run draw.
type Trace struct {
	Plan        Plan
	Samples     []Sample
	FoundAt     sim.Tick // first tick of the two seconds that proved it; meaningful where HasFound
	HasFound    bool
	TCA         sim.Tick       // closest approach; meaningful where HasTCA
	HasTCA      bool           // closest approach lies inside the run
	Stopped     bool           // the operator ended the run himself
	Cut         bool           // the sheet ends before its run does
	Contacts    int            // contacts completed
	AskedToMove int            // how often others asked the operator to go elsewhere
	Difference  sim.Difference // where the replay first differs from the sheet; zero where it does not
	Conditions  Conditions     // of a run that was read from its sheet
	Chained     bool           // the sheet's hashes chain; false where there is no sheet

	Bench       *BenchTrace       // the radios, where they were to be set before AOS; nil = they were not
	HandAntenna bool              // the operator held the antenna himself
	Trials      []sim.TrialResult // of an exercise that asks, in their order
	LimitS      float64           // for one of them
	Kind        string            // of the drill: "fly", "hear", "first-move", "fault"

	// PredictedHz is the dial at which the elements in the operator's hands
	// put zero beat, one value for each sample; nil where they were true.
	PredictedHz []float64
}

// handDial is the dial that the rule gives to the hand, and its sign: how the
// offset moves when that dial goes up by one hertz.
func (tr *Trace) handDial(s *Sample) int64 {
	if s.Rule == sim.RuleDownlink {
		return s.ReceiveHz
	}
	return s.UplinkHz
}

// seconds returns the length of n samples.
func seconds(n int) float64 { return float64(n) * sampleS }

// samplesIn returns how many samples span s seconds.
func samplesIn(s float64) int { return int(s/sampleS + 0.5) }

// firstAssigned returns the index of the first sample in which the plan
// permits the operator to key, or -1.
func (tr *Trace) firstAssigned() int {
	for i := range tr.Samples {
		if tr.Samples[i].Assigned {
			return i
		}
	}
	return -1
}

// held returns the half-open range of samples that count for holding: from
// the moment of finding oneself, or the whole run where that never happened.
func (tr *Trace) held() (from, to int) {
	to = len(tr.Samples)
	if !tr.HasFound {
		return 0, to
	}
	for from < to && tr.Samples[from].Tick < tr.FoundAt {
		from++
	}
	return from, to
}
