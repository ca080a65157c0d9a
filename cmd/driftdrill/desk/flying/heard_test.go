//go:build !nodesk

package flying

import (
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// hearing is a run, or some parts of one, that is heard and not seen.
type hearing struct {
	name   string
	change func(s *desktest.Session)
	spans  [][2]sim.Tick                   // that are flown
	each   func(s *desktest.Stage, at int) // before each update; may be nil
}

// heard are runs in which something comes to the ears.
var heard = []hearing{
	{"a drill with aids", nil, [][2]sim.Tick{{desktest.AOS - 900, desktest.AOS + 9400}, {desktest.TCA - 3000, desktest.TCA + 3000}, {desktest.LOS - 13_000, desktest.LOS - 11_000}, {desktest.LOS - 100, desktest.LOS + 20}}, nil},
	{"without aids", func(s *desktest.Session) { s.Facts.Aids = port.Aids{Strip: true} }, [][2]sim.Tick{{desktest.TCA - 3000, desktest.TCA + 3000}}, nil},
	{"both dials", func(s *desktest.Session) { s.State.Rule, s.Facts.Aids = sim.RuleBoth, port.Aids{} }, [][2]sim.Tick{{over, over + 5000}}, func(s *desktest.Stage, at int) {
		s.Fake.State.CardReceiveHz = float64(s.Fake.State.ReceiveHz) + float64(at-250)/2
	}},
	{"the dials change hands", func(s *desktest.Session) { s.Facts.Aids = port.Aids{} }, [][2]sim.Tick{{over, over + 1000}}, func(s *desktest.Stage, at int) {
		s.Fake.State.CardReceiveHz = float64(s.Fake.State.ReceiveHz) + 139
		s.Fake.State.Rule = []sim.Rule{sim.RuleUplink, sim.RuleDownlink, sim.RuleBoth, sim.RuleComputer, sim.RuleUplink}[at/25%5]
	}},
	{"an antenna", func(s *desktest.Session) { s.Facts.AimTask, s.Facts.Aids = true, port.Aids{} }, [][2]sim.Tick{{listens, listens + 10_000}}, func(s *desktest.Stage, at int) {
		off := math.Abs(float64(at%400) - 200)
		s.Fake.State.AimErrorDeg, s.Fake.State.AntennaAzimuthDeg = off/4, 312-off/4
	}},
	{"hearing", func(s *desktest.Session) { quizzing(s); s.Exercise.Asking = false }, [][2]sim.Tick{{4000, 5200}}, asking(func(e *sim.ExerciseState) {
		e.Last.ShiftHz, e.Last.Answer, e.Last.Correct = float64(100-100*(e.Judged%3)), int64(e.Judged%2), e.Judged%2 == 1
	})},
	{"first moves", func(s *desktest.Session) {
		firstMoving(s)
		s.Exercise.Asking, s.Exercise.Judged, s.Exercise.Last = false, 0, sim.TrialResult{}
	}, [][2]sim.Tick{{4000, 4800}}, asking(func(e *sim.ExerciseState) {
		e.Last.ShiftHz, e.Last.Answer, e.Last.Right, e.Last.Settled = -90, 1, sim.MoveUp, 300
		e.Last.Correct = e.Judged%2 == 1
	})},
	{"faults", func(s *desktest.Session) {
		faultFinding(s)
		s.Exercise.Asking, s.Exercise.Judged, s.Exercise.Last = false, 0, sim.TrialResult{}
	}, [][2]sim.Tick{{4000, 4800}}, asking(func(e *sim.ExerciseState) {
		e.Last.Answer, e.Last.Right, e.Last.Correct = 3, int64(e.Judged+2), e.Judged == 1
	})},
	{"a contact", func(s *desktest.Session) { inContact(s); s.Facts.Aids = port.Aids{} }, [][2]sim.Tick{{listens, listens + 6000}}, func(s *desktest.Stage, at int) {
		if at == 100 {
			heardInPart(s.Fake)
		}
	}},
	{"the sound is gone", func(s *desktest.Session) { s.Facts.Aids = port.Aids{} }, [][2]sim.Tick{{over, over + 200}}, func(s *desktest.Stage, at int) { s.Fake.Silent = at > 10 }},
	{"no sound from the beginning", func(s *desktest.Session) { s.Silent = true }, [][2]sim.Tick{{300, 420}}, nil},
	{"at the radios", func(s *desktest.Session) { atRadios(s); s.Facts.Aids = port.Aids{} }, [][2]sim.Tick{{0, 14_000}}, func(s *desktest.Stage, at int) {
		if s.Fake.State.Bench.Above = s.Fake.State.Tick >= s.Fake.Facts.AOS; !s.Fake.State.Bench.Above {
			s.Fake.State.Phase = sim.PhaseWait
		}
	}},
}

// asking asks 10 updates after the beginning and every 20, and judges 10 later.
func asking(judge func(e *sim.ExerciseState)) func(s *desktest.Stage, at int) {
	return func(s *desktest.Stage, at int) {
		e := &s.Fake.Exercise
		switch e.Left = 2500; at % 20 {
		case 10:
			e.Trial, e.Asking = e.Judged+1, true
		case 0:
			if e.Asking {
				e.Judged++
				e.Asking, e.Last = false, sim.TrialResult{Trial: e.Judged, Took: 300}
				judge(e)
			}
		}
		s.Fake.State.Exercise = *e
	}
}

// What comes to the ears in a run, word for word and to the twentieth of a second:
// the eyes may stay closed.
func TestWhatIsHeardInARun(t *testing.T) {
	var all []string
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	said := desktest.Hearing(s)
	for _, h := range heard {
		s.Fake = desktest.NewSession()
		s.Fake.Facts.Aids.Strip = false // nobody sees it
		if h.change != nil {
			h.change(s.Fake)
		}
		f := newFlying(s.Fake, port.RunRequest{})
		s.App.Scenes.Replace(s.App, f)
		all = append(all, "== "+h.name)
		for _, span := range h.spans {
			s.Fake.State.Tick = max(s.Fake.State.Tick, span[0])
			s.Fake.Refresh()
			for at := 0; s.Fake.State.Tick < span[1] && s.App.Scenes.Top() == f; at++ {
				if talks := s.Fake.State.Assigned; talks != s.Fake.State.Keyed {
					s.Fake.Post(sim.CommandKey, boolValue(talks))
				}
				if off := s.Fake.State.OffsetHz; at%30 == 0 && math.Abs(off) > 50 && h.each == nil {
					s.Fake.Post(sim.CommandKnob, int64(off/20))
				}
				if h.each != nil {
					h.each(s, at)
				}
				now := s.Fake.State.Tick
				s.Step()
				for _, w := range *said {
					all = append(all, fmt.Sprintf("%.2f s: %s", now.Seconds(), w))
				}
				*said = nil
				s.Fake.Advance(10)
			}
		}
	}
	desktest.CompareDrawn(t, filepath.Join("testdata", "drawn", "heard.txt"), all)
}
