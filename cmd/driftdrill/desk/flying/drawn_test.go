//go:build !nodesk

package flying

import (
	"path/filepath"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// state is a desk that is flown for two seconds from a tick on; then something is
// changed, and it is updated once more.
func state(name string, from sim.Tick, change func(s *desktest.Session), then func(s *desktest.Stage, f *flying)) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		f := fly(s, from, 2, change)
		if then != nil {
			then(s, f)
		}
		s.Step()
	}}
}

// point puts the mouse over the digits of a dial, and a finger on those of another.
func point(s *desktest.Stage, f *flying, over, held dialName) {
	s.Drawn() // now the digits are somewhere
	in := s.App.In
	in.HasMouse, in.Hover = true, f.dials.rows[over].Centre()
	at := f.dials.rows[held].Centre()
	in.Contacts = append(in.Contacts, kit.Contact{ID: 6, At: at, Last: at, Down: true, Pressed: true})
}

// over is a tick in an over before the top, listens one while the operator listens.
const (
	over    = desktest.TCA - 10_800
	listens = desktest.TCA - 9000
)

// now changes what the run tells of this moment.
func now(change func(st *sim.State)) func(s *desktest.Stage, f *flying) {
	return func(s *desktest.Stage, _ *flying) { change(&s.Fake.State) }
}

// states are what a user sees of the desk while he flies.
var states = []desktest.View{
	state("countdown", desktest.AOS-700, nil, nil),
	state("finding oneself", desktest.AOS+700, nil, now(func(st *sim.State) { st.PhaseLeft = 1900 })),
	state("listening", listens, nil, nil),
	state("on the air while listening", listens, nil, func(s *desktest.Stage, f *flying) {
		s.Fake.State.Keyed = true
		s.Step()
		s.Fake.State.Tick += 150
	}),
	state("after the top", desktest.TCA+20_000, nil, nil),
	state("near the end", desktest.LOS-900, nil, nil),
	state("far too high", over, nil, now(func(st *sim.State) { st.OffsetHz = 20_000; st.UplinkHz -= 20_000 })),
	state("far too low", over, nil, now(func(st *sim.State) { st.OffsetHz = -20_000; st.UplinkHz += 20_000 })),
	state("too high and not inverting", over, nil, now(func(st *sim.State) { st.OffsetHz, st.TrueHz = 130, float64(st.UplinkHz-130) })),
	state("true", over, nil, now(func(st *sim.State) { st.OffsetHz, st.RateHzS, st.SNRDB, st.BeaconDB = 4, 2, 31, 33 })),
	state("outside the transponder", over, nil, now(func(st *sim.State) { st.InPassband = false })),
	state("off the air", over, nil, now(func(st *sim.State) { st.Keyed = false })),
	state("latched and fast", over, nil, now(func(st *sim.State) { st.Latched, st.Fast, st.StepHz = true, true, 100 })),
	state("both dials", over, nil, now(func(st *sim.State) { st.Rule, st.CardReceiveHz = sim.RuleBoth, float64(st.ReceiveHz)+440 })),
	state("receive dial", over, nil, now(func(st *sim.State) { st.Rule, st.ReceiveSideband = sim.RuleDownlink, sim.LSB })),
	state("aids at rest", over, nil, now(func(st *sim.State) { st.AidsOn = false })),
	state("no aids but the strip", over, func(s *desktest.Session) { s.Facts.Aids = port.Aids{Strip: true} }, nil),
	state("part of a pass", over, func(s *desktest.Session) {
		s.Facts.Start, s.Facts.End, s.Facts.Overs, s.Facts.Coach, s.Facts.DrillNumber = over-2000, over+9000, 1, "", 0
		s.Facts.BeaconHz, s.Facts.PassbandHighHz = 145_849_990, 145_950_000
	}, nil),
	state("Morse", over, func(s *desktest.Session) { s.Facts.Morse, s.Facts.BeaconHz = true, 0 }, nil),
	state("hovered and told", over, nil, func(s *desktest.Stage, f *flying) {
		s.App.Set.HintsSeen = 2
		f.refOn, f.low = true, true
		s.Fake.State.Keyed, s.Fake.State.PowerW, s.Fake.Halting = false, 1.25, "the sound breaks up"
		f.dials.fresh = 30
		point(s, f, uplinkDial, receiveDial)
	}),
	state("microphone muted", over, func(s *desktest.Session) { s.Live, s.Muted = true, true }, nil),
	state("entry in the log", over, inContact, func(s *desktest.Stage, f *flying) {
		s.App.ReducedMotion = true
		s.Fake.State.Keyed = false
		heardInPart(s.Fake)
		s.Step()
		s.Fake.State.Keyed = false
	}),
	state("entry slides in", over, inContact, func(s *desktest.Stage, f *flying) {
		s.App.ReducedMotion = false
		s.Fake.State.Keyed = false
		heardInPart(s.Fake)
		for range 6 {
			s.Fake.State.Keyed = false
			s.Step()
		}
	}),
}

// aiming changes the sky of a drill in which the antenna is aimed.
func aiming(name string, change func(st *sim.State)) desktest.View {
	return state(name, over, func(s *desktest.Session) {
		s.Facts.AimTask, s.Facts.DrillTitle, s.Facts.DrillNumber = true, "Both hands", 13
	}, now(change))
}

// skies are what is seen of the antenna.
var skies = []desktest.View{
	aiming("on the bird", func(st *sim.State) { st.AimErrorDeg, st.AntennaTwistDeg = 15, -70 }),
	aiming("bird beyond the left", func(st *sim.State) { st.Look.AzimuthDeg, st.AimErrorDeg = 160, 15.1 }),
	aiming("bird beyond the right", func(st *sim.State) { st.Look.AzimuthDeg, st.AntennaAzimuthDeg, st.AntennaElevationDeg = 60, -50, 88 }),
}

// questions are the states of exercises that ask.
var questions = []desktest.View{
	state("hear answered", 4000, quizzing, func(s *desktest.Stage, f *flying) {
		e := &s.Fake.State.Exercise
		e.Judged, e.Correct, e.Asking = 1, 1, false
		e.Last = sim.TrialResult{Trial: 1, ShiftHz: 100, Answer: 2, Right: 1, Took: 300}
	}),
	state("first move answered", 4000, firstMoving, func(s *desktest.Stage, f *flying) {
		e := &s.Fake.State.Exercise
		e.Judged, e.Asking, e.Last = 3, false, sim.TrialResult{Trial: 3, ShiftHz: -90, Answer: 2, Right: 2, Correct: true, Took: 300, Settled: 500}
	}),
	state("fault answered", 4000, faultFinding, func(s *desktest.Stage, f *flying) {
		e := &s.Fake.State.Exercise
		e.Asking, e.Last.Correct, e.Last.Right = false, false, 5
	}),
	{Name: "marking", Put: func(s *desktest.Stage) {
		s.App.Scenes.Push(s.App, newMarking(fly(s, over, 0, nil)))
	}},
	{Name: "upright", Put: func(s *desktest.Stage) {
		fly(s, over, 2, nil)
		s.App.Resize(440, 960, 1)
		s.Step()
	}},
	{Name: "upright sky", Put: func(s *desktest.Stage) {
		fly(s, over, 2, func(s *desktest.Session) { s.Facts.AimTask = true })
		s.App.Resize(440, 860, 1)
		s.Step()
	}},
}

func TestDrawings(t *testing.T) {
	desktest.Drawings(t, append(others, desks...))
	desktest.Drawings(t, questions)
}

func TestDrawingsOfStates(t *testing.T) {
	desktest.DrawingsLike(t, state("plain", over, nil, nil), states)
}

func TestDrawingsOfTheSky(t *testing.T) {
	desktest.DrawingsLike(t, aiming("plain", func(*sim.State) {}), skies)
}

// The knob and its dimple are painted as they were looked at, by day and by night.
func TestKnobIsPainted(t *testing.T) {
	var all []string
	for _, pal := range kit.Palettes() {
		all = append(all, "== the knob, "+pal.Name)
		all = append(all, desktest.Painted(paintKnob(60, pal), 12)...)
		all = append(all, "== its dimple, "+pal.Name)
		all = append(all, desktest.Painted(paintDimple(10, pal), 6)...)
	}
	desktest.CompareDrawn(t, filepath.Join("testdata", "drawn", "knob.txt"), all)
}

// What the strip has seen stays on it as rows: the newest at the top, what is one's
// own and what is others' in their colours.
func TestStripKeepsItsHistory(t *testing.T) {
	kittest.NeedWindow(t)
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	f := fly(s, over, 3, nil)
	img := kittest.ReadBack(f.strip.ring)
	desktest.CompareDrawn(t, filepath.Join("testdata", "drawn", "history.txt"), desktest.Painted(img, 24))
}
