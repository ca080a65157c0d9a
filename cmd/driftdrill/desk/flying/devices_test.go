//go:build !nodesk

package flying

import (
	"math"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

// The knob has DragNotches = 36 notches a turn: our choice, stated in the settings.
func TestStickInCirclesTurnsTheKnob(t *testing.T) {
	for _, c := range []struct {
		name       string
		side       kit.Side
		turns, far float64
		want       int64
	}{
		{"right stick, three clockwise", kit.RightSide, 3, 0.95, 108},
		{"right stick, two the other way", kit.RightSide, -2, 0.95, -72},
		{"left stick", kit.LeftSide, 1, 0.95, 36},
		{"just outside the dead zone", kit.RightSide, 1, 0.40, 36},
		{"inside the dead zone", kit.RightSide, 3, 0.30, 0},
		{"a worn stick's drift", kit.RightSide, 5, 0.20, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newPilot(t, nil)
			pad := s.Plug(0)
			s.CircleStick(func(x, y float64) { pad.Stick(int(c.side), x, y) }, c.turns, c.far)
			s.WantPosted(t, sim.CommandKnob, c.want, 0)
		})
	}
}

// A stick that comes out of its dead zone at another place must not count the way between.
func TestStickLetGoAndTakenElsewhere(t *testing.T) {
	s := newPilot(t, nil)
	pad := s.Plug(0)
	for range 10 {
		pad.Stick(int(kit.RightSide), 1, 0)
		s.Update(3)
		pad.Stick(int(kit.RightSide), 0, 0)
		s.Update(3)
		pad.Stick(int(kit.RightSide), 0, 1)
		s.Update(3)
		pad.Stick(int(kit.RightSide), 0, 0)
		s.Update(3)
	}
	s.WantPosted(t, sim.CommandKnob, 0, 0)
}

func TestDeadZoneIsTheSetting(t *testing.T) {
	s := newPilot(t, nil)
	s.App.Set.StickDeadZone = 0.8
	s.App.Apply(s.App.Set)
	pad := s.Plug(0)
	s.CircleStick(func(x, y float64) { pad.Stick(int(kit.RightSide), x, y) }, 2, 0.7)
	s.WantPosted(t, sim.CommandKnob, 0, 0)
	s.CircleStick(func(x, y float64) { pad.Stick(int(kit.RightSide), x, y) }, 2, 0.9)
	s.WantPosted(t, sim.CommandKnob, 72, 0)
}

// A second gamepad works beside a first one whose stick rests off its middle.
func TestSecondGamepad(t *testing.T) {
	s := newPilot(t, nil)
	s.Plug(0).Stick(int(kit.RightSide), -1, -1)
	s.Update(5)
	pad := s.Plug(3)
	s.CircleStick(func(x, y float64) { pad.Stick(int(kit.RightSide), x, y) }, 1, 1)
	s.WantPosted(t, sim.CommandKnob, 36, 0)
	pad.Buttons[ebiten.StandardGamepadButtonFrontTopRight] = 1
	s.Update(3)
	if !s.Fake.State.Keyed {
		t.Error("the second gamepad does not key")
	}
}

// A gamepad whose layout is not known has sticks on its first four axes, and
// numbered buttons that can be bound.
func TestGamepadOfUnknownLayout(t *testing.T) {
	s := newPilot(t, nil)
	s.App.Set.Bindings.Bind(port.DeskActions(), port.Key, "pad:Button5")
	s.App.Apply(s.App.Set)
	pad := s.Plug(1)
	pad.Unknown = true
	s.CircleStick(func(x, y float64) { pad.RawAxes[2], pad.RawAxes[3] = x, y }, -1, 1)
	s.WantPosted(t, sim.CommandKnob, -36, 0)
	pad.Raw[5] = 1
	s.App.In.Collect(1)
	if b := s.App.In.NewButtons(); len(b) != 1 || b[0] != "pad:Button5" {
		t.Errorf("new buttons: %v", b)
	}
	s.Update(2)
	if !s.Fake.State.Keyed {
		t.Error("button 5 does not key")
	}
	if name := keys.Trigger("pad:Button5").Name(); name != "gamepad button 5" {
		t.Errorf("it is called %q", name)
	}
}

// The worst that can be: a transmitter that stays on because its switch is gone.
func TestUnpluggedWithTheKeyHeld(t *testing.T) {
	s := newPilot(t, nil)
	pad := s.Plug(0)
	s.Update(3) // plugged in while the run goes on
	pad.Buttons[ebiten.StandardGamepadButtonFrontTopRight] = 1
	s.Update(10)
	if !s.Fake.State.Keyed {
		t.Fatal("the gamepad does not key")
	}
	s.Unplug(0)
	s.Update(1)
	if s.Fake.State.Keyed {
		t.Fatal("the transmitter stays on after the gamepad was pulled out")
	}
	if n := s.Count(sim.CommandKey); n != 2 {
		t.Errorf("%d key commands, want press and release", n)
	}
	s.Plug(0).Buttons[ebiten.StandardGamepadButtonFrontTopRight] = 1 // in again, and pressed
	s.Update(1)
	if !s.Fake.State.Keyed {
		t.Error("plugged in again it does not key")
	}
}

func TestUnpluggedWithAStickOver(t *testing.T) {
	s := newPilot(t, nil)
	s.Plug(0).Stick(int(kit.RightSide), 1, 0)
	s.Update(3)
	s.Unplug(0)
	s.Update(1)
	s.Plug(0).Stick(int(kit.RightSide), 0, 1)
	s.Update(3)
	s.WantPosted(t, sim.CommandKnob, 0, 0)
}

// The cross and buttons of a gamepad do what the bindings say.
// Shift, which turns fast, and Tab, which latches the key, are held together
// by a hand that does both.
func TestLatchWhileTurningFast(t *testing.T) {
	s := newPilot(t, nil)
	s.Keys[ebiten.KeyShift], s.Keys[ebiten.KeyShiftLeft] = 1, 1
	s.Update(2)
	s.Keys[ebiten.KeyTab] = 1
	s.Update(3)
	if n := s.Count(sim.CommandLatch); n != 1 {
		t.Errorf("latched %d times", n)
	}
}

func TestGamepadButtons(t *testing.T) {
	for _, c := range []struct {
		button ebiten.StandardGamepadButton
		kind   sim.CommandKind
		want   int64
	}{
		{ebiten.StandardGamepadButtonLeftTop, sim.CommandKnob, 1},
		{ebiten.StandardGamepadButtonLeftLeft, sim.CommandKnob, -1},
		{ebiten.StandardGamepadButtonFrontTopLeft, sim.CommandFast, 1},
		{ebiten.StandardGamepadButtonRightBottom, sim.CommandLatch, 1},
		{ebiten.StandardGamepadButtonFrontBottomRight, sim.CommandStep, 50},
	} {
		s := newPilot(t, nil)
		pad := s.Plug(0)
		pad.Buttons[c.button] = 1
		s.Update(1)
		s.WantPosted(t, c.kind, c.want, 0)
	}
}

// Two fingers: one turns the knob, the other holds the key.
func TestFingersTurnAndKey(t *testing.T) {
	s := newPilot(t, nil)
	k := s.f.places.knob
	r := s.f.places.radius * 0.7
	at := func(turns float64) kit.Finger {
		sn, co := math.Sincos(2 * math.Pi * turns)
		return kit.Finger{7, int(math.Round(k.X + r*co)), int(math.Round(k.Y + r*sn))}
	}
	ptt := s.f.places.key.Centre()
	for i := 0; i <= 120; i++ {
		s.Touch = []kit.Finger{at(float64(i) / 60)}
		if i >= 30 && i < 90 {
			s.Touch = append(s.Touch, kit.Finger{9, int(ptt.X), int(ptt.Y)})
		}
		s.Update(1)
		if held := i >= 30 && i < 90; s.Fake.State.Keyed != held {
			t.Fatalf("update %d: keyed %v, want %v", i, s.Fake.State.Keyed, held)
		}
	}
	s.Touch = nil
	s.Update(1)
	s.WantPosted(t, sim.CommandKnob, 72, 1) // fingers lie on whole pixels
	if s.f.knob.holding {
		t.Error("the knob is still held")
	}
}

// A finger that slides off the key and is lifted elsewhere, or beyond the window's edge, lets go.
func TestFingerLiftedOutside(t *testing.T) {
	s := newPilot(t, nil)
	ptt := s.f.places.key.Centre()
	s.Touch = []kit.Finger{{4, int(ptt.X), int(ptt.Y)}}
	s.Update(3)
	s.Touch = []kit.Finger{{4, -40, 900}}
	s.Update(3)
	if !s.Fake.State.Keyed {
		t.Error("a key that is held must not go off because the finger slides")
	}
	s.Touch = nil
	s.Update(1)
	if s.Fake.State.Keyed {
		t.Error("the key is stuck")
	}
	m := s.f.places.key.Centre() // the same with the mouse
	s.MouseAt, s.Left = m, true
	s.Update(2)
	s.MouseAt = kit.Pt(2000, -5)
	s.Update(2)
	s.Left = false
	s.Update(1)
	if s.Fake.State.Keyed || s.f.touching {
		t.Error("the key is stuck to the mouse")
	}
}

// A USB knob that sends a key for each notch: down and up within an update.
func TestKnobThatSendsKeys(t *testing.T) {
	s := newPilot(t, nil)
	s.App.Set.Bindings.Bind(port.DeskActions(), port.TurnUp, "key:K")
	s.App.Apply(s.App.Set)
	for range 40 { // one each update is 60 notches a second
		s.Keys[ebiten.KeyK] = 1
		s.Update(1)
		s.Keys[ebiten.KeyK] = 0
	}
	s.WantPosted(t, sim.CommandKnob, 40, 0)
}

// A USB knob that is a fine wheel: many small parts of a notch.
func TestKnobThatIsAFineWheel(t *testing.T) {
	s := newPilot(t, nil)
	for range 400 {
		s.Turned = 1.0 / 8
		s.Update(1)
	}
	s.WantPosted(t, sim.CommandKnob, 50, 0)
	s.App.Set.WheelTurned = true
	s.Turned = 3
	s.Update(1)
	s.WantPosted(t, sim.CommandKnob, 47, 0)
}

// Where both dials are the operator's there is something for each hand.
func TestBothDialsAtOnce(t *testing.T) {
	s := newPilot(t, func(f *desktest.Session) { f.State.Rule = sim.RuleBoth })
	pad := s.Plug(0)
	s.CircleStick(func(x, y float64) { pad.Stick(int(kit.RightSide), x, y); pad.Stick(int(kit.LeftSide), y, x) }, 1, 1)
	s.WantPosted(t, sim.CommandKnob, 36, 0)
	s.WantPosted(t, sim.CommandReceive, -36, 0)
	s.Fake.Posts = nil
	s.MouseAt = s.f.dials.rows[receiveDial].Centre() // the wheel over the digits
	s.Update(1)
	s.Turned = 4
	s.Update(1)
	s.Keys[ebiten.KeyArrowUp], s.Keys[ebiten.KeyF] = 1, 1 // both hands on the keys
	s.Update(1)
	s.WantPosted(t, sim.CommandKnob, 1, 0)
	s.WantPosted(t, sim.CommandReceive, 3, 0)
}

// Digits may be dragged up and down, as by a finger.
func TestDigitsAreDragged(t *testing.T) {
	s := newPilot(t, func(f *desktest.Session) { f.State.Rule = sim.RuleBoth })
	at := s.f.dials.rows[receiveDial].Centre()
	for i := range 10 {
		s.Touch = []kit.Finger{{2, int(at.X), int(at.Y) - 9*i}}
		s.Update(1)
	}
	s.Touch = nil
	s.Update(1)
	s.WantPosted(t, sim.CommandReceive, 9, 0)
	s.WantPosted(t, sim.CommandKnob, 0, 0)
}

// With the rule "downlink" the knob and its wheel are the receive dial's, and
// the digits of the uplink are the ones beside it.
func TestKnobUnderTheDownlinkRule(t *testing.T) {
	s := newPilot(t, func(f *desktest.Session) { f.State.Rule = sim.RuleDownlink })
	s.MouseAt = s.f.dials.rows[receiveDial].Centre()
	s.Update(1)
	s.Turned = 5
	s.Update(1)
	s.WantPosted(t, sim.CommandKnob, 5, 0)
	s.MouseAt = s.f.dials.rows[uplinkDial].Centre()
	s.Update(1)
	s.Turned = 2
	s.Update(1)
	s.WantPosted(t, sim.CommandKnob, 5, 0)
	s.WantPosted(t, sim.CommandUplink, 2, 0)
}

// aimed is the desk with an antenna in the hand.
func aimed(t *testing.T) *pilot {
	s := newPilot(t, func(f *desktest.Session) { f.Facts.AimTask = true })
	s.Update(3)
	return s
}

// A click in the sky points there: the posts bring the antenna to what was clicked.
func TestPointInTheSky(t *testing.T) {
	s := aimed(t)
	r := s.f.sky.rect
	s.MouseAt, s.Left = kit.Pt(math.Round(r.Centre().X+r.W*0.2), math.Round(r.Bottom()-r.H*0.5)), true
	want := s.f.sky.direction(s.MouseAt)
	s.Update(1)
	s.Left = false
	s.Update(120)
	az := s.Fake.State.AntennaAzimuthDeg + float64(s.Posted(sim.CommandAim))/10
	el := s.Fake.State.AntennaElevationDeg + float64(s.Posted(sim.CommandRaise))/10
	if math.Abs(az-want.X) > 0.2 || math.Abs(el-want.Y) > 0.2 {
		t.Errorf("aim at %.1f, %.1f after a click at %.1f, %.1f", az, el, want.X, want.Y)
	}
	if math.Abs(want.X-s.Fake.State.AntennaAzimuthDeg-40) > 0.5 || math.Abs(want.Y-45) > 0.5 {
		t.Errorf("a fifth of 200 degrees to the right, half way up, is %.1f, %.1f", want.X, want.Y)
	}
}

// A drag takes the aim along: it ends where the mouse lets go, whatever the way was.
func TestDragInTheSky(t *testing.T) {
	s := aimed(t)
	r := s.f.sky.rect
	s.MouseAt, s.Left = kit.Pt(math.Round(r.Centre().X), math.Round(r.Bottom()-r.H/3)), true
	for i := 0; i < 40; i++ {
		s.Update(1)
		s.MouseAt.X -= 6
	}
	want := s.f.sky.direction(s.MouseAt)
	s.Update(1)
	s.Left = false
	s.Update(120)
	az := s.Fake.State.AntennaAzimuthDeg + float64(s.Posted(sim.CommandAim))/10
	if math.Abs(az-want.X) > 0.2 {
		t.Errorf("aim at %.1f, want %.1f", az, want.X)
	}
}

func TestKeysAndStickAim(t *testing.T) {
	s := aimed(t)
	s.Keys[ebiten.KeyD], s.Keys[ebiten.KeyW], s.Keys[ebiten.KeyQ] = 1, 1, 1
	s.Update(60)
	s.Keys = map[ebiten.Key]int{}
	s.Update(1)
	// a touch is 4 updates' worth, then 30 and 75 degrees a second: our choice
	s.WantPosted(t, sim.CommandAim, 315, 1)
	s.WantPosted(t, sim.CommandRaise, 315, 1)
	s.WantPosted(t, sim.CommandTwist, -787, 1)
	s.Fake.Posts = nil
	pad := s.Plug(0)
	pad.Stick(int(kit.LeftSide), 0.3, 0) // within the dead zone
	s.Update(60)
	s.WantPosted(t, sim.CommandAim, 0, 0)
	pad.Stick(int(kit.LeftSide), -1, 0)
	s.Update(60)
	s.WantPosted(t, sim.CommandAim, -450, 1)
	pad.Stick(int(kit.LeftSide), 0, 0)
	s.CircleStick(func(x, y float64) { pad.Stick(int(kit.RightSide), x, y) }, 1, 1)
	s.WantPosted(t, sim.CommandKnob, 36, 0)
}
