package scoring

import (
	"fmt"
	"math"

	"driftdrill/sim"
)

// What a search for oneself is measured by: choices of this project, after the
// trade's manners (no published source).
const (
	identifiesS = 30.0 // for so long a call that was said stands for what is sent after it
	callWordsS  = 1.5  // so long an over holds the call, where the own voice says it
	byReceiveHz = 300.0
)

// couldBeHeard is the tick from which the time to find oneself counts: the first
// at or after sample first at which the own return would be heard. Who is found
// without ever being heard has not listened: his time counts from the beginning.
func (tr *Trace) couldBeHeard(first int) sim.Tick {
	for i := first; i < len(tr.Samples) && tr.Samples[i].Tick <= tr.FoundAt; i++ {
		if s := &tr.Samples[i]; !s.InPassband || s.SNRDB >= tr.Plan.AudibleDB {
			return s.Tick
		}
	}
	return tr.Samples[first].Tick
}

// measureSearch counts what the search costs others.
func (tr *Trace) measureSearch(m *Marks) {
	var blind, silent, keyed int
	var watts, swept float64
	called := sim.Tick(-math.MaxInt32)
	for i := range tr.Samples {
		s := &tr.Samples[i]
		if i > 0 && s.Keyed && tr.Samples[i-1].Keyed && s.NearestHz < onOthersHz {
			swept += math.Abs(float64(s.UplinkHz - tr.Samples[i-1].UplinkHz))
		}
		if !s.Keyed || tr.HasFound && s.Tick >= tr.FoundAt {
			continue
		}
		keyed++
		watts += s.PowerW
		blind += count(!s.hearable() || s.SNRDB < tr.Plan.AudibleDB)
		if s.Called || tr.Plan.SpeaksCall && tr.holdsCall(i) {
			called = s.Tick
		}
		silent += count((s.Tick - called).Seconds() > identifiesS)
	}
	m.BlindS, m.UnidentifiedS, m.SweptKHz = round(seconds(blind)), round(seconds(silent)), round(swept/1000)
	if watts > 0 {
		m.SearchPowerW = rounded(watts / float64(keyed))
	}
	m.HomeErrorHz = tr.homeError()
}

// holdsCall says whether the over that sample i lies in is long enough for the call.
func (tr *Trace) holdsCall(i int) bool {
	from, to, need := i, i, samplesIn(callWordsS)
	for from > 0 && tr.Samples[from-1].Keyed && i-from < need {
		from--
	}
	for to < len(tr.Samples) && tr.Samples[to].Keyed && to-from < need {
		to++
	}
	return to-from >= need
}

// homeError is how far the receive dial ended from where it began, where the
// operator found himself by turning it and the rule leaves it alone otherwise.
func (tr *Trace) homeError() *float64 {
	if !tr.HasFound || tr.Plan.Free || len(tr.Samples) == 0 {
		return nil
	}
	home, found := tr.Samples[0].ReceiveHz, tr.Samples[0].ReceiveHz
	last := &tr.Samples[len(tr.Samples)-1]
	for i := range tr.Samples {
		s := &tr.Samples[i]
		if s.Rule != sim.RuleUplink {
			return nil
		}
		if s.Tick <= tr.FoundAt {
			found = s.ReceiveHz
		}
	}
	if math.Abs(float64(found-home)) < byReceiveHz {
		return nil
	}
	return rounded(math.Abs(float64(last.ReceiveHz - home)))
}

// search looks for what a search does to others, and for what is left to do after it.
func (l *look) search() []Signature {
	m := l.m
	noCall := above(FaultNoCall, m.UnidentifiedS, noCallNamedS, saturating(noCallCost, m.UnidentifiedS, noCallCostS))
	noCall.Named = noCall.Named && l.tr.Plan.Others > 0 // where nobody is, nobody asks who it is
	blind := above(FaultBlind, m.BlindS, blindNamedS, saturating(blindCost, max(0, m.BlindS-blindNamedS), blindCostS))
	blind.Named = blind.Named && m.LongestCallS <= longCallNamedS // one long call is told as such
	home := Signature{Kind: FaultNotHome, Limit: notHomeNamedHz, Cost: notHomeCost}
	if m.HomeErrorHz != nil {
		home.Value, home.Named = *m.HomeErrorHz, *m.HomeErrorHz > notHomeNamedHz
	}
	return []Signature{noCall, blind, above(FaultSwept, m.SweptKHz, sweptNamedKHz, saturating(sweptCost, m.SweptKHz, sweptCostKHz)), home}
}

// searchWords puts them into words.
func (l *look) searchWords(s Signature) Advice {
	switch s.Kind {
	case FaultNoCall:
		return Advice{Headline: "Say who you are: your call, short, when you begin to search.",
			Detail: fmt.Sprintf("You sent %.0f s of carrier without your call, with others on the bird.", s.Value)}
	case FaultBlind:
		return Advice{Headline: "Nothing heard? Let go of the key and listen.",
			Detail: fmt.Sprintf("Before you found yourself you keyed for %.0f s in which nothing of your own could be heard. A second at a time is enough.", s.Value)}
	case FaultSwept:
		return Advice{Headline: "Let go of the key before you turn across others.",
			Detail: fmt.Sprintf("You swept %.1f kHz through others with the key down.", s.Value)}
	}
	return Advice{Headline: "Found? Bring both dials home, and note the difference.",
		Detail: fmt.Sprintf("You found yourself with the receive dial and left it %.1f kHz from the spot that you had chosen.", s.Value/1000)}
}
