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
func forGoal(a Advice, m Marks, tr *Trace, d *sim.Drill) Advice {
	for _, r := range GoalResults(m, d) {
		if r.Met {
			continue
		}
		if said, ok := searched(a, m, tr, d, r); ok {
			return said
		}
		switch {
		case r.Measure == "contacts" && (a.Cost < missedCost || a.Kind == FaultLoose || !notOfHolding(a.Kind) && tr.neverListens(m)):
			return contactWords(r, m, tr, d)
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
			if r.Measure == "comeback_s" && m.LeadError != nil && *m.LeadError <= ledEnough { // he does turn while he listens
				start, _ := newLook(&m, tr).returnFigures()
				a.Headline = "When you key, fix the pitch first, then speak."
				a.Detail += fmt.Sprintf(" You came back %.0f Hz %s (median).", math.Abs(start), highLow(start))
			}
			return a
		}
	}
	return a
}

// ledEnough is the share of the drift left in while listening up to which one has
// turned by feel, as the course asks for it.
const ledEnough = 0.5

// contactWords says why the contacts that a drill asks for were not made, as far
// as that can be seen.
func contactWords(r GoalResult, m Marks, tr *Trace, d *sim.Drill) Advice {
	made := fmt.Sprintf("You made %.0f of the %.0f contacts that the drill asks for", r.Value, r.Pass)
	longest := tr.longestOver()
	if m.OnOthersS > onOthersNamedS && (d.Situations.Roll || 2*m.OnOthersS <= m.KeyedS) {
		made += fmt.Sprintf(", and were keyed on top of others for %.0f s", m.OnOthersS)
	}
	switch off, side := tr.offWhileKeyed(); {
	case tr.neverListens(m):
		return Advice{FaultContacts, "Let go of the key, and listen for who answers.", fmt.Sprintf("You were keyed for %.0f s, nearly all the time. %s.", m.KeyedS, made), missedCost}
	case longest >= leastCallS && off > wholeHz && side != 0:
		return Advice{FaultBias, "Bring your own voice true, then call.", fmt.Sprintf("You called %.0f Hz too %s (median), where nobody can read you. %s.", off, highLow(side), made), missedCost}
	case longest > 0 && longest < leastCallS:
		return Advice{FaultContacts, "Call longer: two seconds and more, with your call.", fmt.Sprintf("Your longest over was %.1f s: nobody could make out who calls. %s.", longest, made), missedCost}
	case d.Situations.Roll:
		return Advice{FaultContacts, "Be silent until the control calls you; then your report, at once.", made + ".", missedCost}
	case m.OnOthersS > onOthersNamedS && 2*m.OnOthersS > m.KeyedS:
		return Advice{FaultOnOthers, "That channel is taken: go to a clear one, or to somebody who calls.",
			fmt.Sprintf("For %.0f of %.0f s you were keyed on top of others, who cannot answer you there. %s.", m.OnOthersS, m.KeyedS, made), missedCost}
	}
	return Advice{FaultContacts, "Call a station when it has finished; when it answers, give a report.", made + ".", missedCost}
}

// wholeHz is how far off others still understand a voice whole, as sim's stations do.
const wholeHz = 150.0

// neverListensShare of the time keyed leaves nobody room to answer; our choice.
const neverListensShare = 0.8

// neverListens says whether in a run without a plan the key hardly ever came up.
func (tr *Trace) neverListens(m Marks) bool {
	from, to := tr.held()
	return tr.Plan.Free && m.KeyedS > neverListensShare*seconds(to-from) && m.KeyedS > 30
}

// offWhileKeyed is the median of how far off he was while keyed after he had found himself,
// and its side: 0 where that was not most of the time one and the same.
func (tr *Trace) offWhileKeyed() (hz, side float64) {
	var size []float64
	high := 0
	from, to := tr.held()
	for i := from; i < to; i++ {
		if s := &tr.Samples[i]; s.Keyed {
			size = append(size, math.Abs(s.OffsetHz))
			high += count(s.OffsetHz > 0)
		}
	}
	switch {
	case 5*high > 4*len(size):
		side = 1
	case 5*high < len(size):
		side = -1
	}
	return median(size), side
}

// leastCallS is how long an over must be for others to take it for a call: that of
// sim's stations.
const leastCallS = 1.0

// longestOver is the longest that he kept the key down after he had found himself, s.
func (tr *Trace) longestOver() float64 {
	from, to := tr.held()
	for from < to && tr.Samples[from].Keyed { // with this over he found himself
		from++
	}
	n, longest := 0, 0
	for i := from; i < to; i++ {
		if tr.Samples[i].Keyed {
			n++
		} else {
			n = 0
		}
		longest = max(longest, n)
	}
	return seconds(longest)
}

// ofSearch are the kinds that name a missed mark of a drill of finding oneself.
var ofSearch = map[string]string{"found_s": FaultSlowFind, "keyed_before_found_s": FaultLongCall, "overlap_s": FaultOnOthers, "unidentified_s": FaultNoCall, "swept_khz": FaultSwept}

// searched names the mark of a search that was missed, where the line is about
// holding: what is asked there is to find oneself, and how one holds afterwards is
// asked by other drills. false = there is none.
func searched(a Advice, m Marks, tr *Trace, d *sim.Drill, r GoalResult) (Advice, bool) {
	kind := ofSearch[r.Measure]
	if d.Goal.Measure != "found_s" || kind == "" || !r.HasValue || notOfHolding(a.Kind) {
		return a, false
	}
	q, _ := QuantityOf(r.Measure)
	said := Advice{kind, q.How, capital(r.words()) + ".", missedCost}
	if kind == FaultSlowFind {
		said.Headline = newLook(&m, tr).slowFindWords(r.Value).Headline
	}
	return said, true
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
	case FaultLetGo, FaultOverLead, FaultTalkStill, FaultSlowReturn, FaultSilent, FaultTalksOver:
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
		if n := l.wrongInNoise(); 2*n > l.m.WrongWay {
			return Advice{Headline: "In a fade keep your rhythm: do not turn after noise.",
				Detail: fmt.Sprintf("You turned away from zero beat %.0f times, %d of them while there was little or nothing of your return to hear.", s.Value, n)}
		}
		return Advice{Headline: l.whichWay(),
			Detail: fmt.Sprintf("You turned away from zero beat %.0f times. Make the first notch a small one and hear which way it goes.", s.Value)}
	case FaultLost:
		if l.leftBehind() {
			return Advice{Headline: "Receive dial first, then bring your own voice after it.",
				Detail: fmt.Sprintf("You called for %.0f s more than %.0f Hz off: you had turned the receive dial elsewhere, and your uplink had not come along.", s.Value, lostHz)}
		}
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
	case FaultTalkStill:
		return Advice{Headline: fmt.Sprintf("Keep turning while you talk, too: %s.", Rhythm(step, l.talkRate())),
			Detail: fmt.Sprintf("In your own overs the knob made %.0f %% of the way that the pass asked, while you listened %.0f %%.", 100*max(0, s.Value), 100*l.turnedShare(sim.PhaseListen))}
	case FaultSlowReturn:
		return Advice{Headline: "When you key, fix the pitch first, then speak.",
			Detail: fmt.Sprintf("It took %.1f s (median) to be within 50 Hz after listening, from %.0f Hz %s.", s.Value, math.Abs(start), highLow(start))}
	case FaultSilent:
		return Advice{Headline: "Key for the whole of your over.",
			Detail: fmt.Sprintf("You were silent for %.0f %% of your own time (%.0f s); unkeyed time counts as nothing held.", 100*s.Value, s.Value*l.m.HeldS)}
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
		return l.slowFindWords(s.Value)
	}
	return l.notFoundWords()
}

// slowFindWords says why it took long to find oneself.
func (l *look) slowFindWords(took float64) Advice {
	heard := 0
	for i := max(l.tr.firstAssigned(), 0); i < l.from; i++ {
		s := &l.tr.Samples[i]
		heard += count(s.Keyed && s.heard(l.tr.Plan.AudibleDB))
	}
	silent := l.silentFirstS()
	switch at := fmt.Sprintf("you were %.0f Hz too %s at first.", math.Abs(l.m.StartErrorHz), highLow(l.m.StartErrorHz)); {
	case 2*silent > took:
		return Advice{Headline: "Key sooner: the pass does not wait.",
			Detail: fmt.Sprintf("For %.0f s you did not key at all; found after %.0f s.", silent, took)}
	case 2*seconds(heard) > took:
		return Advice{Headline: "Heard yourself? Turn at once, until it is true.",
			Detail: fmt.Sprintf("You could hear yourself for %.0f s before you held within %.0f Hz; %s", seconds(heard), foundWithinHz, at)}
	default:
		return Advice{Headline: "Search in steps: 0, +1, -1, +2, -2 kHz, a short call at each.",
			Detail: fmt.Sprintf("It took %.0f s to find yourself; %s", took, at)}
	}
}

// silentFirstS is how long he did not key at all before he found himself, though he might have, s.
func (l *look) silentFirstS() float64 {
	first := max(l.tr.firstAssigned(), 0)
	for i := first; i < l.from; i++ {
		if l.tr.Samples[i].Keyed {
			return seconds(i - first)
		}
	}
	return seconds(max(l.from-first, 0))
}

// talkRate is the mean drift rate in the own overs, Hz/s.
func (l *look) talkRate() float64 {
	sum, n := 0.0, 0
	for i := l.from; i < l.to; i++ {
		if s := &l.tr.Samples[i]; s.Assigned {
			sum += math.Abs(s.RateHzS)
			n++
		}
	}
	return sum / float64(max(n, 1))
}

// Going through zero beat so often, not farther off than this on either side, is
// turning too far; our choices.
const (
	swingsNamed = 3
	swingsHz    = 1700.0
)

// swings is how often the voice went through zero beat with the key
// down, from beyond what counts as found to beyond it on the other side.
func (l *look) swings() int {
	n, side := 0, 0.0
	for i := range l.tr.Samples {
		s := &l.tr.Samples[i]
		if !s.Keyed || !s.InPassband || math.Abs(s.OffsetHz) < foundWithinHz || math.Abs(s.OffsetHz) > swingsHz {
			continue
		}
		if way := math.Copysign(1, s.OffsetHz); way != side {
			n, side = n+count(side != 0), way
		}
	}
	return n
}

// tooSlow says whether he turned the right way all the time, and slower than the pass pulls.
func (l *look) tooSlow() bool {
	drift, turned := 0.0, 0.0
	for i := 1; i < len(l.tr.Samples); i++ {
		if a, b := &l.tr.Samples[i-1], &l.tr.Samples[i]; a.Keyed && b.Keyed {
			pulled, taken := turning(a, b)
			drift, turned = drift+pulled, turned+taken
		}
	}
	return drift*l.m.BiasHz > 0 && turned/drift > tooSlowShare
}

// tooSlowShare of the drift must have been turned to say that it was too slow; our choice.
const tooSlowShare = 0.4

// leftBehind says whether in a run without a plan most of what was called far off
// was called after the receive dial had gone elsewhere without the uplink.
func (l *look) leftBehind() bool {
	if !l.tr.Plan.Free {
		return false
	}
	var at int64 // of the receive dial when he last was true
	far, moved := 0, 0
	for i := l.from; i < l.to; i++ {
		s := &l.tr.Samples[i]
		switch off := math.Abs(s.OffsetHz); {
		case off <= foundWithinHz || i == l.from:
			at = s.ReceiveHz
		case s.Keyed && off > lostHz:
			far++
			moved += count(math.Abs(float64(s.ReceiveHz-at)) > off/2)
		}
	}
	return 2*moved > far
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
	case heard*2 > keyed && nearest >= foundWithinHz && l.tooSlow():
		return Advice{Headline: fmt.Sprintf("Turn faster, or take a larger step: %s.", Rhythm(l.step(), l.peak)),
			Detail: fmt.Sprintf("You turned the right way, slower than the pass pulls, and were %.0f Hz too %s on average.", math.Abs(l.m.BiasHz), highLow(l.m.BiasHz))}
	case heard*2 > keyed && nearest >= foundWithinHz:
		return Advice{Headline: l.turnWhich(l.m.BiasHz),
			Detail: fmt.Sprintf("You could hear yourself, %.0f Hz too %s on average, and did not bring it true.", math.Abs(l.m.BiasHz), highLow(l.m.BiasHz))}
	case l.swings() >= swingsNamed:
		return Advice{Headline: "You turn too far: turn half as much, then listen.",
			Detail: fmt.Sprintf("You went through zero beat %d times and never stayed within 100 Hz for two seconds.", l.swings())}
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
