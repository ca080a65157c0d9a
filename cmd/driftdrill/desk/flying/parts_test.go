//go:build !nodesk

package flying

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/sim"
)

// movements are what happens at a desk, one after the other.
var movements = []struct {
	name string
	do   func(f *flying)
}{
	{"nothing", func(f *flying) {}},
	{"a tick", func(f *flying) { f.state.Tick++ }},
	{"to the next quarter of a second", func(f *flying) { f.state.Tick += 50 - f.state.Tick%50 }},
	{"to the next second", func(f *flying) { f.state.Tick += 200 - f.state.Tick%200 }},
	{"a new row of the strip", func(f *flying) { f.strip.version++ }},
	{"the aids are drawn by half", func(f *flying) { f.aids /= 2 }},
	{"the aids rest", func(f *flying) { f.state.AidsOn = false }},
	{"they are back", func(f *flying) { f.state.AidsOn = true }},
	{"2 Hz higher", func(f *flying) { f.state.OffsetHz += 2 }},
	{"pulled by 3 Hz/s more", func(f *flying) { f.state.RateHzS += 3 }},
	{"off the air", func(f *flying) { f.state.Keyed = false }},
	{"on the air", func(f *flying) { f.state.Keyed = true }},
	{"latched", func(f *flying) { f.state.Latched = true }},
	{"the reference", func(f *flying) { f.refOn = true }},
	{"no longer his turn", func(f *flying) { f.state.Assigned = false }},
	{"listening", func(f *flying) { f.state.Phase = sim.PhaseListen }},
	{"outside the passband", func(f *flying) { f.state.InPassband = false }},
	{"a tenth of a notch", func(f *flying) { f.knob.shown += 0.017 }},
	{"a thousandth of a notch", func(f *flying) { f.knob.shown += 0.0002 }},
	{"the mouse over the knob", func(f *flying) { f.knob.hover = true }},
	{"the knob is held as well", func(f *flying) { f.knob.holding = true }},
	{"turned for a while", func(f *flying) { f.knob.turned = 60 }},
	{"the arrow lights", func(f *flying) { f.state.OffsetHz = 150 }},
	{"the other way", func(f *flying) { f.state.OffsetHz = -150 }},
	{"the other way round", func(f *flying) { f.state.Rule = sim.RuleDownlink }},
	{"both dials", func(f *flying) { f.state.Rule = sim.RuleBoth }},
	{"the card by 10 Hz", func(f *flying) { f.state.CardReceiveHz += 10 }},
	{"the card by 1 Hz", func(f *flying) { f.state.CardReceiveHz++ }},
	{"the uplink", func(f *flying) { f.state.UplinkHz += 10 }},
	{"the downlink", func(f *flying) { f.state.ReceiveHz += 10 }},
	{"the signal by 0.1 dB", func(f *flying) { f.state.SNRDB += 0.1 }},
	{"the signal by 0.3 dB", func(f *flying) { f.state.SNRDB += 0.2 }},
	{"the beacon by 0.3 dB", func(f *flying) { f.state.BeaconDB += 0.3 }},
	{"the step", func(f *flying) { f.state.StepHz = 50 }},
	{"fast", func(f *flying) { f.state.Fast = true }},
	{"low power", func(f *flying) { f.dials.power = "low power 1 W" }},
	{"the mouse over digits", func(f *flying) { f.dials.over = uplinkDial }},
	{"they are dragged", func(f *flying) { f.dials.held = uplinkDial }},
	{"a new rule", func(f *flying) { f.dials.fresh = 2 }},
	{"an update later", func(f *flying) { f.dials.fresh = 1 }},
	{"the rule is old", func(f *flying) { f.dials.fresh = 0 }},
	{"the sound breaks up", func(f *flying) { f.halting = "the sound breaks up" }},
	{"muted", func(f *flying) { f.live.line = "microphone muted" }},
	{"another prompt", func(f *flying) { f.shown.Note = "Listen." }},
	{"an entry", func(f *flying) { f.log.in = 0.5 }},
	{"it slides in", func(f *flying) { f.log.in = 1 }},
	{"a letter in it", func(f *flying) { f.log.note.Write(sim.NoteValue(sim.NoteCall, 0, 'Q')) }},
	{"it is opened", func(f *flying) { f.log.open = true }},
	{"the next place", func(f *flying) { f.log.place++ }},
	{"the next field", func(f *flying) { f.log.place, f.log.field = 0, 1 }},
	{"another contact", func(f *flying) { f.state.Contacts++ }},
}

// A picture is drawn in parts, and a part anew where what it shows has changed: a
// part too many costs the sound its time, one too few leaves an old picture, and one
// that is too small leaves traces of it.
func TestWhatIsDrawnAnew(t *testing.T) {
	kittest.NeedWindow(t)
	var all []string
	for i, look := range []struct {
		w, h int
		text float64
	}{{1280, 720, 1}, {960, 600, 2.5}, {440, 960, 1}} {
		s := desktest.BareStage(t, look.w, look.h, look.text, "night")
		f := fly(s, desktest.TCA-12400, 3, nil)
		resize(s, look.w, look.h, 1)
		p := kit.NewParts(s.App.Window)
		drawn := func() (parts []string) {
			for _, l := range s.DrawnBy(func(c *kit.Canvas) { f.DrawParts(s.App, c, p) }) {
				if strings.HasPrefix(l, "within ") {
					parts = append(parts, l)
				}
			}
			return parts
		}
		parts := drawn()
		all = append(all, fmt.Sprintf("== %dx%d, text %.0f %%", look.w, look.h, 100*look.text))
		for n, l := range parts {
			all = append(all, fmt.Sprintf("part %d %s", n, l))
		}
		for _, m := range movements[:kit.Count(i == 0)*len(movements)] {
			m.do(f)
			line := m.name + ":"
			for _, l := range drawn() {
				line += fmt.Sprintf(" %d", slices.Index(parts, l))
			}
			all = append(all, line)
		}
		f.about.AimTask = true
		all = append(all, "with an antenna in the hand:")
		all = append(all, drawn()...)
		all = append(all, drawn()...)
	}
	desktest.CompareDrawn(t, filepath.Join("testdata", "drawn", "parts.txt"), all)
}
