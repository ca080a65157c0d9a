package sim

// Drill is an exercise. A drill file is TOML with these keys and no others;
// what is left out takes the value that defaults gives it.
type Drill struct {
	Name   string `toml:"name" json:"name"`     // as typed: lower case, digits, hyphens
	Number int    `toml:"number" json:"number"` // place in the course; 0 stands outside it
	Title  string `toml:"title" json:"title"`
	Brief  string `toml:"brief" json:"brief"`           // for the prompt card
	Coach  string `toml:"coach" json:"coach,omitempty"` // one line of advice before the start; RhythmMark and the marks of TurningWords may stand in it
	Trains string `toml:"trains" json:"-"`              // what it is good for, a few words
	After  string `toml:"after" json:"-"`               // name of the drill that it is better flown after; advice, never a lock
	Kind   string `toml:"kind" json:"kind"`             // "fly", or an exercise that asks: "hear", "first-move", "fault"

	Bird        string `toml:"bird" json:"bird"`               // name of a bird file
	Elements    string `toml:"elements" json:"elements"`       // name of an element file
	Transponder int    `toml:"transponder" json:"transponder"` // 1-based
	Rule        string `toml:"rule" json:"rule"`               // "uplink", "downlink", "both" (by hand) or "computer"; "" in a file = turn the higher band, which a setup's drill then says
	SecondRule  string `toml:"second_rule" json:"second_rule,omitempty"`
	StepHz      int    `toml:"step_hz" json:"step_hz"`
	StepFree    bool   `toml:"-" json:"-"`         // the file leaves the step to the operator; StepHz is the usual one
	Voice       string `toml:"voice" json:"voice"` // own voice: "tone", "vowel", "call", "cw", "whistle"
	Seed        uint64 `toml:"seed" json:"seed"`
	Daily       bool   `toml:"daily" json:"daily,omitempty"` // only an operator's first try of a day (UTC) counts for his rating

	Pass       DrillPass     `toml:"pass" json:"pass"`
	Start      DrillStart    `toml:"start" json:"start"`
	Plan       DrillPlan     `toml:"plan" json:"plan"`
	Aids       Aids          `toml:"aids" json:"aids"`
	Noise      DrillNoise    `toml:"noise" json:"noise"`
	Traffic    DrillTraffic  `toml:"traffic" json:"traffic"`
	Situations Situations    `toml:"situations" json:"situations,omitzero"`
	Faults     []string      `toml:"faults" json:"faults,omitempty"` // one is drawn for a run, or for each trial of a "fault" exercise
	Exercise   DrillExercise `toml:"exercise" json:"exercise"`
	Station    *Station      `toml:"station" json:"station,omitempty"` // in place of the usual portable station
	Ready      *DrillReady   `toml:"ready" json:"ready,omitempty"`     // the radios are to be set before AOS
	Goal       Goal          `toml:"goal" json:"goal"`

	// Variants are other forms of the drill. The seed deals them out in turn,
	// the drill as it stands first; a setup's drill is the form that was dealt.
	Variants []DrillVariant `toml:"variant" json:"variant,omitempty"`
}

// RhythmMark is what a coach's line writes for how often a notch of the drill's
// step follows the pass that is flown, where it is fastest.
const RhythmMark = "{rhythm}"

// DrillVariant is a form of a drill that differs in what is given here.
type DrillVariant struct {
	Transponder int    `toml:"transponder" json:"transponder,omitempty"`
	Rule        string `toml:"rule" json:"rule,omitempty"`
	SecondRule  string `toml:"second_rule" json:"second_rule,omitempty"`
	Brief       string `toml:"brief" json:"brief,omitempty"`
	Coach       string `toml:"coach" json:"coach,omitempty"`
}

// dealt returns the form of the drill that a seed gets.
func (d Drill) dealt(seed uint64) Drill {
	variants := d.Variants
	d.Variants = nil
	i := seed % uint64(len(variants)+1)
	if i == 0 {
		return d
	}
	v := &variants[i-1]
	if v.Transponder != 0 {
		d.Transponder = v.Transponder
	}
	for _, w := range []struct {
		to   *string
		from string
	}{{&d.Rule, v.Rule}, {&d.SecondRule, v.SecondRule}, {&d.Brief, v.Brief}, {&d.Coach, v.Coach}} {
		if w.from != "" {
			*w.to = w.from
		}
	}
	return d
}

// DrillPass says which pass is wanted and which part of it is flown.
type DrillPass struct {
	HeightKm float64    `toml:"height_km" json:"height_km,omitempty"`       // of the orbit, for the reader; Prepare holds the elements against it (within 60 km)
	TopDeg   [2]float64 `toml:"top_deg" json:"top_deg"`                     // greatest elevation from..to
	Part     string     `toml:"part" json:"part"`                           // "whole", "rise" (from AOS), "top" (round TCA), "set" (to LOS), "frozen" (stands still at TCA)
	AfterS   float64    `toml:"after_s" json:"after_s,omitempty"`           // rise: this long after AOS; top: start this long after TCA - length/2; set: this long before LOS it ends
	LengthS  float64    `toml:"length_s" json:"length_s,omitempty"`         // of the part; 0 = to the end of the pass
	Random   bool       `toml:"random" json:"random,omitempty"`             // one of the passes of the next five days, drawn, instead of the next one
	AgeS     [2]float64 `toml:"age_s" json:"age_s,omitempty"`               // the dial card's elements are early or late by this much, drawn
	Eclipse  [2]float64 `toml:"eclipse_at_s" json:"eclipse_at_s,omitempty"` // the transponder goes off for good in this span, drawn; 0, 0 = never
}

// DrillStart says how far off the operator starts.
type DrillStart struct {
	OffsetHz  [2]float64 `toml:"offset_hz" json:"offset_hz"`         // size from..to, drawn; comes from the bird's oscillator
	Side      string     `toml:"side" json:"side"`                   // "away" (the drift leads further off), "any", "high", "low"
	Found     bool       `toml:"found" json:"found,omitempty"`       // begin with the first over instead of finding oneself
	ReceiveHz float64    `toml:"receive_hz" json:"receive_hz"`       // receive dial at the start, downlink Hz; 0 = middle of the passband
	LeadS     float64    `toml:"lead_s" json:"lead_s,omitempty"`     // quiet time before the operator may key
	SameFor   int        `toml:"same_for" json:"same_for,omitempty"` // so many runs of an operator in a row have the same error, and begin with what he found of it; 0 = each run has its own
}

// DrillPlan is the talk plan after the operator has found himself.
type DrillPlan struct {
	TalkS    float64   `toml:"talk_s" json:"talk_s"`
	ListenS  float64   `toml:"listen_s" json:"listen_s"`               // 0 = one long over
	Overs    int       `toml:"overs" json:"overs"`                     // the run ends after so many; 0 = at the end of the part
	LastS    float64   `toml:"last_s" json:"last_s,omitempty"`         // length of the last over where it differs
	AsKeyedS []float64 `toml:"as_keyed_s" json:"as_keyed_s,omitempty"` // lengths of talking and listening by turns, in place of TalkS and ListenS as far as it goes
	Free     bool      `toml:"free" json:"free,omitempty"`             // no plan: the operator talks when he likes (contacts)
}

// Aids are what the desk may show or speak. They have no effect on the air.
type Aids struct {
	Ribbon   bool    `toml:"ribbon" json:"ribbon"`         // offset against time
	Strip    bool    `toml:"strip" json:"strip"`           // panorama
	Yours    bool    `toml:"yours" json:"yours,omitempty"` // in the panorama the own return looks other than the rest; a receiver's cannot know it
	Arrow    bool    `toml:"arrow" json:"arrow"`           // which way to turn
	Meter    bool    `toml:"meter" json:"meter"`           // offset needle
	Predict  bool    `toml:"predict" json:"predict"`       // rate and predicted dial
	Announce bool    `toml:"announce" json:"announce"`     // spoken "high", "low"
	FadeTo   float64 `toml:"fade_to" json:"fade_to"`       // share of the time that aids are shown at the end; 1 = always; see State.AidsOn
}

// DrillNoise sets noise and fading.
type DrillNoise struct {
	Environment string     `toml:"environment" json:"environment"`   // "city", "residential", "rural", "quiet rural" (ITU-R P.372)
	SNRDB       *float64   `toml:"snr_db" json:"snr_db,omitempty"`   // noise is raised until one's own return has this on the average over the part
	FadeDB      float64    `toml:"fade_db" json:"fade_db,omitempty"` // fades beside the bird's own
	FadeEveryS  [2]float64 `toml:"fade_every_s" json:"fade_every_s,omitempty"`
	Scintillate bool       `toml:"scintillate" json:"scintillate,omitempty"`
}

// DrillTraffic fills the passband.
type DrillTraffic struct {
	Stations int      `toml:"stations" json:"stations"`               // 0..12 others
	Plans    []string `toml:"plans" json:"plans,omitempty"`           // given out in turn: "cq", "answer", "contact", "net", "rude", "slider", "weak"
	Rules    []string `toml:"rules" json:"rules,omitempty"`           // given out in turn: "uplink", "downlink", "both", "none"
	Hands    []string `toml:"hands" json:"hands,omitempty"`           // given out in turn: names of hands
	Partner  bool     `toml:"partner" json:"partner,omitempty"`       // the first of them talks with the operator by the plan
	WithinKm float64  `toml:"within_km" json:"within_km,omitempty"`   // of the operator; 0 = anywhere in the footprint
	Spacing  float64  `toml:"spacing_hz" json:"spacing_hz,omitempty"` // least spacing between slots
	Crowd    bool     `toml:"crowd" json:"crowd,omitempty"`           // somebody may sit on the operator's first dial
	NoBeacon bool     `toml:"no_beacon" json:"no_beacon,omitempty"`
	CW       int      `toml:"cw" json:"cw,omitempty"` // so many of them, the first, send Morse in the lower part of the downlink; the others speak above
}

// DrillExercise is for the kinds that ask.
type DrillExercise struct {
	Trials   int       `toml:"trials" json:"trials,omitempty"`
	ShiftsHz []float64 `toml:"shifts_hz" json:"shifts_hz,omitempty"` // sizes; each also with the other sign
	RightHz  float64   `toml:"right_hz" json:"right_hz,omitempty"`   // "hear": trials nearer than this are "right"; "first-move": within it the trial is done
	LimitS   float64   `toml:"limit_s" json:"limit_s,omitempty"`     // for one trial
	PauseS   float64   `toml:"pause_s" json:"pause_s,omitempty"`     // between trials
	OneKind  bool      `toml:"one_kind" json:"one_kind,omitempty"`   // "first-move": on the drill's own transponder alone, not by turns on one that inverts and one that does not
	Voices   []string  `toml:"voices" json:"voices,omitempty"`       // given out over the trials, first to last
}

// Goal is what the drill asks for: every one of its marks.
type Goal struct {
	Text        string     `toml:"text" json:"text"`
	Measure     string     `toml:"measure" json:"measure"`                       // one of Measures
	Pass        float64    `toml:"pass" json:"pass"`                             // pass mark of the measure
	Also        []GoalMark `toml:"also" json:"also,omitempty"`                   // further marks, all of them asked for
	OwnRatingSD float64    `toml:"own_rating_sd" json:"own_rating_sd,omitempty"` // passed, too, within so many standard deviations of the operator's own rating; 0 = no
	Hand        string     `toml:"hand" json:"hand,omitempty"`                   // the hand it is meant for: it passes 60 to 80 % of the time
}

// GoalMark is one measure and its pass mark.
type GoalMark struct {
	Measure string  `toml:"measure" json:"measure"`
	Pass    float64 `toml:"pass" json:"pass"`
}

// maxGoalMarks is how many marks one goal can have.
const maxGoalMarks = 5

// Marks returns everything that the goal asks for, the main mark first.
func (g *Goal) Marks() []GoalMark {
	return append([]GoalMark{{g.Measure, g.Pass}}, g.Also...)
}

// Measures are what a goal can ask for; whether more or less is better
// follows from the measure. Marks are computed elsewhere.
var measures = []string{"hold_index", "share_within_25hz", "share_within_50hz", "share_within_100hz", "rms_hz", "abs_bias_hz", "top_ratio",
	"comeback_s", "lead_error", "found_s", "keyed_before_found_s", "overlap_s", "travel_ratio", "contacts", "correct_share", "correct_share_25hz",
	"correct_share_50hz", "first_move_share", "settle_s", "bird_drift_hz", "antenna_share", "audible_share_within_100hz", "swept_khz", "unidentified_s", "search_power_w",
	"ready_share", "first_return_s"}

// Measures returns the measures that a goal may name.
func Measures() []string { return append([]string(nil), measures...) }

// ParseDrill reads a drill file. The error is a *FileError with the line.
func ParseDrill(data []byte, file string) (Drill, error) {
	d := Drill{Aids: Aids{Ribbon: true, Strip: true, Arrow: true, Meter: true, Predict: true, FadeTo: 1}}
	data, err := fileText(data, file)
	if err != nil {
		return Drill{}, err
	}
	if err := decodeStrict(data, file, &d); err != nil {
		return Drill{}, err
	}
	d.defaults()
	c := &checker{data: data, file: file}
	d.check(c)
	if err := c.result(); err != nil {
		return Drill{}, err
	}
	return d, nil
}

func (d *Drill) defaults() {
	word := func(v *string, def string) {
		if *v == "" {
			*v = def
		}
	}
	word(&d.Kind, "fly")
	word(&d.Voice, "tone")
	word(&d.Title, d.Name)
	word(&d.Elements, "demo")
	word(&d.Pass.Part, "whole")
	word(&d.Start.Side, "away")
	word(&d.Noise.Environment, "rural")
	word(&d.Goal.Measure, "hold_index")
	if d.StepHz == 0 {
		d.StepHz, d.StepFree = 20, true
	}
	if d.Transponder == 0 {
		d.Transponder = 1
	}
	if d.Pass.TopDeg == [2]float64{} {
		d.Pass.TopDeg = [2]float64{0, 90}
	}
	if d.Plan.TalkS == 0 {
		d.Plan.TalkS = 12
	}
	if d.Kind != "fly" {
		d.exerciseDefaults()
	}
	if d.Traffic.Spacing == 0 {
		d.Traffic.Spacing = 4000
	}
	if d.Station != nil {
		d.Station.defaults()
	}
}

func (d *Drill) exerciseDefaults() {
	e := &d.Exercise
	set := func(v *float64, def float64) {
		if *v == 0 {
			*v = def
		}
	}
	if e.Trials == 0 {
		e.Trials = map[string]int{"hear": 20, "first-move": 10, "fault": 5}[d.Kind]
	}
	if len(e.ShiftsHz) == 0 {
		e.ShiftsHz = []float64{200, 100, 50, 25}
	}
	set(&e.RightHz, map[string]float64{"hear": 5, "first-move": 50, "fault": 0}[d.Kind])
	set(&e.LimitS, map[string]float64{"hear": 10, "first-move": 15, "fault": 90}[d.Kind])
	set(&e.PauseS, 1.5)
}
