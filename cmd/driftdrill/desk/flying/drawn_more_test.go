//go:build !nodesk

package flying

import (
	"context"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// sitting is the desk at the radios, with something changed.
func sitting(name string, change func(s *desktest.Session), then func(f *flying)) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		f := sit(s, func(f *desktest.Session) {
			atRadios(f)
			change(f)
		})
		then(f)
		s.Step()
	}}
}

// Each setting of the radios, where the keys are, and what a radio shows while it
// is on the air and while its fine tuning is off.
func TestDrawingsOfTheRadios(t *testing.T) {
	desktest.Drawings(t, []desktest.View{benches[0], {Name: "radios upright", Put: func(s *desktest.Stage) {
		benches[0].Put(s)
		s.App.Resize(440, 960, 1)
		s.Step()
	}}})
	plain := sitting("plain", func(*desktest.Session) {}, func(*flying) {})
	desktest.DrawingsLike(t, plain, []desktest.View{
		sitting("radios after AOS", func(s *desktest.Session) { s.State.Bench.Above, s.State.Keyed, s.Facts.AOS = true, true, 0 }, func(f *flying) { f.bench.open = true }),
		sitting("radios set otherwise", func(s *desktest.Session) { s.State.Bench.RITHz = 0 }, func(f *flying) { f.bench.at = sim.BenchRecorder }),
	})
}

// skyAt is an antenna in the hand that points somewhere, and the bird elsewhere.
func skyAt(name string, az, el, birdAz, birdEl float64) desktest.View {
	return aiming(name, func(st *sim.State) {
		st.AntennaAzimuthDeg, st.AntennaElevationDeg, st.Look.AzimuthDeg, st.Look.ElevationDeg = az, el, birdAz, birdEl
	})
}

// moreStates are what is seen more seldom, and at the edges of what there can be.
var moreStates = []desktest.View{
	state("turned by a practised hand", over, nil, func(s *desktest.Stage, f *flying) {
		f.knob.turned, f.knob.hover = 60, true
		s.Fake.State.SNRDB, s.Fake.State.BeaconDB, s.Fake.State.StepHz = 2.5, 30, 10
	}),
	state("the reference is heard", over, nil, func(s *desktest.Stage, f *flying) {
		f.knob.holding = true
		s.Fake.State.Keyed = false
		s.App.In.Contacts = []kit.Contact{{ID: f.knob.held, At: f.places.knob, Down: true}}
		point(s, f, receiveDial, noDial)
		f.refUntil = 1 << 30
	}),
	state("a wide transponder", over, func(s *desktest.Session) {
		s.Facts.PassbandLowHz, s.Facts.PassbandHighHz, s.Facts.BeaconHz = 145_800_000, 145_900_000, 145_945_000
	}, nil),
	state("a narrow transponder", over, func(s *desktest.Session) {
		s.Facts.PassbandLowHz, s.Facts.PassbandHighHz, s.Facts.BeaconHz = 145_862_000, 145_868_000, 0
	}, nil),
	state("the dial beyond the strip", over, nil, now(func(st *sim.State) { st.ReceiveHz, st.ReceiveSideband = 145_846_000, sim.LSB })),
	state("the dial at the edge", over, nil, now(func(st *sim.State) { st.ReceiveHz = 145_880_000 })),
	state("a strong signal", over, nil, now(func(st *sim.State) { st.SNRDB, st.BeaconDB = 40, -5 })),
	state("searching", desktest.AOS+3000, func(s *desktest.Session) { s.Facts.Search, s.State.PowerW = true, 2.5 }, nil),
	state("asked to move", over, func(s *desktest.Session) {
		s.Facts.Free, s.State.Found, s.State.Told, s.State.ContactWith = true, true, 1, -1
	}, nil),
	state("a low pass", desktest.AOS+20_000, func(s *desktest.Session) {
		s.Facts.MaxElevationDeg = 12
		for i := range s.Facts.Hill {
			s.Facts.Hill[i].ElevationDeg *= 0.16
		}
		s.Facts.DrillTitle, s.Facts.Bird = "Go out into the field and come back, on a pass that hardly rises", "FULMAR-3 of the second series"
	}, nil),
	state("without a plan", over, func(s *desktest.Session) { s.Facts.Overs, s.Facts.Aids = 0, port.Aids{Ribbon: true} }, nil),
	state("howled", over, func(s *desktest.Session) { s.Live, s.Muted, s.Halting = true, true, "the machine is too slow" }, nil),
	state("left hand", over, inContact, func(s *desktest.Stage, f *flying) {
		s.App.Set.Bindings = port.LeftHand()
		s.App.ReducedMotion = true
		s.Fake.State.Keyed = false
		heardInPart(s.Fake)
		s.Step()
		f.log.open, f.log.field, f.log.place = true, sim.NoteCall, 5
		s.Fake.State.Keyed = false
	}),
}

func TestDrawingsOfMoreStates(t *testing.T) {
	desktest.DrawingsLike(t, state("plain", over, nil, nil), moreStates)
	desktest.DrawingsLike(t, aiming("plain", func(*sim.State) {}), []desktest.View{
		skyAt("north", 5, 3, 350, -4), skyAt("overhead", 180, 86, 100, 70), skyAt("at the edge", 90, 20, 191, 8),
	})
}

// upright is the desk of a telephone in a state.
func upright(name string, change func(s *desktest.Session), then func(s *desktest.Stage, f *flying)) desktest.View {
	of := state(name, over, change, then)
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		of.Put(s)
		s.App.Resize(440, 900, 1)
		s.Step()
	}}
}

func TestDrawingsOfATelephone(t *testing.T) {
	desktest.Drawings(t, []desktest.View{upright("upright hear", quizzing, nil), upright("upright fault", func(s *desktest.Session) {
		faultFinding(s)
		s.Facts.Aids = port.Aids{Strip: true}
	}, nil)})
	desktest.DrawingsLike(t, upright("plain", nil, nil), []desktest.View{
		upright("upright off the air", nil, now(func(st *sim.State) { st.Keyed = false })),
		upright("upright too low", func(s *desktest.Session) { s.Halting = "the sound breaks up" }, now(func(st *sim.State) { st.OffsetHz, st.Latched, st.Rule = -300, true, sim.RuleBoth })),
	})
}

// What is shown while one waits.
func TestDrawingsOfWaiting(t *testing.T) {
	desktest.Drawings(t, []desktest.View{{Name: "looking for the pass", Put: func(s *desktest.Stage) {
		s.App.Cfg.NewSession = func(ctx context.Context, _ port.RunRequest) (port.Session, error) {
			<-ctx.Done()
			return nil, ctx.Err()
		}
		l := Begin(port.RunRequest{})
		s.App.Scenes.Push(s.App, l)
		t.Cleanup(l.cancel)
		for range 21 {
			s.Step()
		}
	}}})
}
