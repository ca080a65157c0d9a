package scoring

import (
	"fmt"
	"math"
	"strings"
)

// Unit is what a measure is counted in.
type Unit string

// The units of measures.
const (
	UnitNone  Unit = ""      // a plain number
	UnitShare Unit = "%"     // 0..1, told in per cent
	UnitHz    Unit = "Hz"    // hertz
	UnitS     Unit = "s"     // seconds
	UnitTimes Unit = "times" // a ratio
	UnitKHz   Unit = "kHz"   // kilohertz
	UnitW     Unit = "W"     // watts
)

// per is what a value is multiplied by before it is told.
func (u Unit) per() float64 {
	if u == UnitShare {
		return 100
	}
	return 1
}

// digits is how many stand behind the point.
func (u Unit) digits() int {
	if u == UnitS || u == UnitTimes || u == UnitKHz || u == UnitW {
		return 1
	}
	return 0
}

// Text writes a value for people, with its unit: "62 %", "48 Hz", "3.4 s", "1.8".
func (u Unit) Text(v float64) string {
	text := fmt.Sprintf("%.*f", u.digits(), v*u.per())
	switch u {
	case UnitShare, UnitHz, UnitS, UnitKHz, UnitW:
		text += " " + string(u)
	}
	return text
}

// Quantity is one measure: one thing that a drill's goal can ask for. Its name is one of
// sim.Measures, its value one of Marks.
type Quantity struct {
	Name string
	// Words are a form for fmt in which %v stands for the value without its unit.
	Words string
	// Subject says what it is where there is no value: "X: nothing to measure".
	Subject string
	Unit    Unit
	Less    bool   // less is better, and a pass mark the most allowed
	Axis    int    // the skill that a drill with this main mark trains: one of the Axis constants
	How     string // what to do to reach it, where nothing else stands out; "" = nothing in particular
	value   func(m *Marks) (float64, bool)
}

// measures is the one table of measures, in the order of sim.Measures.
var measures = []Quantity{
	{"hold_index", "hold index %v", "hold index", UnitNone, false, AxisHold, "", func(m *Marks) (float64, bool) { return m.HoldIndex, true }},
	{"share_within_25hz", "%v %% within 25 Hz", "within 25 Hz", UnitShare, false, AxisEar, "Listen closer: 25 Hz is for the ear.", held(func(m *Marks) float64 { return m.ShareWithin25Hz })},
	{"share_within_50hz", "%v %% within 50 Hz", "within 50 Hz", UnitShare, false, AxisHold, "", held(func(m *Marks) float64 { return m.ShareWithin50Hz })},
	{"share_within_100hz", "%v %% within 100 Hz", "within 100 Hz", UnitShare, false, AxisHold, "", held(func(m *Marks) float64 { return m.ShareWithin100Hz })},
	{"rms_hz", "off by %v Hz RMS", "how far off", UnitHz, true, AxisHold, "", held(func(m *Marks) float64 { return m.RMSHz })},
	{"abs_bias_hz", "off by %v Hz on average", "how far off on average", UnitHz, true, AxisEar, "Play the right pitch before each over until the two agree.", held(func(m *Marks) float64 { return math.Abs(m.BiasHz) })},
	{"top_ratio", "%v times as far off at the top", "the top against the rest", UnitTimes, true, AxisHold, "Rehearse the rhythm of the top before it comes.", pointer(func(m *Marks) *float64 { return m.TopRatio })},
	{"comeback_s", "back in %v s", "coming back", UnitS, true, AxisComeBack, "While the other talks, keep turning.", pointer(func(m *Marks) *float64 { return m.ComeBackMedianS })},
	{"lead_error", "%v %% of the drift left while listening", "the drift left while listening", UnitShare, true, AxisComeBack, "While the other talks, keep turning.", pointer(func(m *Marks) *float64 { return m.LeadError })},
	{"found_s", "found after %v s", "finding yourself", UnitS, true, AxisFind, "Search in steps: 0, +1, -1, +2, -2 kHz, a short call at each.", pointer(func(m *Marks) *float64 { return m.FoundS })},
	{"keyed_before_found_s", "keyed for %v s before", "keying before finding yourself", UnitS, true, AxisFind, "Call short while you look for yourself.", func(m *Marks) (float64, bool) { return m.KeyedBeforeS, m.FoundS != nil }},
	{"overlap_s", "%v s on others", "time on others", UnitS, true, AxisDiscipline, "Key short, and move between the others' overs.", func(m *Marks) (float64, bool) { return m.OnOthersS, true }},
	{"travel_ratio", "turned %v times as far as needed", "how far you turned", UnitTimes, true, AxisHold, "Turn less, and listen more.", held(func(m *Marks) float64 { return m.TravelRatio })},
	{"contacts", "contacts: %v", "contacts", UnitNone, false, AxisDiscipline, "", func(m *Marks) (float64, bool) { return float64(m.Contacts), true }},
	{"correct_share", "%v %% right", "right answers", UnitShare, false, AxisEar, "", asked(func(x *ExerciseMarks) *float64 { return &x.CorrectShare })},
	{"correct_share_25hz", "%v %% right at 25 Hz", "right answers at 25 Hz", UnitShare, false, AxisEar, "", asked(func(x *ExerciseMarks) *float64 { return x.Correct25Hz })},
	{"correct_share_50hz", "%v %% right at 50 Hz", "right answers at 50 Hz", UnitShare, false, AxisEar, "", asked(func(x *ExerciseMarks) *float64 { return x.Correct50Hz })},
	{"first_move_share", "%v %% of first turns right", "first turns", UnitShare, false, AxisEar, "", asked(func(x *ExerciseMarks) *float64 { return &x.CorrectShare })},
	{"settle_s", "settled in %v s", "time to settle", UnitS, true, AxisEar, "", asked(func(x *ExerciseMarks) *float64 { return x.SettleS })},
	{"bird_drift_hz", "%v Hz of wandering at the satellite", "wandering at the satellite", UnitHz, true, AxisHold, "", held(func(m *Marks) float64 { return m.BirdDriftHz })},
	{"antenna_share", "antenna %v %% on the bird", "antenna on the bird", UnitShare, false, AxisHold, "Move the antenna in the pauses, a little and often.", pointer(func(m *Marks) *float64 { return m.AntennaShare })},
	{"audible_share_within_100hz", "%v %% within 100 Hz while you could be heard", "within 100 Hz while you could be heard", UnitShare, false, AxisHold, "",
		pointer(func(m *Marks) *float64 { return m.AudibleWithin100Hz })},
	{"swept_khz", "%v kHz swept through others with the key down", "sweeping through others", UnitKHz, true, AxisDiscipline, "Let go of the key before you turn across others.",
		func(m *Marks) (float64, bool) { return m.SweptKHz, true }},
	{"unidentified_s", "%v s on the air without your call", "keying without your call", UnitS, true, AxisDiscipline, "Say your call when you begin to search.",
		func(m *Marks) (float64, bool) { return m.UnidentifiedS, m.FoundS != nil }},
	{"search_power_w", "searched with %v W", "power while searching", UnitW, true, AxisDiscipline, "Search with little power; it goes up last.", pointer(func(m *Marks) *float64 { return m.SearchPowerW })},
	{"ready_share", "%v %% of the settings right when the bird came up", "settings right when the bird came up", UnitShare, false, AxisFind, "Down the card, line by line, before the bird comes up.",
		pointer(atRadios(func(r *ReadyMarks) *float64 { return &r.Share }))},
	{"first_return_s", "own voice back %v s after the bird came up", "your own voice's first return", UnitS, true, AxisFind, "Key as soon as the bird is up.",
		pointer(atRadios(func(r *ReadyMarks) *float64 { return r.FirstReturnS }))},
}

// atRadios is a mark of a drill that begins at the radios.
func atRadios(of func(*ReadyMarks) *float64) func(*Marks) *float64 {
	return func(m *Marks) *float64 {
		if m.Ready == nil {
			return nil
		}
		return of(m.Ready)
	}
}

// held is a measure that a run has where anything was keyed after finding oneself.
func held(of func(*Marks) float64) func(*Marks) (float64, bool) {
	return func(m *Marks) (float64, bool) { return of(m), m.KeyedS > 0 }
}

// pointer is a measure that a run has where its mark is there.
func pointer(of func(*Marks) *float64) func(*Marks) (float64, bool) {
	return func(m *Marks) (float64, bool) {
		if x := of(m); x != nil {
			return *x, true
		}
		return 0, false
	}
}

// asked is a measure of an exercise that asks.
func asked(of func(*ExerciseMarks) *float64) func(*Marks) (float64, bool) {
	return pointer(func(m *Marks) *float64 {
		if m.Exercise == nil {
			return nil
		}
		return of(m.Exercise)
	})
}

// Quantities returns all measures, in the order of sim.Measures.
func Quantities() []Quantity { return append([]Quantity(nil), measures...) }

// QuantityOf returns the measure of a name; false where there is none.
func QuantityOf(name string) (Quantity, bool) {
	for _, m := range measures {
		if m.Name == name {
			return m, true
		}
	}
	return Quantity{Name: name, Words: strings.ReplaceAll(name, "_", " ") + " %v", Subject: strings.ReplaceAll(name, "_", " "), Axis: AxisHold}, false
}

// Value returns what a run made of the measure. It is false where the run has
// no such value: it never got as far, or the drill does not ask for it.
func (q Quantity) Value(m *Marks) (float64, bool) {
	if q.value == nil {
		return 0, false
	}
	return q.value(m)
}

// Say puts a value into plain words: "62 % within 50 Hz".
func (q Quantity) Say(v float64) string {
	return fmt.Sprintf(strings.ReplaceAll(q.Words, "%v", "%s"), fmt.Sprintf("%.*f", q.Unit.digits(), v*q.Unit.per()))
}

// Reached says whether a value reaches a pass mark.
func (q Quantity) Reached(v, pass float64) bool {
	if q.Less {
		return v <= pass
	}
	return v >= pass
}

// Share is a value as a share of the pass mark, 0 to 2, 1 and more having reached it.
func (q Quantity) Share(v, pass float64) float64 {
	if q.Less {
		v, pass = pass, v
	}
	if pass <= 0 {
		return 2
	}
	return min(max(v/pass, 0), 2)
}

// shy rounds a value that missed its mark to the digits that are told, away
// from the mark, so that it does not read as if it had reached it.
func (q Quantity) shy(v float64) float64 {
	scale := math.Pow10(q.Unit.digits()) * q.Unit.per()
	if q.Less {
		return math.Ceil(v*scale-1e-9) / scale
	}
	return math.Floor(v*scale+1e-9) / scale
}
