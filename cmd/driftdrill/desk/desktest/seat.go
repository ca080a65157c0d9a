//go:build !nodesk

package desktest

import (
	"math"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

// Seat is a stage with devices that a test plays, and a made-up run that keeps
// what was posted.
type Seat struct {
	*Stage
	*kittest.Played
}

// NewSeat returns a seat at which nothing is shown yet.
func NewSeat(t *testing.T, change func(f *Session)) *Seat {
	t.Helper()
	return seat(NewStage(t, 1280, 720, 1, "night"), change)
}

// seat puts devices and a made-up run to a stage.
func seat(s *Stage, change func(f *Session)) *Seat {
	dev := kittest.NewPlayed()
	s.App.In = kit.NewInputFrom(dev, port.DefaultBindings())
	s.App.Apply(s.App.Set)
	s.Fake = NewSession()
	s.Fake.State.Tick = TCA - 9200
	if change != nil {
		change(s.Fake)
	}
	s.Fake.Refresh()
	return &Seat{s, dev}
}

// Update makes n updates with the devices as they are.
func (s *Seat) Update(n int) {
	for ; n > 0; n-- {
		s.App.Frame++
		s.App.In.Collect(s.App.Scale())
		s.App.Scenes.Top().Update(s.App)
		s.Fake.Advance(3)
		s.Older()
	}
}

// Press presses a key for one update.
func (s *Seat) Press(t *testing.T, trigger keys.Trigger) {
	t.Helper()
	var k ebiten.Key
	if err := k.UnmarshalText([]byte(strings.TrimPrefix(string(trigger), "key:"))); err != nil {
		t.Fatal(err)
	}
	s.Keys[k], s.JustPressed = 1, []ebiten.Key{k}
	s.Update(1)
	s.Keys[k], s.JustPressed = 0, nil
	s.Update(1)
}

// Posted sums up the values posted of a kind.
func (s *Seat) Posted(kind sim.CommandKind) (sum int64) {
	for _, c := range s.Fake.Posts {
		if c.Kind == kind {
			sum += c.Value
		}
	}
	return sum
}

// Count counts what was posted of a kind.
func (s *Seat) Count(kind sim.CommandKind) (n int) {
	for _, c := range s.Fake.Posts {
		if c.Kind == kind {
			n++
		}
	}
	return n
}

// CircleStick turns a stick by turns (clockwise +) at a distance from its middle.
func (s *Seat) CircleStick(put func(x, y float64), turns, far float64) {
	const n = 240
	for i := 0; i <= n; i++ {
		sn, co := math.Sincos(2*math.Pi*turns*float64(i)/n - 0.3)
		put(far*co, far*sn)
		s.Update(1)
	}
	put(0, 0)
	s.Update(1)
}

// WantPosted checks the sum of what was posted of a kind.
func (s *Seat) WantPosted(t *testing.T, kind sim.CommandKind, want, slack int64) {
	t.Helper()
	if got := s.Posted(kind); got < want-slack || got > want+slack {
		t.Errorf("%s: %d posted, want %d (within %d)", kind, got, want, slack)
	}
}
