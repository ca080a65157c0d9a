package scoring

import (
	"fmt"
	"math"

	"driftdrill/sim"
)

// ReadyMarks are the marks of a drill that begins at the radios, before AOS.
type ReadyMarks struct {
	Of           int            `json:"of"`             // settings
	RightFound   int            `json:"right_found"`    // as the operator sat down
	RightAtAOS   int            `json:"right_at_aos"`   //
	RightEnd     int            `json:"right_end"`      //
	Share        float64        `json:"share"`          // right at AOS, 0..1
	Late         int            `json:"late"`           // settings put right after AOS, when they were heard
	SetS         *float64       `json:"set_s"`          // from sitting down to the last change before AOS; null: nothing was changed
	FirstReturnS *float64       `json:"first_return_s"` // from AOS to the own voice's first readable return; null: never
	VOXKeyedS    float64        `json:"vox_keyed_s"`    // on the air by nobody's hand since AOS
	RecordedS    *float64       `json:"recorded_s"`     // against AOS, from when on the recorder ran to the end; null: it did not
	Settings     []ReadySetting `json:"settings"`
}

// ReadySetting is one setting as it was found, set and wanted.
type ReadySetting struct {
	Setting    string   `json:"setting"` // as drill files name it
	Found      string   `json:"found"`
	AtAOS      string   `json:"at_aos"`
	End        string   `json:"end"`
	Wants      string   `json:"wants"`
	RightFound bool     `json:"right_found"`
	RightAtAOS bool     `json:"right_at_aos"`
	RightEnd   bool     `json:"right_end"`
	ChangedS   *float64 `json:"changed_s"` // when it was last changed, against AOS; null: never

	which sim.BenchSetting
}

// Title names the setting in everyday words.
func (s *ReadySetting) Title() string {
	for k := range sim.BenchSettings {
		if k.String() == s.Setting {
			return k.Title()
		}
	}
	return s.Setting
}

// BenchTrace is what the marks need to know of the radios of a run.
type BenchTrace struct {
	Bench  *sim.Bench
	AOS    sim.Tick
	Found  BenchMoment
	AtAOS  BenchMoment // the last moment before it
	End    BenchMoment
	Change [sim.BenchSettings]sim.Tick // of the last change; -1 = none

	SetAt     sim.Tick // the last change before AOS; -1 = none
	Return    sim.Tick // the first readable return; -1 = none
	Recording sim.Tick // since when the recorder runs; -1 = it does not
	voxTicks  sim.Tick
	seen      bool
}

// BenchMoment is how the radios stood at a moment.
type BenchMoment struct {
	Values              sim.BenchValues
	Right               [sim.BenchSettings]bool
	ReceiveHz, UplinkHz int64
}

func newBenchTrace(s *sim.Setup) *BenchTrace {
	if s.Bench == nil {
		return nil
	}
	t := &BenchTrace{Bench: s.Bench, AOS: s.AOSTick, SetAt: -1, Return: -1, Recording: -1}
	for k := range t.Change {
		t.Change[k] = -1
	}
	return t
}

// see takes a state of the run, one each 50 ms.
func (t *BenchTrace) see(s *sim.State, audible float64) {
	if t == nil {
		return
	}
	now := BenchMoment{s.Bench.Values, s.Bench.Right, s.ReceiveHz, s.UplinkHz}
	if !t.seen {
		t.seen, t.Found, t.AtAOS, t.End = true, now, now, now
	}
	for k := range sim.BenchSettings {
		if t.End.Values[k] != now.Values[k] || t.End.Right[k] != now.Right[k] {
			t.Change[k] = s.Tick
			if s.Tick < t.AOS {
				t.SetAt = s.Tick
			}
		}
	}
	t.End = now
	if s.Tick < t.AOS {
		t.AtAOS = now
	}
	switch on := now.Values[sim.BenchRecorder] == 1; {
	case !on:
		t.Recording = -1
	case t.Recording < 0:
		t.Recording = s.Tick
	}
	if s.Tick < t.AOS || !s.Keyed {
		return
	}
	if s.Bench.ByVOX {
		t.voxTicks += SampleTicks
		return
	}
	if t.Return < 0 && s.Own().On && s.Readable() && s.OffsetHz > hearLowHz && s.OffsetHz < hearHighHz && s.SNRDB >= audible {
		t.Return = s.Tick
	}
}

// text writes a value at a moment: of a memory with what the dial shows.
func (t *BenchTrace) text(k sim.BenchSetting, m *BenchMoment) string {
	text := t.Bench.Text(k, m.Values[k])
	switch k {
	case sim.BenchReceiveMemory:
		return text + ": " + sim.DialText(m.ReceiveHz)
	case sim.BenchUplinkMemory:
		return text + ": " + sim.DialText(m.UplinkHz)
	}
	return text
}

// ready works out the marks; nil where there were no radios to set.
func (tr *Trace) ready() *ReadyMarks {
	t := tr.Bench
	if t == nil || !t.seen {
		return nil
	}
	m := &ReadyMarks{Of: int(sim.BenchSettings), VOXKeyedS: round(t.voxTicks.Seconds())}
	since := func(tick, from sim.Tick) *float64 {
		if tick < 0 {
			return nil
		}
		return rounded((tick - from).Seconds())
	}
	for k := range sim.BenchSettings {
		s := ReadySetting{Setting: k.String(), Found: t.text(k, &t.Found), AtAOS: t.text(k, &t.AtAOS), End: t.text(k, &t.End), Wants: t.Bench.WantsText(k),
			RightFound: t.Found.Right[k], RightAtAOS: t.AtAOS.Right[k], RightEnd: t.End.Right[k], ChangedS: since(t.Change[k], t.AOS), which: k}
		m.RightFound += count(s.RightFound)
		m.RightAtAOS += count(s.RightAtAOS)
		m.RightEnd += count(s.RightEnd)
		m.Late += count(!s.RightAtAOS && s.RightEnd)
		m.Settings = append(m.Settings, s)
	}
	m.Share = round(share(m.RightAtAOS, m.Of))
	m.SetS, m.FirstReturnS, m.RecordedS = since(t.SetAt, 0), since(t.Return, t.AOS), since(t.Recording, t.AOS)
	return m
}

// FaultReady is a setting that was left wrong.
const FaultReady = "ready"

// readyFault is what a setting left wrong costs beside the others, and how it
// is heard. The order is our choice: first what disturbs others, then what keeps
// one from being heard, then what only makes the work harder.
var readyFaults = [sim.BenchSettings]struct {
	cost          float64
	headline, how string
}{
	sim.BenchKeying: {300, "Switch the VOX off: only your hand keys.",
		"Heard next time: the receiver goes dull for a moment and your transmitter is on though you did not press the key."},
	sim.BenchUplinkSideband: {280, "Your transmitter was on the wrong sideband.",
		"Heard next time: others are plain, you alone are a gabble 3 kHz away from where you belong."},
	sim.BenchReceiveMemory: {260, "Your receiver was on the wrong memory.",
		"Heard next time: only noise where the card says that somebody calls. Read the dial against the card."},
	sim.BenchUplinkMemory: {250, "Your transmitter was on the wrong memory.",
		"Heard next time: others are there, you do not come back at all. Read the uplink dial against the card before you search."},
	sim.BenchReceiveSideband: {240, "Your receiver was on the wrong sideband.",
		"Heard next time: nobody is plain, and turning does not make it so: speech comes out inverted."},
	sim.BenchHeadphones: {220, "Plug the headphones in.",
		"Heard next time: whatever you receive comes back once more, hollow and late, each time your transmitter is on."},
	sim.BenchRIT: {200, "Switch the RIT off.",
		"Heard next time: all others are off by the same at the card's dial, and when you have made yourself true by ear they are not."},
	sim.BenchUplinkStep: {120, "Choose a finer step for the uplink.",
		"Heard next time: each notch is a jump in pitch, and true lies between two of them."},
	sim.BenchRecorder: {60, "Start the recorder before the bird comes up.",
		"Nothing is wrong to the ear: look for its lamp. Without it there is nothing to hear again afterwards."},
	sim.BenchReceiveStep: {50, "Choose a finer step for the receiver.",
		"Heard next time: a notch throws the other's voice out of your ear."},
}

// readyAdvice is the line for a drill that begins at the radios: the costliest
// setting that was wrong when the bird came up.
func readyAdvice(m *ReadyMarks) Advice {
	score := fmt.Sprintf("%d of %d settings were right when the bird came up.", m.RightAtAOS, m.Of)
	worst := -1
	for i := range m.Settings {
		if s := &m.Settings[i]; !s.RightAtAOS && (worst < 0 || readyFaults[s.which].cost > readyFaults[m.Settings[worst].which].cost) {
			worst = i
		}
	}
	if worst >= 0 {
		s := &m.Settings[worst]
		f := readyFaults[s.which]
		was := fmt.Sprintf(" The card has %s, yours was %s", s.Wants, s.AtAOS)
		if s.RightEnd && s.ChangedS != nil {
			was += fmt.Sprintf(" until %.0f s after", math.Max(0, *s.ChangedS))
		}
		return Advice{FaultReady, f.headline, score + was + ". " + f.how, f.cost}
	}
	switch {
	case m.FirstReturnS == nil:
		return Advice{FaultReady, "All set: now key, and listen for yourself.", score + " But your own voice never came back.", missedCost}
	case *m.FirstReturnS > readyLateS:
		return Advice{FaultReady, "All set: key as soon as the bird is up.", fmt.Sprintf("%s Your own voice came back after %.0f s.", score, *m.FirstReturnS), minCost}
	}
	return Advice{NoteClean, "All right, and in time.", fmt.Sprintf("%s Your own voice was back after %.1f s.", score, *m.FirstReturnS), 0}
}

// readyLateS is how soon after AOS the own voice should be back: our choice.
const readyLateS = 8.0

// right is how many settings were right at AOS; -1 where there are none.
func (m *ReadyMarks) right() float64 {
	if m == nil {
		return -1
	}
	return float64(m.RightAtAOS)
}
