//go:build !nodesk

package settings

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
)

// states are further states of the pages.
var states = []desktest.View{
	{Name: "settings with everything", Put: func(s *desktest.Stage) {
		s.ShowWith(New(), everything)
		s.App.Scenes.Top().(*settingsPage).turnTo(4)
		s.Settle()
	}},
	{Name: "keys waiting", Put: func(s *desktest.Stage) {
		p := newKeysPage()
		s.Show(p)
		p.list.At = 5
		p.ask(s.App, p.actions[5])
		s.Settle()
	}},
	{Name: "keys twice and none", Put: func(s *desktest.Stage) {
		s.Show(newKeysPage())
		p := s.App.Scenes.Top().(*keysPage)
		s.App.Set.Bindings[port.Latch] = append(s.App.Set.Bindings[port.Latch], "key:Space", "key:A", "key:NumpadMultiply", "key:NumpadSubtract", "pad:FrontBottomRight", "key:ShiftRight")
		s.App.Set.Bindings[port.Dot] = nil
		p.apply(s.App)
		s.Settle()
	}},
	{Name: "my voice recorded", Put: func(s *desktest.Stage) {
		p := newVoicePage()
		s.Show(p)
		s.App.Set.OwnVoice = "call"
		p.begin(s.App)
		p.take.(*desktest.Take).Seconds = port.VoiceSeconds
		s.Settle()
		p.play(s.App)
		s.Settle()
	}},
}

// What is drawn is drawn where it was looked at.
func TestDrawings(t *testing.T) {
	desktest.Drawings(t, append(states, views...))
}
