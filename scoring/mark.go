package scoring

import (
	"encoding/json"
	"fmt"
	"math"

	"driftdrill/sim"
)

// Mark replays a sheet and returns its marks and the trace they were computed
// from. A sheet that replays to another state than it says is marked all the
// same; Trace.Difference says where it first differs.
func Mark(sh *sim.Sheet) (Marks, *Trace, error) {
	tr, err := TraceOf(sh)
	if err != nil {
		return Marks{}, nil, err
	}
	return Measure(tr), tr, nil
}

// TraceOf replays a sheet and samples it.
func TraceOf(sh *sim.Sheet) (*Trace, error) {
	setup := &sh.Setup
	t := newTracer(setup, sh.End)
	for _, c := range sh.Commands {
		t.Stopped = t.Stopped || c.Kind == sim.CommandStop
	}
	t.Cut, t.Chained = (!sh.Ended || sh.EndCut) && sh.End < setup.Length, sh.Chained()
	diff, err := sim.ReplayFrom(sh, SampleTicks/2, SampleTicks, t.see)
	if err != nil {
		return nil, fmt.Errorf("marks: %w", err)
	}
	t.Difference = diff
	tr, err := t.finish()
	if err == nil {
		from := sh.End
		if i := tr.firstAssigned(); i >= 0 {
			from = tr.Samples[i].Tick
		}
		tr.Conditions = conditionsOf(sh, from)
	}
	return tr, err
}

// MarkHand flies a setup with a simulated hand and marks it as it goes: the
// marks are those of the sheet of the same run, and nothing is written down.
func MarkHand(setup sim.Setup, hand sim.Hand) (Marks, *Trace, error) {
	t := newTracer(&setup, setup.Length)
	if err := sim.Rehearse(setup, hand, t.see); err != nil {
		return Marks{}, nil, fmt.Errorf("marks: %w", err)
	}
	tr, err := t.finish()
	if err != nil {
		return Marks{}, nil, err
	}
	return Measure(tr), tr, nil
}

// tracer fills a trace from states as they come.
type tracer struct {
	*Trace
	setup    *sim.Setup
	channels *channels
	turned   bool
	ended    sim.Tick // ticks seen
}

func newTracer(setup *sim.Setup, end sim.Tick) *tracer {
	tr := &Trace{Plan: planOf(setup), Samples: make([]Sample, 0, end/SampleTicks+1),
		HandAntenna: setup.Station.HandAntenna, LimitS: setup.Drill.Exercise.LimitS, Kind: setup.Drill.Kind, Bench: newBenchTrace(setup)}
	tr.TCA, tr.HasTCA = tcaOf(setup)
	return &tracer{Trace: tr, setup: setup, channels: newChannels(setup)}
}

// see takes a state: the middle of each 50 ms, so that there is no bias at
// the edges of overs, and nothing else but the end of the exercise.
func (t *tracer) see(s *sim.State) {
	if r := s.Exercise.Last; r.Trial > len(t.Trials) {
		t.Trials = append(t.Trials, r)
	}
	t.ended = s.Tick + 1
	if s.Tick%SampleTicks != SampleTicks/2 {
		return
	}
	t.turned = t.turned || s.UplinkHz != t.setup.StartUplinkHz || s.ReceiveHz != t.setup.StartReceiveHz
	t.Bench.see(s, t.Plan.AudibleDB)
	sample := sampleOf(s, t.channels)
	sample.Turned = t.turned
	t.Samples = append(t.Samples, sample)
	t.Contacts, t.AskedToMove = max(t.Contacts, s.Contacts), max(t.AskedToMove, s.Told)
	if s.Found && !t.HasFound {
		t.HasFound, t.FoundAt = true, s.FoundAt
	}
}

func (t *tracer) finish() (*Trace, error) {
	t.HasTCA = t.HasTCA && t.TCA < t.ended
	if t.setup.AgeS == 0 {
		return t.Trace, nil
	}
	return t.Trace, t.predict(t.setup)
}

func planOf(s *sim.Setup) Plan {
	d := &s.Drill
	p := Plan{TalkS: d.Plan.TalkS, ListenS: d.Plan.ListenS, Overs: d.Plan.Overs, LastS: d.Plan.LastS, Free: d.Plan.Free, Rule: d.Rule, BeginsFound: d.Start.Found,
		Others: len(s.Others), AudibleDB: sim.AudibleDB(d.Voice), SpeaksCall: s.SpeaksCall()}
	if i := d.Transponder - 1; i >= 0 && i < len(s.Bird.Transponders) {
		p.NonInverting = !s.Bird.Transponders[i].Inverting
	}
	return p
}

func sampleOf(s *sim.State, c *channels) Sample {
	heard, heardHz := nearestVoice(s)
	return Sample{
		Heard: heard, HeardHz: heardHz,
		Tick: s.Tick, Phase: s.Phase, Over: s.Over, Assigned: s.Assigned, Keyed: s.Keyed, Found: s.Found, InPassband: s.InPassband,
		OffsetHz: s.OffsetHz, RateHzS: s.RateHzS, UplinkHz: s.UplinkHz, ReceiveHz: s.ReceiveHz, TrueHz: s.TrueHz, StepHz: s.StepHz,
		BeaconDB: s.BeaconDB, NearestHz: c.nearest(s), RangeKm: s.Look.RangeKm, BirdHz: s.Own().BirdHz, Rule: s.Rule, AimDeg: s.AimErrorDeg, SNRDB: s.SNRDB,
		Called: s.Identified, PowerW: s.PowerW,
	}
}

// inUseS is how long after a station's last word its channel counts as in
// use: our choice, about one over.
const inUseS = 15

// channels remembers which channels are in use.
type channels struct {
	partner [sim.MaxOthers]bool
	group   [sim.MaxOthers]int     // who talk together; -1 = with nobody
	calling [sim.MaxOthers]bool    // calls and waits for anybody: in use only while he speaks
	partsHz [sim.MaxOthers]float64 // by how much less than onOthersHz parts him from the operator
	last    [sim.MaxOthers]sim.Tick
	heard   [sim.MaxOthers]bool
}

func newChannels(s *sim.Setup) *channels {
	c := &channels{}
	for i := range s.Others {
		c.group[i] = s.Others[i].Group
		c.partner[i] = s.Others[i].Plan == "partner" || i == s.Partner
		if s.BothMorse(i) {
			c.partsHz[i] = onOthersHz - onMorseHz
		}
		c.calling[i] = s.Others[i].Plan == "cq" || s.Others[i].Plan == "answer"
	}
	return c
}

// mine says whether a station is in contact with the operator, itself or with
// those whom it talks with.
func (c *channels) mine(s *sim.State, i int) bool {
	with := int(s.ContactWith)
	return with == i || with >= 0 && with < len(c.group) && c.group[with] >= 0 && c.group[with] == c.group[i]
}

// nearest returns how far at the bird the nearest channel in use by others
// is; +Inf where there is none. The partner of one's own contact does not
// count, and who calls anybody only while he speaks. Between two who send Morse
// onMorseHz part what onOthersHz part otherwise; the difference is added.
func (c *channels) nearest(s *sim.State) float64 {
	best := math.Inf(1)
	own := s.Own().BirdHz
	for i := 1; i < s.NumSignals; i++ {
		g := &s.Signals[i]
		if g.Kind != sim.SignalStation || int(g.Station) >= len(c.partner) || c.partner[g.Station] || c.mine(s, int(g.Station)) {
			continue
		}
		if g.On {
			c.last[g.Station], c.heard[g.Station] = s.Tick, true
		}
		if c.calling[g.Station] && !g.On {
			continue
		}
		if c.heard[g.Station] && (s.Tick-c.last[g.Station]).Seconds() < inUseS {
			best = min(best, math.Abs(g.BirdHz-own)+c.partsHz[g.Station])
		}
	}
	return best
}

// predict fills in where the operator's elements put zero beat.
func (tr *Trace) predict(setup *sim.Setup) error {
	run, err := sim.NewRun(*setup)
	if err != nil {
		return fmt.Errorf("marks: %w", err)
	}
	track := run.Track()
	t := &setup.Bird.Transponders[setup.Drill.Transponder-1]
	late := sim.Tick(math.Round(setup.AgeS * sim.TicksPerSecond))
	tr.PredictedHz = make([]float64, len(tr.Samples))
	for i := range tr.Samples {
		s := &tr.Samples[i]
		_, beta, _ := track.Radial(max(0, s.Tick-late))
		tr.PredictedHz[i] = t.ZeroBeat(float64(s.ReceiveHz), beta, t.Constant()+t.OscillatorHz)
	}
	return nil
}

// Advise returns the one line for a run: what cost most, or, where that was
// little and the drill's goal was missed, what the goal lacks. The setup may be nil.
func Advise(m Marks, tr *Trace, setup *sim.Setup) Advice {
	a := adviseOn(m, tr)
	if m.Stopped && a.Kind == NoteClean {
		a.Headline = "Good so far. Next time fly it to the end."
	}
	if setup == nil || m.Exercise != nil || m.Ready != nil || GoalMet(m, &setup.Drill) || m.Stopped {
		return a
	}
	if said, ok := returned(a, m, tr, &setup.Drill); ok {
		return said
	}
	return forGoal(a, m, tr, &setup.Drill)
}

// Debrief is a sheet recomputed: what `debrief --out json` prints.
type Debrief struct {
	Sheet    string `json:"sheet"`
	Drill    string `json:"drill"`
	Bird     string `json:"bird"`
	Start    string `json:"start_utc"`
	Hand     string `json:"hand,omitempty"`
	Operator string `json:"operator,omitempty"`
	Marks
	Agrees      bool        `json:"agrees"`                // the replay has the sheet's states and its marks
	Verified    bool        `json:"verified"`              // and every second's hash is there, and the drill or the operator ended the run
	Unverified  string      `json:"unverified,omitempty"`  // why it is not verified
	Conditions  Conditions  `json:"conditions"`            // how it was flown
	Differs     string      `json:"differs"`               // where and how it first differs; "" where it agrees
	DiffersTick *sim.Tick   `json:"differs_at"`            // null where it agrees or where only marks differ
	Advice      Advice      `json:"advice"`                // the one line
	Signatures  []Signature `json:"signatures"`            // everything looked for
	Rating      *Rating     `json:"rating"`                // null until the ladder has been flown
	GoalMet     *bool       `json:"goal_met"`              // null where the drill has no goal
	GoalMissed  string      `json:"goal_missed,omitempty"` // which of its marks were missed, in words
	GoalValue   *float64    `json:"goal_value"`            // what the goal's first measure came to; null where there was nothing to measure
	SheetCut    bool        `json:"sheet_cut"`             // the sheet ends before its run does
}

// DebriefSheet recomputes a sheet: marks, agreement, advice.
func DebriefSheet(sh *sim.Sheet) (Debrief, *Trace, error) {
	m, tr, err := Mark(sh)
	if err != nil {
		return Debrief{}, nil, err
	}
	s := &sh.Setup
	d := Debrief{Sheet: sh.Name, Drill: s.Drill.Name, Bird: s.Bird.Name, Start: s.Start.UTC().Format("2006-01-02T15:04:05.000Z"),
		Hand: s.Hand, Operator: s.Operator, Marks: m, Advice: Advise(m, tr, s), Signatures: Signatures(m, tr), SheetCut: tr.Cut}
	a := Verify(sh, tr, m)
	d.Agrees, d.Verified, d.Unverified, d.DiffersTick, d.Conditions = a.Agrees, a.Verified, a.Why, a.Tick, tr.Conditions
	if !a.Agrees {
		d.Differs = a.Why
	}
	if g := &s.Drill.Goal; g.Measure != "" {
		met := GoalMet(m, &s.Drill)
		d.GoalMet, d.GoalMissed = &met, Missed(m, &s.Drill)
		if v, ok := GoalValue(m, g.Measure); ok {
			d.GoalValue = rounded(v)
		}
	}
	return d, tr, nil
}

// Tolerances within which a sheet's own marks agree with ours: other
// processors may differ in the last bits of what is rounded.
const (
	agreeIndex = 0.01
	agreeHz    = 0.01
	agreeShare = 0.0015
	agreeS     = 0.051
)

// marksDiffer compares the marks that a sheet carries, by the formula that it
// had. A sheet without marks, or with those of a newer formula, has nothing to differ.
func marksDiffer(raw json.RawMessage, tr *Trace, m Marks) string {
	if len(raw) == 0 || string(raw) == "null" {
		return ""
	}
	var old Marks
	if err := json.Unmarshal(raw, &old); err != nil {
		return "marks: the sheet's own marks cannot be read: " + err.Error()
	}
	if old.Formula < 1 || old.Formula > Formula {
		return ""
	}
	if old.Formula != m.Formula {
		m = MeasureBy(tr, old.Formula)
	}
	for _, c := range []struct {
		name      string
		was, is   float64
		tolerance float64
	}{
		{"hold_index", old.HoldIndex, m.HoldIndex, agreeIndex},
		{"rms_hz", old.RMSHz, m.RMSHz, agreeHz}, {"bias_hz", old.BiasHz, m.BiasHz, agreeHz},
		{"share_within_25hz", old.ShareWithin25Hz, m.ShareWithin25Hz, agreeShare},
		{"share_within_50hz", old.ShareWithin50Hz, m.ShareWithin50Hz, agreeShare},
		{"share_within_100hz", old.ShareWithin100Hz, m.ShareWithin100Hz, agreeShare},
		{"found_s", orMinusOne(old.FoundS), orMinusOne(m.FoundS), agreeS},
		{"on_others_s", old.OnOthersS, m.OnOthersS, agreeS}, {"above_beacon_s", old.AboveBeaconS, m.AboveBeaconS, agreeS},
		{"right_at_aos", old.Ready.right(), m.Ready.right(), 0},
		{"held_s", old.HeldS, m.HeldS, agreeS}, {"keyed_s", old.KeyedS, m.KeyedS, agreeS},
	} {
		if !(math.Abs(c.was-c.is) <= c.tolerance) {
			return fmt.Sprintf("marks: %s is %g on the sheet and %g by its commands", c.name, c.was, c.is)
		}
	}
	return ""
}

func orMinusOne(x *float64) float64 {
	if x == nil {
		return -1
	}
	return *x
}
