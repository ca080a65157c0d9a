//go:build !nodesk

package recordings

import (
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// A recording that is not marked is seen and heard, by mouse and by what is said;
// where nothing was told it says so.
func TestTheReceiverAloneIsHeard(t *testing.T) {
	s, said := spoken(t)
	p := s.App.Scenes.Top().(*page)
	p.take(unmarked())
	s.App.Routes.Debrief = func(screen.Flown) screen.Scene { t.Error("a debrief of no marks"); return New("") }
	p.see.Do()
	h := s.App.Scenes.Top().(*hearing)
	s.Step()
	h.plot.rec.Offsets = nil
	for _, o := range [][2]float64{{2, 12.4}, {2.3, 9}, {240, -199}} {
		h.plot.rec.Offsets = append(h.plot.rec.Offsets, port.OffsetPoint{Tick: sim.Tick(o[0] * sim.TicksPerSecond), Hz: o[1]})
	}
	for at, want := range map[float64]string{0: "0:00: not told", 2.1: "0:02: 12 Hz too high", 2.2: "0:02: true", 30: "0:30: not told", 240.4: "4:00: 199 Hz too low", 599: "9:59: not told"} {
		if got := h.plot.tell(sim.Tick(at * sim.TicksPerSecond)); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	h.plot.play()
	for h.plot.sound.Opening() {
		s.Step()
	}
	if !h.plot.sound.Playing() || h.plot.sound.At() != 0 {
		t.Error("the beginning is not played")
	}
	_, plot, _ := h.plot.parts(s.App.Type)
	s.App.In.Contacts = []kit.Contact{{ID: -1, At: kit.Pt(plot.X+0.9*plot.W, plot.Centre().Y), Down: true, Pressed: true}}
	h.plot.Update(s.App.Window, true)
	s.App.In.Contacts = nil
	for h.plot.sound.Opening() {
		s.Step()
	}
	if d := h.plot.cursor - 540*sim.TicksPerSecond; d > sim.TicksPerSecond || d < -sim.TicksPerSecond {
		t.Errorf("the mouse leads to %.1f s", h.plot.cursor.Seconds())
	}
	if last := (*said)[len(*said)-1]; !strings.Contains(last, "It cannot be played: there is no file") {
		t.Errorf("said %q", last)
	}
	h.plot.rec.Offsets = nil
	if got := h.plot.tell(0); got != "0:00: not told" {
		t.Error(got)
	}
}
