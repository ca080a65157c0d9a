//go:build !nodesk

package flying

import (
	"math"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

// near tells whether a number is another one to within a thousandth.
func near(a, b float64) bool { return math.Abs(a-b) < 1e-3 }

// The sky turns with the antenna, by an eighth of the way an update, the shorter way
// round; not while somebody points at it, but at its edges; at once where nothing is
// to move by itself.
func TestTheSkyTurnsWithTheAntenna(t *testing.T) {
	for _, c := range []struct {
		name             string
		middle, antenna  float64
		fresh            bool
		pointing, swings bool
		reduced          bool
		once, after      float64 // the middle after an update, and after two
	}{
		{"at first", 0, 200, true, false, false, false, 200, 200},
		{"turning", 100, 150, false, false, false, false, 106, 111.28},
		{"over north", 350, 30, false, false, false, false, 354.8, 359.024},
		{"back over north", 10, 330, false, false, false, false, 5.2, 0.976},
		{"swinging", 100, 150, false, false, true, false, 100, 100},
		{"pointing", 100, 150, false, true, true, false, 100, 100},
		{"pointing at the edge", 100, 200, false, true, true, false, 101, 101.95},
		{"pointing at the left edge", 100, 0, false, true, true, false, 99, 98.05},
		{"without motion", 100, 150, false, false, false, true, 150, 150},
		{"pointing without motion", 100, 150, false, true, false, true, 100, 100},
		{"swinging without motion", 100, 150, false, false, true, true, 100, 100},
	} {
		k := sky{middle: c.middle, begun: !c.fresh, pointing: c.pointing, swinging: c.swings}
		s := sim.State{AntennaAzimuthDeg: c.antenna}
		k.glide(&s, c.reduced)
		once := k.middle
		if k.glide(&s, c.reduced); !near(once, c.once) || !near(k.middle, c.after) {
			t.Errorf("%s: %.3f, then %.3f, want %.3f and %.3f", c.name, once, k.middle, c.once, c.after)
		}
	}
}

// An arm swings by 80 degrees a second, straight to its goal, the shorter way round,
// and is still once it is there; a key takes over at once, and a stick goes by the
// square of how far it is over.
func TestHowAnArmSwings(t *testing.T) {
	k := sky{arm: kit.Pt(350, 10), goal: kit.Pt(-7, 14), swinging: true} // 3 to the right, 4 up
	for i, want := range []kit.Point{{X: 0.8, Y: 3.2 / 3}, {X: 0.8, Y: 3.2 / 3}, {X: 0.8, Y: 3.2 / 3}, {X: 0.6, Y: 0.8}} {
		if d := k.swing(); !near(d.X, want.X) || !near(d.Y, want.Y) || k.swinging != (i < 3) {
			t.Errorf("update %d: by %.3f, swinging %v, want %.3f", i, d, k.swinging, want)
		}
	}
	k.swinging, k.pointing = true, true
	if k.swing(); !k.swinging {
		t.Error("it is still while it is pointed at")
	}
	s := aimed(t)
	r := s.f.sky.rect
	s.MouseAt, s.Left = kit.Pt(r.Right()-5, r.Y+5), true
	s.Update(2)
	s.Keys[ebiten.KeyD] = 1
	if s.Update(2); !s.f.sky.swinging {
		t.Error("a key takes the aim from a hand that points")
	}
	s.Left = false
	s.Update(2)
	s.Fake.Posts = nil
	s.Keys[ebiten.KeyD] = 0
	s.Update(1)
	s.Keys[ebiten.KeyA] = 1
	s.Update(1)
	if n := s.Posted(sim.CommandAim); s.f.sky.swinging || n < -21 || n > -19 {
		t.Errorf("a key does not take over: %v, swinging %v", s.Fake.Posts, s.f.sky.swinging)
	}
	s.Keys[ebiten.KeyA] = 0
	s.Update(1)
	pad := s.Plug(0)
	s.Fake.Posts = nil
	pad.Stick(int(kit.LeftSide), 0, -0.8)
	s.Update(60)
	at := s.App.In.Sticks[kit.LeftSide].At
	if want := int64(math.Round(at.Y * at.Y * 450)); s.Posted(sim.CommandRaise) < want-1 || s.Posted(sim.CommandRaise) > want+1 || want < 50 {
		t.Errorf("a stick at %.2f raises by %d, want %d", at, s.Posted(sim.CommandRaise), want)
	}
}

// What lies at a place of the picture is drawn at that place, and the antenna that
// points there is as well; beyond 100 degrees to either side there is nothing.
func TestPlacesInTheSky(t *testing.T) {
	k := sky{rect: kit.Box(100, 50, 400, 180), middle: 350}
	for _, c := range []struct {
		p   kit.Point
		dir kit.Point
	}{{kit.Pt(300, 230), kit.Pt(350, 0)}, {kit.Pt(100, 50), kit.Pt(250, 90)}, {kit.Pt(500, 140), kit.Pt(450, 45)}, {kit.Pt(700, 400), kit.Pt(450, 0)}, {kit.Pt(-50, -70), kit.Pt(250, 90)}} {
		d := k.direction(c.p)
		if !near(d.X, c.dir.X) || !near(d.Y, c.dir.Y) {
			t.Errorf("at %v: %v, want %v", c.p, d, c.dir)
		}
		p, out := k.at(k.rect, d.X, d.Y)
		if want := kit.Pt(kit.Clamp(c.p.X, 100, 500), kit.Clamp(c.p.Y, 50, 230)); !near(p.X, want.X) || !near(p.Y, want.Y) || out {
			t.Errorf("%v is drawn at %v, out %v", d, p, out)
		}
	}
	for az, want := range map[float64]bool{249.5: true, 250.5: false, 89.5: false, 90.5: true, 170: true} {
		if _, out := k.at(k.rect, az, 10); out != want {
			t.Errorf("azimuth %g: beyond the edge %v", az, out)
		}
	}
}

// What a run is begun with: the levels that are set, the strip worked out at every
// second update, the step that is kept for the next run, a key that does not work
// through the radios, and a run that comes too late is closed.
func TestSmallDuties(t *testing.T) {
	kittest.NeedWindow(t)
	s := desktest.NewSeat(t, nil)
	s.App.Set.Levels.MasterDB = -7
	f := newFlying(s.Fake, port.RunRequest{})
	if s.App.Scenes.Push(s.App, f); s.Fake.Levels != s.App.Set.Levels {
		t.Errorf("the run has %+v", s.Fake.Levels)
	}
	if s.Update(10); f.strip.version != 5 {
		t.Errorf("the strip is worked out %d times in 10 updates", f.strip.version)
	}
	if s.Press(t, "key:Equal"); s.App.Set.StepHz != 50 || s.Posted(sim.CommandStep) != 50 {
		t.Errorf("step %d, posted %v", s.App.Set.StepHz, s.Fake.Posts)
	}
	if s.Press(t, "key:Equal"); s.App.Set.StepHz != 100 {
		t.Errorf("step %d", s.App.Set.StepHz)
	}
	if s.Press(t, "key:Equal"); s.Count(sim.CommandStep) != 2 {
		t.Errorf("beyond the largest step: %v", s.Fake.Posts)
	}
	r := &radioSession{Session: s.Fake, state: port.RadioState{Receive: true}}
	f.ses = r
	if s.Update(1); f.dials.radio != [3]bool{receiveDial: true} {
		t.Errorf("a radio turns %v", f.dials.radio)
	}
	at := newPilot(t, atRadios)
	at.MouseAt, at.Left = at.f.places.key.Centre(), true
	if at.Update(3); at.Count(sim.CommandKey) > 0 {
		t.Error("the key works through the radios")
	}
}
