//go:build !nodesk

package flying

import (
	"math"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"

	"pgregory.net/rapid"
)

// circle drags a contact about the knob's middle by turns (clockwise +) in n updates and returns the notches.
func circle(k *knob, s *port.Settings, turns float64, n int) int {
	at := func(a float64) kit.Point {
		sn, co := math.Sincos(a)
		return kit.Pt(k.centre.X+0.7*k.radius*co, k.centre.Y+0.7*k.radius*sn)
	}
	in := kit.NewInput(nil)
	total := 0
	last := at(0)
	for i := 0; i <= n; i++ {
		p := at(2 * math.Pi * turns * float64(i) / float64(n))
		in.Contacts = []kit.Contact{{ID: 3, At: p, Last: last, Down: i < n, Pressed: i == 0}}
		total += k.update(in, s, wheel(s, in))
		last = p
	}
	return total
}

func TestKnobByCircularDrag(t *testing.T) {
	s := port.DefaultSettings()
	for _, c := range []struct {
		turns float64
		want  int
	}{{1, 36}, {-1, -36}, {2.5, 90}, {0.02, 0}, {-0.25, -9}} {
		k := &knob{centre: kit.Pt(640, 580), radius: 110}
		if got := circle(k, &s, c.turns, 200); got != c.want {
			t.Errorf("%v turns: %d notches, want %d", c.turns, got, c.want)
		}
		if k.holding {
			t.Errorf("%v turns: the knob is still held", c.turns)
		}
	}
}

// However a drag is cut into updates, the notches are the same to within the one not yet whole.
func TestDragDoesNotDependOnFrames(t *testing.T) {
	s := port.DefaultSettings()
	rapid.Check(t, func(t *rapid.T) {
		turns := rapid.Float64Range(-3, 3).Draw(t, "turns")
		n := rapid.IntRange(30, 400).Draw(t, "updates")
		k := &knob{centre: kit.Pt(640, 580), radius: 110}
		got := circle(k, &s, turns, n)
		if want := turns * s.DragNotches; math.Abs(float64(got)-want) >= 1+1e-6 {
			t.Fatalf("%v turns in %d updates: %d notches, want within one of %v", turns, n, got, want)
		}
	})
}

func TestWheelKeepsParts(t *testing.T) {
	s := port.DefaultSettings()
	k := &knob{radius: 110}
	in := kit.NewInput(nil)
	in.Wheel = 0.25 // a smooth wheel
	got := 0
	for i := 0; i < 10; i++ {
		got += k.update(in, &s, wheel(&s, in))
	}
	if got != 2 {
		t.Errorf("ten quarter notches gave %d, want 2", got)
	}
	s.WheelNotches = 2
	in.Wheel = -1
	if got = k.update(in, &s, wheel(&s, in)); got != -1 { // 0.5 were left over
		t.Errorf("one notch down at two a notch, half a notch kept: %d, want -1", got)
	}
}

func TestDragNearTheMiddleCountsNothing(t *testing.T) {
	s := port.DefaultSettings()
	k := &knob{centre: kit.Pt(100, 100), radius: 100}
	in := kit.NewInput(nil)
	in.Contacts = []kit.Contact{{ID: -1, At: kit.Pt(104, 100), Down: true, Pressed: true}}
	k.update(in, &s, wheel(&s, in))
	in.Contacts = []kit.Contact{{ID: -1, At: kit.Pt(96, 100), Last: kit.Pt(104, 100), Down: true}}
	if n := k.update(in, &s, wheel(&s, in)); n != 0 {
		t.Errorf("a stroke through the middle gave %d notches", n)
	}
}

func TestNextStep(t *testing.T) {
	steps := []int{10, 20, 50, 100}
	for _, c := range [][3]int{{10, -1, 10}, {10, 1, 20}, {50, 1, 100}, {100, 1, 100}, {100, -1, 50}, {30, 1, 50}} {
		if got := nextStep(steps, c[0], c[1]); got != c[2] {
			t.Errorf("from %d by %d: %d, want %d", c[0], c[1], got, c[2])
		}
	}
}

func TestDialText(t *testing.T) {
	for hz, want := range map[int64]string{435_148_240: "435.148.24", 145_864_000: "145.864.00", 0: "0.000.00", 1_296_000_990: "1296.000.99", -5: "0.000.00"} {
		if big, end := dialText(hz); big+end != want {
			t.Errorf("%d: %s%s, want %s", hz, big, end, want)
		}
	}
}
