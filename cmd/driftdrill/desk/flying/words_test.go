//go:build !nodesk

package flying

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// moments are states of a run of which the desk's words are kept: what stands on
// the card, under the bird's name and beside the pass, and what the key that says
// it again tells.
var moments = []struct {
	name   string
	change func(s *desktest.Session)
}{
	{"before it rises", func(s *desktest.Session) { s.State.Tick = desktest.AOS - 2100 }},
	{"a second before", func(s *desktest.Session) { s.State.Tick = desktest.AOS - 200 }},
	{"finding oneself", func(s *desktest.Session) { s.State.Tick = desktest.AOS + 100 }},
	{"searching", func(s *desktest.Session) { s.State.Tick, s.Facts.Search = desktest.AOS+100, true }},
	{"searching by Morse", func(s *desktest.Session) {
		s.State.Tick, s.Facts.Search, s.Facts.Morse = desktest.AOS+100, true, true
	}},
	{"finding oneself by Morse", func(s *desktest.Session) { s.State.Tick, s.Facts.Morse = desktest.AOS+100, true }},
	{"talking", func(s *desktest.Session) { s.State.Tick, s.State.Keyed = over, true }},
	{"talking by Morse", func(s *desktest.Session) { s.State.Tick, s.State.Keyed, s.Facts.Morse = over, true, true }},
	{"one long over", func(s *desktest.Session) { s.State.Tick, s.Facts.Overs = over, 1 }},
	{"a brief over", func(s *desktest.Session) { s.State.Tick, s.Facts.Overs, s.Facts.Coach = over, 0, "" }},
	{"both dials", func(s *desktest.Session) { s.State.Tick, s.State.Rule = over, sim.RuleBoth }},
	{"receive dial", func(s *desktest.Session) { s.State.Tick, s.State.Rule = over, sim.RuleDownlink }},
	{"listening", func(s *desktest.Session) { s.State.Tick = listens }},
	{"after the top", func(s *desktest.Session) { s.State.Tick = desktest.TCA + 200 }},
	{"a minute to go", func(s *desktest.Session) { s.State.Tick = desktest.LOS - 119*200 }},
	{"seconds to go", func(s *desktest.Session) { s.State.Tick = desktest.LOS - 59*200 }},
	{"to the end", func(s *desktest.Session) { s.State.Tick, s.Facts.End = desktest.TCA-400, desktest.TCA-150 }},
	{"both hands", func(s *desktest.Session) { s.State.Tick, s.Facts.AimTask = desktest.AOS+100, true }},
	{"free", func(s *desktest.Session) { s.State.Tick, s.Facts.Free = desktest.AOS-400, true }},
	{"free, found", func(s *desktest.Session) {
		s.State.Tick, s.Facts.Free, s.State.Found, s.State.ContactWith = over, true, true, -1
	}},
	{"in contact", func(s *desktest.Session) {
		s.State.Tick, s.Facts.Free, s.State.Found, s.State.ContactWith, s.State.Contacts = over, true, true, 2, 3
	}},
	{"free by Morse", func(s *desktest.Session) {
		s.State.Tick, s.Facts.Free, s.Facts.Morse, s.State.Found, s.State.ContactWith = over, true, true, true, -1
	}},
	{"asked to move", func(s *desktest.Session) {
		s.State.Tick, s.Facts.Free, s.State.Found, s.State.Told = over, true, true, 1
	}},
	{"hearing", func(s *desktest.Session) { quizzing(s) }},
	{"first move", func(s *desktest.Session) { firstMoving(s) }},
	{"fault", func(s *desktest.Session) { faultFinding(s) }},
	{"fault, after the answer", func(s *desktest.Session) { faultFinding(s); s.Exercise.Asking = false }},
}

func TestWordsOfTheDesk(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	desktest.Hearing(s)
	var all []string
	for _, m := range moments {
		f := fly(s, over, 0, m.change)
		s.Step()
		to, what := f.nextEvent()
		all = append(all, "== "+m.name, fmt.Sprintf("card: %s | %s | %s", f.shown.Title, f.shown.Body, f.shown.Note),
			fmt.Sprintf("phase: %s; %s %s; %s", f.phaseLine(), screen.Clock(to), what, f.driftLine()), "told: "+f.TellNow(s.App), "said: "+f.spokenCard())
	}
	desktest.CompareDrawn(t, filepath.Join("testdata", "drawn", "words.txt"), all)
}

// What the coach says, and from which tick on.
func TestTheCoachSaysItInTime(t *testing.T) {
	ab := &port.About{Coach: "the drill's own line"}
	b := port.DefaultBindings()
	talk := sim.State{Tick: 5000, Phase: sim.PhaseTalk, Over: 1, Assigned: true, Keyed: true, InPassband: true}
	listen := sim.State{Tick: 5000, Phase: sim.PhaseListen, Over: 1, InPassband: true}
	with := func(st sim.State, change func(st *sim.State)) sim.State { change(&st); return st }
	for _, c := range []struct {
		name  string
		state sim.State
		after sim.Tick // the last tick at which the coach keeps his own line
		want  string
	}{
		{"not on the air", with(talk, func(st *sim.State) { st.Keyed = false }), 300, "You are not on the air: hold Space."},
		{"outside", with(talk, func(st *sim.State) { st.InPassband = false }), 200, "You have left the transponder: go back to where you were."},
		{"still on the air", with(listen, func(st *sim.State) { st.Keyed = true }), 100, "You are still on the air: let go of Space."},
		{"still latched", with(listen, func(st *sim.State) { st.Keyed, st.Latched = true, true }), 100, "You are still on the air: press " + b.NameOf(port.Latch) + "."},
	} {
		p := prompter{outside: -1, wrongKey: -1}
		for by, want := range map[sim.Tick]string{0: ab.Coach, c.after: ab.Coach, c.after + 1: c.want} {
			p = prompter{outside: -1, wrongKey: -1}
			p.at(&c.state, ab, b)
			later := c.state
			later.Tick += by
			if got := p.at(&later, ab, b).Note; got != want {
				t.Errorf("%s, %d ticks later: %q, want %q", c.name, by, got, want)
			}
		}
	}
}

// The guide speaks in the ears-only mode alone, and says what happens once.
func TestTheGuideSaysWhatHappensOnce(t *testing.T) {
	s := desktest.NewStage(t, 1280, 720, 1, "night")
	said := desktest.Hearing(s)
	fly(s, over, 0, nil)
	tells := func(words string, change func(st *sim.State)) {
		t.Helper()
		*said = nil
		change(&s.Fake.State)
		s.Step()
		s.Step()
		if got := strings.Join(*said, " / "); got != words {
			t.Errorf("said %q, want %q", got, words)
		}
	}
	s.Step()
	tells("", func(st *sim.State) { st.OffsetHz, st.Keyed = 10, true })
	tells("found", func(st *sim.State) { st.Found = true })
	tells("high", func(st *sim.State) { st.OffsetHz, st.Tick = 41, st.Tick+401 })
	tells("", func(st *sim.State) { st.OffsetHz, st.Tick = -41, st.Tick+400 })
	tells("low", func(st *sim.State) { st.Tick++ })
	tells("", func(st *sim.State) { st.OffsetHz = 25 })
	tells("", func(st *sim.State) { st.Tick += 150 })
	tells("true", func(st *sim.State) { st.Tick++ })
	tells("", func(st *sim.State) { st.OffsetHz, st.Tick = 40, st.Tick+1000 })
	tells("closest approach", func(st *sim.State) { st.Tick = desktest.TCA })
	tells("", func(st *sim.State) { st.Tick = desktest.LOS - 12000 })
	tells("one minute left", func(st *sim.State) { st.Tick++ })
	s.App.Set.EarsOnly = false
	tells("", func(st *sim.State) { st.OffsetHz, st.Tick = 90, st.Tick+1000 })
}

// Beside the key stands the newest verdict on each kind of question.
func TestVerdictsInWords(t *testing.T) {
	ab := &port.About{Answers: []sim.Choice{{Value: 5, Text: "the diplexer is out"}}}
	for _, c := range []struct {
		kind sim.ExerciseKind
		last sim.TrialResult
		want string
	}{
		{sim.ExerciseHear, sim.TrialResult{}, ""},
		{sim.ExerciseHear, sim.TrialResult{Trial: 1, Answer: 1, Correct: true, ShiftHz: 50}, "Right. It was 50 Hz too high."},
		{sim.ExerciseHear, sim.TrialResult{Trial: 1, Answer: 1, ShiftHz: -50}, "No. It was 50 Hz too low."},
		{sim.ExerciseHear, sim.TrialResult{Trial: 1}, "No answer in time. It was true."},
		{sim.ExerciseFirstMove, sim.TrialResult{Trial: 1, ShiftHz: 50, Right: sim.MoveUp}, "No turn in time. A voice that is too high here wants turning up."},
		{sim.ExerciseFirstMove, sim.TrialResult{Trial: 1, ShiftHz: -50, Right: sim.MoveUp + 1, Answer: 1}, "Wrong way: a voice that is too low here wants turning down."},
		{sim.ExerciseFirstMove, sim.TrialResult{Trial: 1, Answer: 1, Correct: true, Settled: 500}, "Right way, and settled in 2.5 s."},
		{sim.ExerciseFirstMove, sim.TrialResult{Trial: 1, Answer: 1, Correct: true}, "Right way, but it did not settle in time."},
		{sim.ExerciseFault, sim.TrialResult{Trial: 1, Answer: 5, Right: 5, Correct: true}, "Right. The answer is: the diplexer is out."},
		{sim.ExerciseFault, sim.TrialResult{Trial: 1, Answer: 5, Right: 4}, "No. "},
	} {
		if got := verdictLine(&sim.ExerciseState{Kind: c.kind, Last: c.last}, ab); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	if got, want := (kit.Sheet{Title: "Ready in 3 · 0:03"}), "Ready in 3"; spokenTitle(got) != want {
		t.Errorf("the countdown is spoken: %q", spokenTitle(got))
	}
}
