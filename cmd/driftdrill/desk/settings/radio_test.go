//go:build !nodesk

package settings

import (
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// radioPart shows the knob's settings with two radios, one of which is not there.
func radioPart(s *desktest.Stage) {
	s.App.Set.RadioKnob, s.App.Set.RadioReceive = "localhost:4532", "localhost:4533"
	s.ShowWith(New(), func(p *port.Pages) {
		p.CheckRadio = func(text string) (string, bool) {
			if text == "localhost:4533" {
				return "nothing listens at localhost:4533: is the rig-control daemon running?", false
			}
			return "Dummy, it is read: 145.000 MHz USB", true
		}
	})
	p := s.App.Scenes.Top().(*settingsPage)
	p.turnTo(3)
	s.Settle()
}

// The radios are part of the knob where they can be read, are spoken with what
// they say, and are kept.
func TestRadioSettings(t *testing.T) {
	s := desktest.NewStage(t, 1280, 720, 1, "night")
	radioPart(s)
	var fields []*kit.TextField
	for _, w := range s.App.Scenes.Top().(*settingsPage).Widgets {
		if f, ok := w.(*kit.TextField); ok {
			fields = append(fields, f)
		}
		if c, ok := w.(*kit.Choice); ok && c.Name == "of a radio's dial counts" {
			c.Changed(1)
		}
	}
	if len(fields) != 2 || !strings.Contains(fields[0].Spoken(), "it is read: 145.000 MHz") || !strings.Contains(fields[1].Spoken(), "nothing listens") {
		t.Fatalf("%d fields", len(fields))
	}
	fields[0].Done("192.0.2.7:4540")
	fields[1].Done("")
	if set := &s.App.Set; set.RadioKnob != "192.0.2.7:4540" || set.RadioReceive != "" || !set.RadioShows {
		t.Errorf("kept %q, %q, %t", set.RadioKnob, set.RadioReceive, set.RadioShows)
	}
}
