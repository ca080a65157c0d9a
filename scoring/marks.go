package scoring

import (
	"math"

	"driftdrill/sim"
)

// Formula is the version of the marks' formula, written into each sheet and
// each record of the logbook. It goes up when any mark changes its meaning.
//
// By formula 1 the quality of a come-back was 2^(-r/3 s), r being the time until
// within 50 Hz for a second, and its axes were H and R themselves. By formula 2
// the time to find oneself began with the first permitted key-down, whether or not there was anything to hear.
const Formula = 3

// The constants of the hold index and of the marks beside it. Where nothing
// else is said they are choices of this project: no measurement of people
// listening to mistuned speech was found that would fix them.
const (
	halfMarkHz     = 100.0 // offset at which the quality of holding is one half
	holdWeight     = 0.75  // share of holding in the hold index
	comeBackWeight = 0.25  // share of coming back in the hold index
	backFadeS      = 3.0   // the quality of a come-back counts moments less by e for each so long after its start
	keyingS        = 1.0   // a come-back starts with the key, but no later than this after the start of the over
	backHalfS      = 3.0   // formula 1: come-back time that earned one half
	backCapS       = 20.0  // come-back time written down for one that never got there
	backWithinHz   = 50.0  // back is within this ...
	backForS       = 1.0   // ... for this long without a break, keyed
	onMorseHz      = 500   // the same between two who send Morse: one filter
	onOthersHz     = 2400  // nearer than this at the bird is on another station: about one voice wide
	topWindowS     = 60.0  // "the top" is closest approach and this long either side
	audibleDB      = 0.0   // S/N in 2400 Hz from which one's own return counts as audible: about where speech is understood
	travelFloorHz  = 200.0 // added to the travel that was needed, so that a short run has a finite ratio
)

// Marks are what a run earned. Times are seconds, frequencies hertz; values
// are rounded to a thousandth. Every value is explained in MARKS.md.
type Marks struct {
	Formula   int      `json:"formula"`
	HoldIndex float64  `json:"hold_index"` // 0..1000
	FoundS    *float64 `json:"found_s"`    // from where keying is permitted and the own return would be heard; null: never found; 0: nothing to find

	HoldQuality     float64    `json:"hold_quality"`      // H, 0..1
	ComeBackQuality *float64   `json:"come_back_quality"` // R, 0..1; null where the plan has no come-back
	SettledQuality  *float64   `json:"settled_quality"`   // quality of holding away from the start of an over, 0..1; null with less than 5 s of it
	ComeBackKept    *float64   `json:"come_back_kept"`    // R over the settled quality: how much of the hold is there at once; null without either
	ComeBacks       []ComeBack `json:"come_backs"`
	ComeBackMedianS *float64   `json:"come_back_median_s"` // null where there was none

	HeldS  float64 `json:"held_s"`  // assigned time after finding oneself
	KeyedS float64 `json:"keyed_s"` // keyed and assigned time after finding oneself

	ShareWithin25Hz  float64 `json:"share_within_25hz"` // of held_s; unkeyed time counts as outside
	ShareWithin50Hz  float64 `json:"share_within_50hz"`
	ShareWithin100Hz float64 `json:"share_within_100hz"`
	RMSHz            float64 `json:"rms_hz"`  // over keyed_s
	BiasHz           float64 `json:"bias_hz"` // mean over keyed_s, + is too high

	LagS            *float64 `json:"lag_s"`             // slope of the offset on the drift rate; null where the rate hardly changed
	TopRatio        *float64 `json:"top_ratio"`         // RMS within a minute of closest approach over RMS elsewhere; null without both
	ReversalsPerMin float64  `json:"reversals_per_min"` // changes of the knob's direction
	TravelRatio     float64  `json:"travel_ratio"`      // knob travel over the travel that was needed
	WrongWay        int      `json:"wrong_way"`         // times the knob was turned away from zero beat

	OnOthersS       float64  `json:"on_others_s"`       // keyed within 2.4 kHz of a channel in use by others, at the bird
	AboveBeaconS    float64  `json:"above_beacon_s"`    // keyed and stronger than the beacon
	OutsideS        float64  `json:"outside_s"`         // keyed outside the passband
	LongestCallS    float64  `json:"longest_call_s"`    // longest unbroken call before found while the own return could not be heard
	OverHisS        float64  `json:"over_his_s"`        // keyed while it was the other station's over
	UnkeyedS        float64  `json:"unkeyed_s"`         // assigned after found, but not keyed
	ReceiveTravelHz float64  `json:"receive_travel_hz"` // travel of the receive dial
	StartErrorHz    float64  `json:"start_error_hz"`    // offset when keying was first permitted
	KeyedBeforeS    float64  `json:"keyed_before_found_s"`
	BlindS          float64  `json:"blind_s"`        // of it, seconds in which the own return could not be heard
	SweptKHz        float64  `json:"swept_khz"`      // of the uplink dial, turned with the key down within 2.4 kHz of a channel in use by others
	UnidentifiedS   float64  `json:"unidentified_s"` // keyed before found without having said the own call lately
	SearchPowerW    *float64 `json:"search_power_w"` // mean power while keyed before found; null where that never was
	HomeErrorHz     *float64 `json:"home_error_hz"`  // how far the receive dial ended from where it began, where it was the one to find oneself by; null otherwise
	Contacts        int      `json:"contacts"`
	AskedToMove     int      `json:"asked_to_move,omitempty"` // how often others asked the operator to go elsewhere
	LeadError       *float64 `json:"lead_error"`              // median share of the drift while listening that was left in, or turned too far
	BirdDriftHz     float64  `json:"bird_drift_hz"`           // how far the own signal wandered at the bird, with both dials in hand where the drill has such a part
	// Of the time that the own return stood above the noise, the share within
	// 100 Hz; null where it never did.
	AudibleWithin100Hz *float64       `json:"audible_share_within_100hz"`
	AntennaShare       *float64       `json:"antenna_share"`   // of the time that the hand antenna was within 15 degrees of the bird; null without one
	Exercise           *ExerciseMarks `json:"exercise"`        // null where the drill asks nothing
	Ready              *ReadyMarks    `json:"ready,omitempty"` // of a drill that begins at the radios; null for every other
	Stopped            bool           `json:"stopped"`         // the operator ended the run himself
}

// ComeBack is one return to zero beat after listening.
type ComeBack struct {
	Over    int      `json:"over"`
	Tick    sim.Tick `json:"tick"`     // start of the over
	StartHz float64  `json:"start_hz"` // offset just before it
	DriftHz float64  `json:"drift_hz"` // what the pass drifted while listening
	MovedHz float64  `json:"moved_hz"` // what the offset moved while listening: equal to drift_hz where no dial was turned
	RateHzS float64  `json:"rate_hz_s"`
	BackS   float64  `json:"back_s"` // until within 50 Hz for a second; 20 where it never got there
	Back    bool     `json:"back"`
	Quality float64  `json:"quality"` // of its first seconds, 0..1

	weight float64 // of the quality: less where the over was cut short
}

// quality is what one moment at offset e is worth: 1 at zero beat, 0.94 at 25 Hz,
// 0.8 at 50, 0.5 at 100, 0.1 at 300. Smooth, so that there is no edge to play for.
func quality(e float64) float64 {
	x := e / halfMarkHz
	return 1 / (1 + float64(x*x))
}

// backQuality is what one come-back of r seconds was worth by formula 1.
func backQuality(r float64) float64 { return math.Exp2(-math.Min(r, backCapS) / backHalfS) }

// round rounds to a thousandth, the place at which marks are compared.
func round(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return math.Round(x*1000) / 1000
}

func rounded(x float64) *float64 { x = round(x); return &x }
