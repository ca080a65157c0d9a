package club

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math"
	"strings"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// judged is a sheet that holds by itself: what remains is whose it is and when
// it came.
type judged struct {
	sheet   *sim.Sheet
	marks   scoring.Marks
	advice  scoring.Advice
	goalMet bool
	topRMS  float64 // Hz, held within a minute of closest approach; 0 = nothing held there
	acts    []act
	print   [sha256.Size]byte // the same for the same run, whoever sends it
}

// Refusal says why a sheet is not taken.
type Refusal struct {
	Reason string // one sentence, for the member
}

// Error implements error.
func (r *Refusal) Error() string { return r.Reason }

func refuse(format string, args ...any) *Refusal { return &Refusal{fmt.Sprintf(format, args...)} }

// judge replays a sheet and marks it. asked is what the heat flies, stepFree
// whether the drill leaves the step to the member. What does not hold is
// refused with the first reason found, the cheap ones first.
func judge(body []byte, asked *sim.Setup, stepFree bool, class *Class) (*judged, *Refusal) {
	sh, err := readSheet(body)
	if err != nil {
		return nil, refuse("This is no run sheet: %v.", err)
	}
	for _, check := range []func() *Refusal{
		func() *Refusal { return wholeSheet(sh) },
		func() *Refusal { return sameRun(&sh.Setup, asked, stepFree) },
		func() *Refusal { return inClass(sh, class) },
		func() *Refusal { return byHand(sh.Commands) },
	} {
		if r := check(); r != nil {
			return nil, r
		}
	}
	return replay(sh)
}

// wholeSheet demands the end and every second's hash.
func wholeSheet(sh *sim.Sheet) *Refusal {
	switch {
	case sh.Setup.Hand != "":
		return refuse("A simulated hand flew this run (%s).", sh.Setup.Hand)
	case sh.Cut || !sh.Ended || sh.EndCut:
		return refuse("The sheet was cut short at %s: its last line is missing.", clockOf(sh.End))
	case len(sh.Hashes) != int(sh.End/sim.TicksPerSecond):
		return refuse("The sheet has the states of %d seconds; its run has %d.", len(sh.Hashes), sh.End/sim.TicksPerSecond)
	}
	for _, c := range sh.Commands {
		if c.Kind == sim.CommandStop {
			return refuse("The run was ended early, at %s of %s: only whole runs count tonight.", clockOf(c.Tick), clockOf(sh.Setup.Length))
		}
		if c.Tick >= sh.End {
			return refuse("The sheet has a command at %s, after its own end.", clockOf(c.Tick))
		}
	}
	return nil
}

// inClass demands that the run was flown as its class says.
func inClass(sh *sim.Sheet, class *Class) *Refusal {
	if !class.allows(sh.Setup.Drill.Aids) {
		return refuse("This run was flown with aids that the class %q does not have.", class.Name)
	}
	held := false
	for _, c := range sh.Commands {
		if c.Kind == sim.CommandAid && c.Value != 0 && !class.Aids.Ribbon {
			return refuse("At %s the run had help that the class %q does not have: %s.", clockOf(c.Tick), class.Name, strings.Join(sim.AidWords(c.Value), ", "))
		}
		if !class.OneHand {
			continue
		}
		switch c.Kind {
		case sim.CommandKey:
			held = c.Value != 0
		case sim.CommandLatch:
			held = false
		case sim.CommandKnob, sim.CommandUplink, sim.CommandReceive, sim.CommandTuneUplink, sim.CommandTuneReceive, sim.CommandSetUplink, sim.CommandSetReceive:
			if held {
				return refuse("At %s the knob was turned while the key was held down: in the class %q the hand does one or the other.", clockOf(c.Tick), class.Name)
			}
		}
	}
	return nil
}

// What a hand can do, each within one second: choices of this project, some
// way above what a wheel that spins freely (about 100 notches), a key that
// repeats (33) or a paddle at 30 words a minute (50 edges) gives.
const (
	maxNotches   = 400 // notches of all dials together
	maxOnce      = 100 // notches in one command
	maxTurns     = 14  // changes of the knob's direction
	maxKeyEdges  = 60
	maxOther     = 400 // all other commands: a hand antenna moves smoothly
	leastActions = 2   // of a run that somebody flew
)

// byHand refuses commands that come faster than a hand gives them.
func byHand(commands []sim.Command) *Refusal {
	var notches, turns, edges, others window
	var radio radioDials
	direction, acted := int64(0), 0
	for _, c := range commands {
		switch c.Kind {
		case sim.CommandKnob, sim.CommandUplink, sim.CommandReceive, sim.CommandTuneUplink, sim.CommandTuneReceive, sim.CommandSetUplink, sim.CommandSetReceive:
			acted++
			n := radio.notches(&c)
			if n == 0 {
				continue
			}
			if n > maxOnce || n < -maxOnce {
				return refuse("At %s the knob turned by %d notches at once; no hand does.", clockOf(c.Tick), n)
			}
			if notches.add(c.Tick, abs(n)) > maxNotches {
				return refuse("Around %s the knob turned by more than %d notches in a second; no hand does.", clockOf(c.Tick), maxNotches)
			}
			if n*direction < 0 && turns.add(c.Tick, 1) > maxTurns {
				return refuse("Around %s the knob changed its direction more than %d times in a second; no hand does.", clockOf(c.Tick), maxTurns)
			}
			direction = n
		case sim.CommandKey, sim.CommandLatch:
			acted++
			if edges.add(c.Tick, 1) > maxKeyEdges {
				return refuse("Around %s the key moved more than %d times in a second; no hand does.", clockOf(c.Tick), maxKeyEdges)
			}
		default:
			if others.add(c.Tick, 1) > maxOther {
				return refuse("Around %s there are more than %d commands in a second; no hand gives them.", clockOf(c.Tick), maxOther)
			}
		}
	}
	if acted < leastActions {
		return refuse("Nobody touched the knob or the key in this run.")
	}
	return nil
}

// radioNotchHz is what a radio's own dial is counted by: the largest notch.
const radioNotchHz = 100

// radioDials are what the dials of an operator's own radios showed last.
type radioDials [2]struct {
	hz    int64
	shown bool
}

// notches is what a command counts for. A radio that is read for the first time
// brings the dial to where it stands; from then on its movement counts.
func (r *radioDials) notches(c *sim.Command) int64 {
	dial := &r[0]
	switch c.Kind {
	case sim.CommandSetReceive:
		dial = &r[1]
	case sim.CommandSetUplink:
	case sim.CommandTuneUplink, sim.CommandTuneReceive:
		return roundedUp(c.Value)
	default:
		return c.Value
	}
	was := *dial
	dial.hz, dial.shown = c.Value, true
	if !was.shown {
		return 0
	}
	return roundedUp(c.Value - was.hz)
}

// roundedUp is how many notches so many hertz are; none is less than one.
func roundedUp(hz int64) int64 {
	switch {
	case hz > 0:
		return (hz-1)/radioNotchHz + 1
	case hz < 0:
		return (hz+1)/radioNotchHz - 1
	}
	return 0
}

func abs(n int64) int64 {
	if n < 0 {
		return -n
	}
	return n
}

// window adds up what came within the last second.
type window struct {
	ticks  []sim.Tick
	counts []int64
	sum    int64
}

func (w *window) add(t sim.Tick, n int64) int64 {
	w.ticks, w.counts, w.sum = append(w.ticks, t), append(w.counts, n), w.sum+n
	for w.ticks[0] <= t-sim.TicksPerSecond {
		w.sum -= w.counts[0]
		w.ticks, w.counts = w.ticks[1:], w.counts[1:]
	}
	return w.sum
}

// replay flies the sheet again from its commands and marks it.
func replay(sh *sim.Sheet) (*judged, *Refusal) {
	d, tr, err := scoring.DebriefSheet(sh)
	if err != nil {
		return nil, refuse("The sheet cannot be flown again: %v.", err)
	}
	if !d.Agrees {
		return nil, refuse("The sheet does not agree with its commands: %s.", d.Differs)
	}
	if !d.Verified {
		return nil, refuse("The sheet cannot be verified: %s.", d.Unverified)
	}
	if r := fairConditions(&d.Conditions); r != nil {
		return nil, r
	}
	j := &judged{sheet: sh, marks: d.Marks, advice: d.Advice, goalMet: d.GoalMet != nil && *d.GoalMet, topRMS: topRMS(tr), acts: actsOf(sh.Commands)}
	j.print = printOf(sh, j.acts)
	return j, nil
}

// A run goes by as fast as its pass; a writer's clock may be off by so much.
// Our choice, as the marks have it for a machine that is too slow.
const slowestRun, fastestRun = 0.97, 1.03

// fairConditions refuses a run whose time was stopped, stretched or squeezed by
// what the sheet itself says of it.
func fairConditions(c *scoring.Conditions) *Refusal {
	switch {
	case c.Pauses > 0:
		return refuse("The run was paused (%s).", counted(c.Pauses, "time", "times"))
	case c.Speed > fastestRun:
		return refuse("The run went by %.2f times as fast as its pass, by the clock that wrote the sheet.", c.Speed)
	case c.Speed > 0 && c.Speed < slowestRun:
		return refuse("The machine was too slow: the run went by at %.2f of its pass's speed, which gives more time to think.", c.Speed)
	}
	return nil
}

// topSpan is how long before and after closest approach counts as the top, as
// the marks have it.
const topSpan = 60 * sim.TicksPerSecond

// topRMS is the RMS offset while keyed around closest approach, Hz.
func topRMS(tr *scoring.Trace) float64 {
	if !tr.HasTCA {
		return 0
	}
	sum, n := 0.0, 0
	for i := range tr.Samples {
		s := &tr.Samples[i]
		if !s.Found || !s.Keyed || !s.Assigned || s.Tick < tr.TCA-topSpan || s.Tick > tr.TCA+topSpan {
			continue
		}
		sum += float64(s.OffsetHz * s.OffsetHz)
		n++
	}
	if n == 0 {
		return 0
	}
	return math.Sqrt(sum / float64(n))
}

// act is a command that moves something.
type act struct {
	tick  sim.Tick
	kind  sim.CommandKind
	value int64
}

// actsOf leaves out what moves nothing: pauses, aids and the count of sound gaps.
func actsOf(commands []sim.Command) []act {
	acts := make([]act, 0, len(commands))
	for _, c := range commands {
		if c.Kind != sim.CommandPause && c.Kind != sim.CommandSound && c.Kind != sim.CommandAid {
			acts = append(acts, act{c.Tick, c.Kind, c.Value})
		}
	}
	return acts
}

// printOf is a hash over the run's end and everything that was done in it.
func printOf(sh *sim.Sheet, acts []act) (sum [sha256.Size]byte) {
	h := sha256.New()
	add := func(v int64) { _ = binary.Write(h, binary.LittleEndian, v) }
	add(int64(sh.End))
	add(int64(sh.Setup.Seed))
	for _, a := range acts {
		add(int64(a.tick))
		h.Write([]byte(a.kind))
		add(a.value)
	}
	h.Sum(sum[:0])
	return sum
}

// Two runs are copies of each other where so large a share of what was done
// falls within so many ticks of the same place, be one shifted as a whole: two
// hands never press within 10 ms of each other time after time. Our choice.
const (
	copyShare = 0.8
	copyTicks = 2
	copyLeast = 20 // actions: below, two runs may well be alike by chance
)

// copied says whether one run was made from the other.
func copied(a, b []act) bool {
	n := min(len(a), len(b))
	if n < copyLeast || max(len(a), len(b)) > 2*n {
		return false
	}
	need := int(copyShare * float64(max(len(a), len(b))))
	if matches(a, b, 0) >= need {
		return true
	}
	for _, i := range []int{0, n / 4, n / 2, 3 * n / 4, n - 1} { // a shift shows at any place that was not edited
		if shift := b[i].tick - a[i].tick; shift != 0 && matches(a, b, shift) >= need {
			return true
		}
	}
	return false
}

// matches counts the actions that both runs have, b being shift ticks later.
func matches(a, b []act, shift sim.Tick) int {
	n, j := 0, 0
	for i := range a {
		at := a[i].tick + shift
		for j < len(b) && b[j].tick < at-copyTicks {
			j++
		}
		if j < len(b) && b[j].tick <= at+copyTicks && b[j].kind == a[i].kind && b[j].value == a[i].value {
			n++
			j++
		}
	}
	return n
}

// clockOf writes ticks as minutes and seconds.
func clockOf(t sim.Tick) string {
	s := int64(t / sim.TicksPerSecond)
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

func readSheet(body []byte) (*sim.Sheet, error) { return sim.ReadSheet(bytes.NewReader(body), "sheet") }
