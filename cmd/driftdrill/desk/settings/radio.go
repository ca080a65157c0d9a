//go:build !nodesk

package settings

import (
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// radioPart are the settings of the operator's own radios at the knob. What
// each one says stands under its address.
func (s *settingsPage) radioPart(a *screen.App) []kit.Widget {
	if a.Cfg.CheckRadio == nil {
		return nil
	}
	wrong := func(text string) string { // a radio that is off now may be on when it is flown
		if a.Cfg.RadioAddress == nil {
			return ""
		}
		return a.Cfg.RadioAddress(text)
	}
	field := func(name string, v *string) *kit.TextField {
		return &kit.TextField{Name: name, Value: *v, Max: 100, Check: a.Cfg.CheckRadio, Refuse: wrong, Hint: "none", Done: func(text string) { *v = text }}
	}
	return []kit.Widget{
		field("your radio's dial is the knob: address of its rig-control daemon", &a.Set.RadioKnob),
		field("a second radio's dial is the receive dial", &a.Set.RadioReceive),
		&kit.Choice{Name: "of a radio's dial counts", Words: []string{"how far it turns", "what it shows"}, At: kit.Count(a.Set.RadioShows),
			Changed: func(i int) { a.Set.RadioShows = i == 1; a.Apply(a.Set) }},
	}
}
