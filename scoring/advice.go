package scoring

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"driftdrill/sim"
)

// Advice is what to change next time: one line, chosen by what cost most.
type Advice struct {
	Kind     string  `json:"kind"`     // one of the Fault and Note constants
	Headline string  `json:"headline"` // what to do
	Detail   string  `json:"detail"`   // what this run showed, with its numbers
	Cost     float64 `json:"cost"`     // points of the hold index, or what it is taken to be worth beside it
}

// adviseOn returns the one line for a run: the costliest named fault, or a
// note that nothing stands out.
func adviseOn(m Marks, tr *Trace) Advice {
	if m.Exercise != nil {
		return exerciseAdvice(m.Exercise, tr)
	}
	if m.Ready != nil {
		return readyAdvice(m.Ready)
	}
	l := newLook(&m, tr)
	for _, s := range Signatures(m, tr) {
		if s.Named {
			a := l.words(s)
			a.Kind, a.Cost = s.Kind, s.Cost
			return a
		}
	}
	if !slices.ContainsFunc(tr.Samples, func(s Sample) bool { return s.Keyed }) {
		return Advice{Kind: FaultSilent, Headline: "Key, and hear yourself.", Detail: "You were never on the air in this run: there is nothing to hold, and nothing to measure."}
	}
	a := l.clean()
	a.Kind = NoteClean
	return a
}

// forGoal takes what a missed goal lacks in the place of a line that says less:
// of "clean", of a note, and of whatever costs little, or has no cause, beside a
// contact that was not made or a dial that was left alone.
func forGoal(a Advice, m Marks, d *sim.Drill) Advice {
	for _, r := range GoalResults(m, d) {
		if r.Met {
			continue
		}
		if said, ok := searched(a, d, r); ok {
			return said
		}
		switch {
		case r.Measure == "contacts" && (a.Cost < missedCost || a.Kind == FaultLoose):
			return Advice{FaultContacts, "Call a station when it has finished; when it answers, give a report.",
				fmt.Sprintf("You made %.0f of the %.0f contacts that the drill asks for.", r.Value, r.Pass), missedCost}
		case r.Measure == "bird_drift_hz" && r.HasValue && a.Cost < missedCost:
			return Advice{FaultCard, "With both dials: the receive dial after its card, then the uplink by ear.",
				fmt.Sprintf("At the satellite you moved by %.0f Hz; at most %.0f are asked.", r.Value, r.Pass), missedCost}
		case a.Kind == NoteClean || a.Kind == NoteKnob:
			q, _ := QuantityOf(r.Measure)
			a.Headline = "Not yet: " + r.words() + "."
			if how := q.How; how != "" {
				a.Headline = how
			}
			a.Detail = "Nothing else stands out. " + capital(r.words()) + "."
			return a
		}
	}
	return a
}

// ofSearch are the kinds that name a missed mark of a drill of finding oneself.
var ofSearch = map[string]string{"found_s": FaultSlowFind, "keyed_before_found_s": FaultLongCall, "overlap_s": FaultOnOthers, "unidentified_s": FaultNoCall, "swept_khz": FaultSwept}

// searched names the mark of a search that was missed, where the line is about
// holding: what is asked there is to find oneself, and how one holds afterwards is
// asked by other drills. false = there is none.
func searched(a Advice, d *sim.Drill, r GoalResult) (Advice, bool) {
	kind := ofSearch[r.Measure]
	if d.Goal.Measure != "found_s" || kind == "" || !r.HasValue || notOfHolding(a.Kind) {
		return a, false
	}
	q, _ := QuantityOf(r.Measure)
	return Advice{kind, q.How, capital(r.words()) + ".", missedCost}, true
}

// returned takes a fault of coming back, where a drill asks above all how one comes
// back and that was missed, in the place of one of holding that cost more, but
// not more than twice as much: our choice. false = there is none.
func returned(a Advice, m Marks, tr *Trace, d *sim.Drill) (Advice, bool) {
	if d.Goal.Measure != "comeback_s" || notOfHolding(a.Kind) {
		return a, false
	}
	for _, s := range Signatures(m, tr) {
		if s.Named && (s.Kind == FaultLetGo || s.Kind == FaultOverLead) && s.Kind != a.Kind && 2*s.Cost >= a.Cost {
			said := newLook(&m, tr).words(s)
			said.Kind, said.Cost = s.Kind, s.Cost
			return said, true
		}
	}
	return a, false
}

// missedCost is what a missed contact, or a dial left alone, is taken to cost.
const missedCost = 200.0

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// words puts a signature into words.
func (l *look) words(s Signature) Advice {
	switch s.Kind {
	case FaultLag, FaultAhead, FaultFreeze, FaultHunting, FaultBias, FaultWrongWay, FaultLost, FaultLoose, NoteKnob, NoteElements:
		return l.handWords(s)
	case FaultLetGo, FaultOverLead, FaultSlowReturn, FaultSilent, FaultTalksOver:
		return l.overWords(s)
	case FaultNoCall, FaultBlind, FaultSwept, FaultNotHome:
		return l.searchWords(s)
	}
	return l.airWords(s)
}

func (l *look) handWords(s Signature) Advice {
	step := l.step()
	switch s.Kind {
	case FaultLag:
		if l.flat() {
			return Advice{Headline: "Turn earlier, and keep turning.",
				Detail: fmt.Sprintf("You held %.0f Hz too %s, the side to which this pass pulls at %.0f Hz/s: %s keeps up with it.", math.Abs(l.mean), highLow(l.mean), l.peak, Rhythm(step, l.peak))}
		}
		return Advice{Headline: "Turn before it sounds wrong.",
			Detail: fmt.Sprintf("Your hand follows %.1f s late. At the top keep %s going.", s.Value, Rhythm(step, l.peak))}
	case FaultFreeze:
		if l.handStopped() {
			return Advice{Headline: fmt.Sprintf("Keep turning at the top: a %d Hz notch every %s.", step, every(step, l.peak)),
				Detail: fmt.Sprintf("At closest approach your hand stopped, where the pass drifts %.0f Hz/s.", l.peak)}
		}
		return Advice{Headline: fmt.Sprintf("At the top, a %d Hz notch every %s.", step, every(step, l.peak)),
			Detail: fmt.Sprintf("Within a minute of closest approach you were off by %.1f times as much as elsewhere; the pass drifts %.0f Hz/s there.", s.Value, l.peak)}
	case FaultHunting:
		return Advice{Headline: "Turn, then wait half a second and listen.",
			Detail: fmt.Sprintf("The knob travelled %.1f times what the pass asked and changed direction %.0f times a minute. A smaller step helps; let 30 Hz be.", s.Value, l.m.ReversalsPerMin)}
	case FaultBias:
		return Advice{Headline: fmt.Sprintf("Your right pitch is %.0f Hz %s.", math.Abs(s.Value), lowerOrHigher(s.Value)),
			Detail: fmt.Sprintf("You held steadily %.0f Hz too %s. Play the right pitch before each over until the two agree.", math.Abs(s.Value), highLow(s.Value))}
	case FaultAhead:
		return Advice{Headline: "You run ahead of the pass: turn a little less.",
			Detail: fmt.Sprintf("You held %.0f Hz too %s, while the pass pulls the other way. Play the right pitch to hear whether it is that.", math.Abs(s.Value), highLow(s.Value))}
	case FaultWrongWay:
		return Advice{Headline: l.whichWay(),
			Detail: fmt.Sprintf("You turned away from zero beat %.0f times. Make the first notch a small one and hear which way it goes.", s.Value)}
	case FaultLost:
		return Advice{Headline: "Lost? Turn on the way the pass pulls, in sweeps, until you hear yourself.",
			Detail: fmt.Sprintf("You called for %.0f s more than %.0f Hz off. While nothing is heard the pass goes on drifting, up to %.0f Hz/s.", s.Value, lostHz, l.peak)}
	case NoteElements:
		return Advice{Headline: fmt.Sprintf("Not your hand: elements or clock are %.1f s off.", math.Abs(s.Value)),
			Detail: fmt.Sprintf("The predicted dial was %s, up to %.0f Hz wrong at the top. Get fresh elements, or set the clock.", earlyLate(s.Value), math.Abs(s.Value)*l.peak)}
	case NoteKnob:
		return Advice{Headline: fmt.Sprintf("The %d Hz step is the limit now; try a finer one.", step),
			Detail: fmt.Sprintf("You were off by %.0f Hz RMS; a %d Hz step cannot do better than %.0f Hz.", s.Value, step, float64(step)/math.Sqrt(12))}
	}
	return Advice{Headline: "Listen closer: move as soon as the voice is not your own.",
		Detail: fmt.Sprintf("Off by %.0f Hz RMS, without one cause that stands out.", s.Value)}
}

func (l *look) overWords(s Signature) Advice {
	step := l.step()
	start, rate := l.returnFigures()
	switch s.Kind {
	case FaultLetGo:
		return Advice{Headline: fmt.Sprintf("While the other talks, %s.", Rhythm(step, rate)),
			Detail: fmt.Sprintf("You came back %.0f Hz %s after listening (median): the pass drifted and the knob stood still. It drifts up to %.0f Hz/s.", math.Abs(start), highLow(start), l.peak)}
	case FaultOverLead:
		return Advice{Headline: "While the other talks, turn less.",
			Detail: fmt.Sprintf("After %.0f %% of the listening times you had turned past zero beat. One %d Hz notch every %s was enough.", 100*s.Value, step, every(step, rate))}
	case FaultSlowReturn:
		return Advice{Headline: "When you key, fix the pitch first, then speak.",
			Detail: fmt.Sprintf("It took %.1f s (median) to be within 50 Hz after listening, from %.0f Hz %s.", s.Value, math.Abs(start), highLow(start))}
	case FaultSilent:
		return Advice{Headline: "Key for the whole of your over.",
			Detail: fmt.Sprintf("You were silent for %.0f %% of your own time (%.0f s); unkeyed time counts as nothing held.", 100*s.Value, l.m.UnkeyedS)}
	}
	return Advice{Headline: "Let go of the key when the other talks.",
		Detail: fmt.Sprintf("You were keyed for %.0f s of the other station's overs.", s.Value)}
}

func (l *look) airWords(s Signature) Advice {
	switch s.Kind {
	case FaultOnOthers:
		return Advice{Headline: "Key short, and move between the others' overs.",
			Detail: fmt.Sprintf("You were keyed on top of another station for %.0f s.", s.Value)}
	case FaultLongCall:
		return Advice{Headline: "Call short, then listen.",
			Detail: fmt.Sprintf("Before you could hear yourself, one call went on for %.0f s without a break.", s.Value)}
	case FaultStill:
		return Advice{Headline: l.turnWhich(s.Value),
			Detail: fmt.Sprintf("You were %.0f Hz too %s on average, and never turned a dial.", math.Abs(s.Value), highLow(s.Value))}
	case NoteWeak:
		return Advice{Headline: "Not your hand: your return stood below the noise.",
			Detail: "There was little or nothing to hear of it, wherever the dial stood. Take a pass with a higher top."}
	case FaultAim:
		return Advice{Headline: "Aim first: the antenna pointed beside the bird.",
			Detail: fmt.Sprintf("It was %.0f degrees off on the average, and your return stood below the noise. Swing it until the beacon is loudest, then key.", l.besideDeg())}
	case FaultPower:
		return Advice{Headline: "Less power: stay below the beacon.",
			Detail: fmt.Sprintf("You were stronger than the beacon for %.0f s, and took that power from everybody else.", s.Value)}
	case FaultOutside:
		return Advice{Headline: "Check the dial against the passband's edges.",
			Detail: fmt.Sprintf("For %.0f s you were keyed outside the passband, where nothing comes back.", s.Value)}
	case FaultChasing:
		if l.tr.Plan.Rule == "uplink" {
			return Advice{Headline: "The receive dial follows the other voice, never your own.",
				Detail: fmt.Sprintf("It moved %.0f Hz without another voice to tune to. By this rule the uplink follows the pass.", s.Value)}
		}
		return Advice{Headline: fmt.Sprintf("Leave the %s dial alone.", l.otherDial()),
			Detail: fmt.Sprintf("It moved %.0f Hz in all. By this rule only the other dial follows the pass.", s.Value)}
	case FaultSlowFind:
		return Advice{Headline: "Search in steps: 0, +1, -1, +2, -2 kHz, a short call at each.",
			Detail: fmt.Sprintf("It took %.0f s to find yourself; you were %.0f Hz too %s at first.", s.Value, math.Abs(l.m.StartErrorHz), highLow(l.m.StartErrorHz))}
	}
	return l.notFoundWords()
}

// notFoundWords says why somebody never found himself.
func (l *look) notFoundWords() Advice {
	keyed, outside, heard := 0, 0, 0
	nearest := math.Inf(1)
	for i := range l.tr.Samples {
		if s := &l.tr.Samples[i]; s.Keyed {
			keyed++
			outside += count(!s.InPassband)
			heard += count(s.hearable())
			nearest = min(nearest, math.Abs(s.OffsetHz))
		}
	}
	switch {
	case keyed == 0:
		return Advice{Headline: "Key, and listen for what comes and goes with the key.", Detail: "You never transmitted, so nothing came back."}
	case outside*2 > keyed:
		return Advice{Headline: "Check the dial against the passband's edges.", Detail: "Most of your calls lay outside the passband, where nothing comes back."}
	case heard*2 > keyed && nearest >= foundWithinHz:
		return Advice{Headline: l.turnWhich(l.m.BiasHz),
			Detail: fmt.Sprintf("You could hear yourself, %.0f Hz too %s on average, and did not bring it true.", math.Abs(l.m.BiasHz), highLow(l.m.BiasHz))}
	case nearest < foundWithinHz:
		return Advice{Headline: "Stay on the tone when you hear it.",
			Detail: fmt.Sprintf("You came as near as %.0f Hz, but did not stay within 100 Hz for two seconds.", nearest)}
	}
	return Advice{Headline: "Search wider, in steps of 1 kHz, a short call at each.",
		Detail: fmt.Sprintf("You never found yourself; you were %.0f Hz too %s at first and came no nearer than %.0f Hz.", math.Abs(l.m.StartErrorHz), highLow(l.m.StartErrorHz), nearest)}
}

// clean says what was good, with the one figure that is left to improve.
func (l *look) clean() Advice {
	if l.m.ComeBackMedianS != nil && *l.m.ComeBackMedianS > 1 {
		return Advice{Headline: "Clean. Now come back faster.",
			Detail: fmt.Sprintf("Nothing stands out. You were off by %.0f Hz RMS and back %.1f s after listening (median).", l.m.RMSHz, *l.m.ComeBackMedianS)}
	}
	return Advice{Headline: "Clean. Take a harder pass.",
		Detail: fmt.Sprintf("Nothing stands out. You were off by %.0f Hz RMS where the pass drifts up to %.0f Hz/s.", l.m.RMSHz, l.peak)}
}

// step is the step most recently used while holding.
func (l *look) step() int {
	for i := l.to - 1; i >= l.from; i-- {
		if s := &l.tr.Samples[i]; s.Assigned && s.StepHz > 0 {
			return s.StepHz
		}
	}
	return 20
}

// returnFigures are the medians, over all come-backs, of the offset at the start
// of an over and of the drift rate there.
func (l *look) returnFigures() (startHz, rateHzS float64) {
	var start, rate []float64
	for _, b := range l.m.ComeBacks {
		start = append(start, b.StartHz)
		rate = append(rate, math.Abs(b.RateHzS))
	}
	return median(start), median(rate)
}

// turnWhich says which way to turn for a voice that is off by so much.
func (l *look) turnWhich(hz float64) string {
	dial, up := "uplink", hz > 0
	if l.tr.Plan.Rule == "downlink" {
		dial = "receive dial"
	} else if l.tr.Plan.NonInverting {
		up = !up
	}
	if up {
		return "Turn the " + dial + " up."
	}
	return "Turn the " + dial + " down."
}

// whichWay is the rule to teach, for this bird and dial.
func (l *look) whichWay() string {
	if l.tr.Plan.Rule == "downlink" {
		return "Too high: receive dial up. Too low: receive dial down."
	}
	if l.tr.Plan.NonInverting {
		return "Too high: uplink down. Too low: uplink up."
	}
	return "Too high: uplink up. Too low: uplink down."
}

func (l *look) otherDial() string {
	if l.tr.Plan.Rule == "downlink" {
		return "uplink"
	}
	return "receive"
}

// Rhythm says how often to turn the knob by one notch, Hz, at a drift rate,
// Hz/s of either sign: "one 20 Hz notch every 0.6 s".
func Rhythm(stepHz int, rateHzS float64) string {
	return fmt.Sprintf("one %d Hz notch every %s", stepHz, every(stepHz, math.Abs(rateHzS)))
}

// every says how far apart notches are at a drift rate.
func every(step int, rate float64) string {
	if rate < 0.1 {
		return "now and then"
	}
	s := float64(step) / rate
	if s >= 10 {
		return fmt.Sprintf("%.0f s", s)
	}
	return fmt.Sprintf("%.1f s", s)
}

func highLow(x float64) string {
	if x < 0 {
		return "low"
	}
	return "high"
}

func lowerOrHigher(bias float64) string {
	if bias < 0 {
		return "higher"
	}
	return "lower"
}

func earlyLate(x float64) string {
	if x < 0 {
		return "late"
	}
	return "early"
}
