package sim

import "strings"

// Marks that a drill's texts may hold for what depends on the bands and on the
// rule in force. TurningWords puts words in their place.
const (
	DialMark    = "{dial}"   // "uplink" or "receive dial": what the hand turns
	BigDialMark = "{Dial}"   // the same at the beginning of a sentence
	SideMark    = "{side}"   // "too high" or "too low": where the pass pulls one's voice
	FixMark     = "{fix}"    // "up" or "down": how that dial is turned against it
	PullMark    = "{pull}"   // "up" or "down": how the pass pulls one's voice
	ClimbsMark  = "{climbs}" // "climbs" or "sinks"
	HighMark    = "{high}"   // "up" or "down": how that dial is turned when one's voice is too high
	LowMark     = "{low}"    // the same when it is too low
)

var turningMarks = []string{DialMark, BigDialMark, SideMark, FixMark, PullMark, ClimbsMark, HighMark, LowMark}

// TurningWords fills the marks of a text for a transponder and a rule. With 70
// cm up and 2 m down, inverting, one's own voice climbs all pass; with the bands
// exchanged, or without inverting, it sinks (range rate rises all pass; common
// practice, no published source). Both receivers' and birds' sidebands are the
// convention's.
func TurningWords(text string, tr *Transponder, rule string) string {
	climbs := tr.Inverting && tr.UplinkLowHz > tr.DownlinkLowHz
	dial, high := "uplink", tr.Inverting
	if rule == "downlink" {
		dial, high = "receive dial", true
	}
	if tr.DownlinkSideband == "LSB" { // turns over what is heard
		climbs, high = !climbs, !high
	}
	pick := func(v bool, yes, no string) string {
		if v {
			return yes
		}
		return no
	}
	return strings.NewReplacer(
		DialMark, dial, BigDialMark, strings.ToUpper(dial[:1])+dial[1:],
		SideMark, pick(climbs, "too high", "too low"), PullMark, pick(climbs, "up", "down"), ClimbsMark, pick(climbs, "climbs", "sinks"),
		FixMark, pick(climbs == high, "up", "down"), HighMark, pick(high, "up", "down"), LowMark, pick(high, "down", "up"),
	).Replace(text)
}

// RuleFor is the rule that a drill has on a transponder: its own or, where it
// names none, the trade's.
func (d *Drill) RuleFor(tr *Transponder) string {
	if d.Rule == "" {
		return tr.HandRule()
	}
	return d.Rule
}

// settleRule puts the rule by the bands where the drill names none, and words
// where its texts leave them to the rule.
func (s *Setup) settleRule() {
	d, tr := &s.Drill, s.transponder()
	d.Rule = d.RuleFor(tr)
	d.Brief, d.Coach = TurningWords(d.Brief, tr, d.Rule), TurningWords(d.Coach, tr, d.Rule)
}
