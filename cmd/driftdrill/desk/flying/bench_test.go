//go:build !nodesk

package flying

import (
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// atRadios makes the fake begin at two radios, 64 s before AOS, with four
// settings wrong.
func atRadios(f *desktest.Session) {
	b := &sim.Bench{RITHz: -430,
		ReceiveHz: [sim.BenchMemories]int64{145_953_570, 145_960_000, 145_967_200, 145_971_900}, UplinkHz: [sim.BenchMemories]int64{435_249_500, 435_243_070, 435_235_870, 435_231_170}}
	for i, up := range []int64{435_243_070, 435_243_080, 435_243_100, 435_243_120} {
		b.Card = append(b.Card, sim.BenchCard{AfterS: 20 * i, ReceiveHz: 145_960_000, UplinkHz: up})
	}
	w := &b.Wants
	w[sim.BenchReceiveMemory], w[sim.BenchUplinkMemory], w[sim.BenchUplinkSideband] = 2, 2, int64(sim.LSB)
	w[sim.BenchReceiveStep], w[sim.BenchUplinkStep], w[sim.BenchHeadphones], w[sim.BenchRecorder] = 100, 50, 1, 1
	b.Found = *w
	b.Found[sim.BenchReceiveMemory], b.Found[sim.BenchRIT], b.Found[sim.BenchUplinkStep], b.Found[sim.BenchHeadphones] = 1, 1, 1000, 0
	f.Facts.Bench, f.Facts.DrillTitle, f.Facts.DrillNumber, f.Facts.Bird = b, "Ready?", 28, "DIPPER-2"
	f.State.ReceiveHz, f.State.UplinkHz, f.State.StepHz = b.ReceiveHz[0], b.UplinkHz[1], 1000
	f.State.Bench = sim.BenchState{Of: int(sim.BenchSettings), Values: b.Found, RITHz: b.RITHz}
	f.Facts.AOS = f.State.Tick + 64*sim.TicksPerSecond
}

// benches are the looks of the radios.
var benches = []desktest.View{
	{Name: "radios", Sun: true, Large: true, Put: func(s *desktest.Stage) { sit(s, atRadios) }},
	{Name: "radios after AOS", Put: func(s *desktest.Stage) {
		sit(s, func(f *desktest.Session) {
			atRadios(f)
			f.State.Bench.Above, f.State.Keyed = true, true
			f.Facts.AOS = 0
		})
		s.App.Scenes.Top().(*flying).bench.open = true
		s.Step()
	}},
}

// sit puts the desk on a stage with the radios before it.
func sit(s *desktest.Stage, change func(f *desktest.Session)) *flying {
	s.Fake = desktest.NewSession()
	change(s.Fake)
	s.Fake.Refresh()
	f := newFlying(s.Fake, port.RunRequest{})
	f.keepPaintings(s)
	s.App.Scenes.Push(s.App, f)
	s.Step()
	s.Step()
	return f
}

func TestRadiosLook(t *testing.T)      { desktest.GoldenPictures(t, benches) }
func TestRadiosKeepApart(t *testing.T) { desktest.DrawnApart(t, benches) }

// On a telephone held upright the radios' rows keep the size that they have with
// text as usual, nothing lies over anything else, and every setting can be come at
// by pressing alone.
func TestRadiosUprightAreLegible(t *testing.T) {
	kittest.NeedWindow(t)
	var usual float64
	for _, text := range []float64{1, 1.1, 1.3, 1.6, 2, 2.5} {
		s := desktest.BareStage(t, 390, 844, text, "night")
		f := sit(s, atRadios)
		s.App.Resize(390, 844, 1)
		seen := map[sim.BenchSetting]bool{}
		for i := range benchRadios {
			if r := f.bench.heads[i]; r.W > 0 {
				s.App.In.Contacts = []kit.Contact{{ID: 1, At: r.Centre(), Last: r.Centre(), Down: true, Pressed: true}}
			}
			s.Step()
			s.App.In.Contacts = nil
			desktest.CheckTexts(t, s)
			for k, r := range f.bench.rows {
				if r.W == 0 {
					continue
				}
				seen[sim.BenchSetting(k)] = true
				high := 0.0 // of the letters in the row, pixels
				for _, b := range s.Texts() {
					if r.Has(b.Rect.Centre()) {
						high = max(high, b.Rect.H*s.App.Scale())
					}
				}
				if usual == 0 {
					usual = high
				}
				if high < usual*0.95 {
					t.Errorf("text %.0f %%: %q is written %.1f pixels high, %.1f with text as usual", text*100, sim.BenchSetting(k).Title(), high, usual)
				}
			}
		}
		if len(seen) != int(sim.BenchSettings) {
			t.Errorf("text %.0f %%: only %v can be come at", text*100, seen)
		}
	}
}

// The radios are set by keys alone, by both hands and by the left alone; each
// change is a command of its own.
func TestRadiosAreSetByKeys(t *testing.T) {
	for _, c := range []struct {
		name                string
		bindings            keys.Bindings
		down, right, radios keys.Trigger
	}{{"both hands", port.DefaultBindings(), "key:ArrowDown", "key:ArrowRight", "key:B"}, {"left hand", port.LeftHand(), "key:S", "key:D", "key:F3"},
		{"right hand", port.RightHand(), "key:ArrowDown", "key:ArrowRight", "key:Slash"}} {
		t.Run(c.name, func(t *testing.T) {
			s := newPilot(t, atRadios)
			s.App.Set.Bindings = c.bindings
			s.App.Apply(s.App.Set)
			s.Update(2)
			for k := range sim.BenchSettings {
				s.Fake.Posts = nil
				was := s.Fake.State.Bench.Values[k]
				s.Press(t, c.right)
				if len(s.Fake.Posts) != 1 || s.Fake.Posts[0].Kind != k.Command() || s.Fake.Posts[0].Value == was {
					t.Fatalf("%s: posted %v", k, s.Fake.Posts)
				}
				s.Press(t, c.down)
			}
			s.Fake.State.Bench.Above = true
			s.Update(2)
			if s.f.bench.open {
				t.Fatal("the radios lie over the desk with the bird up")
			}
			s.Fake.Posts = nil
			s.Press(t, c.right)
			for _, p := range s.Fake.Posts {
				if p.Kind == sim.CommandReceiveMemory {
					t.Error("the knob's keys still set the radios")
				}
			}
			s.Press(t, c.radios)
			s.Fake.Posts = nil
			if s.Press(t, c.right); !s.f.bench.open || s.Posted(sim.CommandReceiveMemory) == 0 {
				t.Errorf("back at the radios: open %v, posted %v", s.f.bench.open, s.Fake.Posts)
			}
			if s.Press(t, c.radios); s.f.bench.open {
				t.Error("they stay open")
			}
		})
	}
}

// By the ears alone: what there is to do, each setting as it stands, what the
// card has for it, what it was set to, the countdown, and that the bird is up.
func TestRadiosByEar(t *testing.T) {
	s := newPilot(t, atRadios)
	s.Fake.Facts.AOS = s.Fake.State.Tick + 64*sim.TicksPerSecond
	s.App.Set.EarsOnly = true
	s.App.Apply(s.App.Set)
	said := desktest.Hearing(s.Stage)
	s.f.guide.begun = false
	hear := func(what string, parts ...string) {
		t.Helper()
		all := strings.Join(*said, " | ")
		for _, p := range parts {
			if !strings.Contains(all, p) {
				t.Errorf("%s: %q is not in %q", what, p, all)
			}
		}
		*said = nil
	}
	s.Update(2)
	hear("greeting", "two radios", "ten settings", "F1 tells what the card has", "Receive memory: memory 1, 145.953.57")
	s.App.SpeakAgain()
	hear("the card", "The card: 145.960.00", "rises in")
	s.Press(t, "key:ArrowRight")
	hear("set", "Memory 2, 145.960.00")
	s.Press(t, "key:ArrowDown")
	s.Press(t, "key:ArrowDown")
	hear("walk", "Receive sideband: USB.", "RIT: on, -430 Hz.")
	s.Press(t, "key:ArrowRight")
	hear("RIT", "Off.")
	s.Fake.State.Tick = s.Fake.Facts.AOS - 60*sim.TicksPerSecond
	s.Update(2)
	hear("countdown", "60 seconds")
	s.Fake.State.Bench.Above = true
	s.Update(2)
	hear("AOS", "The bird is up")
}

// With the mouse a press on a setting takes its next value.
func TestRadiosAreSetByTheMouse(t *testing.T) {
	s := newPilot(t, atRadios)
	s.Update(2)
	s.Draw()
	s.App.In.Contacts = []kit.Contact{{ID: -1, At: s.f.bench.rows[sim.BenchKeying].Centre(), Down: true, Pressed: true}}
	s.f.pointAtBench(s.App)
	if s.Posted(sim.CommandVOX) != 1 || s.f.bench.at != sim.BenchKeying {
		t.Errorf("posted %v", s.Fake.Posts)
	}
}

// How the radios are set is told while they can be set, and not when the bird is up.
func TestTheCoachSpeaksOfSettingBeforeTheBirdIsUp(t *testing.T) {
	f := desktest.NewSession()
	atRadios(f)
	f.Facts.Coach = "Down the list."
	f.State.Bench.Above = true
	p := prompter{wrongKey: never, outside: never}
	if got := p.coach(&f.State, &f.Facts, port.DefaultBindings()); got != "What sounds wrong is set wrong." {
		t.Errorf("with the bird up: %q", got)
	}
	f.Facts.Bench = nil
	if got := p.coach(&f.State, &f.Facts, port.DefaultBindings()); got != "Down the list." {
		t.Errorf("another drill: %q", got)
	}
}
