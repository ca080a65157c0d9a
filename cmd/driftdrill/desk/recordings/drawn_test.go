//go:build !nodesk

package recordings

import (
	"slices"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// heard opens the offset of a recording of the receiver alone, of which little was told.
func heard(s *desktest.Stage, change func(h *hearing)) {
	above(s, func(p *page) screen.Scene {
		rec := unmarked()
		for i := range rec.Offsets {
			if i%60 == 0 {
				rec.Offsets[i/60] = rec.Offsets[i]
			}
		}
		rec.Offsets = rec.Offsets[:len(rec.Offsets)/60]
		p.take(rec)
		return newHearing(p)
	})
	h := s.App.Scenes.Top().(*hearing)
	change(h)
	for h.plot.sound.Opening() {
		s.Step()
	}
	s.Settle()
}

// hardlyHeard is what is heard of it, at rest.
var hardlyHeard = desktest.View{Name: "hearing little", Put: func(s *desktest.Stage) { heard(s, func(h *hearing) { h.plot.cursor = 130 * sim.TicksPerSecond }) }}

// hearings are that page while a moment is played, or cannot be.
var hearings = []desktest.View{
	{Name: "hearing it", Put: func(s *desktest.Stage) {
		heard(s, func(h *hearing) { h.plot.cursor = 200 * sim.TicksPerSecond; h.plot.play() })
	}},
	{Name: "hearing it without sound", Put: func(s *desktest.Stage) {
		heard(s, func(h *hearing) {
			h.plot.rec.Unheard = func() bool { return true }
			h.plot.cursor, h.Focus.At = 200*sim.TicksPerSecond, 1
			h.plot.play()
		})
	}},
	{Name: "hearing it in vain", Put: func(s *desktest.Stage) {
		heard(s, func(h *hearing) { h.plot.cursor = 500 * sim.TicksPerSecond; h.plot.play() })
	}},
}

// states are further states of the pages.
var states = []desktest.View{
	{Name: "laying in vain", Put: func(s *desktest.Stage) {
		above(s, func(p *page) screen.Scene {
			return newLaying(p, port.AirPass{Key: "a", Words: "LARK-1, 09:27 to 09:40 UTC, 64° high"}, began, false)
		})
		l := s.App.Scenes.Top().(*laying)
		l.uplink.Value = "435.15"
		l.begin(s.App)
		s.Settle()
	}},
	{Name: "its pass in vain", Put: func(s *desktest.Stage) {
		above(s, func(p *page) screen.Scene { w := newWhen(p); w.began.Value = "2020-01-01 12:00"; return w })
	}},
	{Name: "kept already", Put: func(s *desktest.Stage) {
		above(s, func(p *page) screen.Scene { p.rec.Correction.Kept = true; return newKeeping(p) })
		k := s.App.Scenes.Top().(*keeping)
		k.begin(s.App, port.KeepPage)
		s.Settle()
	}},
	{Name: "stretch of all", Put: func(s *desktest.Stage) {
		above(s, func(p *page) screen.Scene {
			p.rec.Stretches, p.rec.LengthS = p.rec.Stretches[:1], 200.4
			return newStretch(p)
		})
		x := s.App.Scenes.Top().(*stretch)
		x.fromS, x.toS = 0, 600
		x.make(s.App, false)
		s.Settle()
	}},
	{Name: "recording laid", Put: func(s *desktest.Stage) {
		p := after(s, "pass.wav")
		p.as = port.ReadAs{Sent: port.SentVoice, Alone: true}
		p.take(laid("pass.wav", port.Laying{UplinkHz: 435.1e6}))
		p.rows[2].text = "a fact that needs more than the width of the window: the return comes 48 ms later, by the ninety-four overs in which both were heard well, and what is left of it is told in a third line that does not fit"
		p.list.At, p.show = 5, true
		s.Settle()
	}},
}

// What is drawn is drawn where it was looked at.
func TestDrawings(t *testing.T) {
	plain := slices.DeleteFunc(slices.Clone(views), func(v desktest.View) bool { return v.Name == "hearing" }) // of very many points
	desktest.Drawings(t, append(append(plain, hardlyHeard), states...))
	desktest.DrawingsLike(t, hardlyHeard, hearings)
}
