//go:build !nodesk

package flying

import (
	"fmt"
	"math"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// bench is the two radios of a run that begins before AOS, and the dial card
// beside them. It covers the desk until the bird is up, and again when asked for.
type bench struct {
	open  bool
	began bool
	above bool // the bird was up at the update before
	at    sim.BenchSetting
	told  int // seconds to AOS that were told last
	card  kit.Card
	rows  [sim.BenchSettings]kit.Rect // where each setting is drawn; empty where it is not
	heads [3]kit.Rect                 // where a radio is drawn as its name alone
}

// benchTells are the seconds to AOS that are told aloud.
var benchTells = []int{60, 30, 10}

// radios works the bench; true while it is open.
func (f *flying) radios(a *screen.App) bool {
	b := &f.bench
	if f.about.Bench == nil {
		return false
	}
	s := &f.state
	if !b.began {
		b.began, b.open, b.above = true, !s.Bench.Above, s.Bench.Above
	}
	switch {
	case s.Bench.Above && !b.above:
		b.above, b.open = true, false
		a.Say("The bird is up.")
	case s.Bench.Above && a.In.Pressed(port.Radios):
		b.open = !b.open
		if f.release(); b.open {
			a.Speak("Your radios. " + f.spokenSetting(b.at))
		} else {
			a.Speak("Back at the knob.")
		}
	}
	if !b.open {
		return false
	}
	f.countdown(a)
	if by := kit.Count(a.In.Repeat(keys.MenuDown)) - kit.Count(a.In.Repeat(keys.MenuUp)); by != 0 {
		f.walk(a, sim.BenchSetting((int(b.at)+by+int(sim.BenchSettings))%int(sim.BenchSettings)))
	}
	if by := kit.Count(a.In.Repeat(keys.MenuRight)) - kit.Count(a.In.Repeat(keys.MenuLeft)); by != 0 {
		f.change(a, b.at, by)
	}
	f.pointAtBench(a)
	return true
}

// countdown tells how long it is to AOS, now and then.
func (f *flying) countdown(a *screen.App) {
	left := int(math.Ceil((f.about.AOS - f.state.Tick).Seconds()))
	for _, n := range benchTells {
		if left == n && f.bench.told != n {
			f.bench.told = n
			a.Speak(fmt.Sprintf("%d seconds.", n))
		}
	}
}

// walk goes to a setting and says how it stands.
func (f *flying) walk(a *screen.App, to sim.BenchSetting) {
	f.bench.at = to
	a.Speak(f.spokenSetting(to))
}

// change takes the next value of a setting, or the one before.
func (f *flying) change(a *screen.App, k sim.BenchSetting, by int) {
	values := k.Values()
	at := 0
	for i, v := range values {
		if v == f.state.Bench.Values[k] {
			at = i
		}
	}
	v := values[(at+by+len(values))%len(values)]
	f.ses.Post(k.Command(), v)
	said := f.about.Bench.Text(k, v)
	switch k {
	case sim.BenchReceiveMemory:
		said += ", " + sim.DialText(f.about.Bench.ReceiveHz[v-1])
	case sim.BenchUplinkMemory:
		said += ", " + sim.DialText(f.about.Bench.UplinkHz[v-1])
	}
	a.Speak(kit.UpperStart(said) + ".")
}

// pointAtBench takes the mouse: a press takes the next value, the wheel either. A
// press on a radio's name goes to that radio.
func (f *flying) pointAtBench(a *screen.App) {
	for i, r := range f.bench.heads {
		for _, c := range a.In.Contacts {
			if c.Pressed && r.Has(c.At) {
				f.walk(a, benchRadios[i].from)
				return
			}
		}
	}
	for k := range f.bench.rows {
		r := f.bench.rows[k]
		for _, c := range a.In.Contacts {
			if c.Pressed && r.Has(c.At) {
				f.bench.at = sim.BenchSetting(k)
				f.change(a, f.bench.at, 1)
			}
		}
		if n := wheel(&a.Set, a.In); n != 0 && a.In.HasMouse && r.Has(a.In.Hover) {
			f.bench.at = sim.BenchSetting(k)
			f.change(a, f.bench.at, int(math.Copysign(1, n)))
		}
	}
}

// settingText is how a setting stands: of a memory with its dial.
func (f *flying) settingText(k sim.BenchSetting) string {
	s := &f.state
	text := f.about.Bench.Text(k, s.Bench.Values[k])
	switch k {
	case sim.BenchReceiveMemory:
		return text + ", " + sim.DialText(s.ReceiveHz)
	case sim.BenchUplinkMemory:
		return text + ", " + sim.DialText(s.UplinkHz)
	}
	return text
}

func (f *flying) spokenSetting(k sim.BenchSetting) string {
	return kit.UpperStart(k.Title()) + ": " + f.settingText(k) + "."
}

// tellBench is what the key that says it again says at the radios: the time,
// the setting, and what the card has for it.
func (f *flying) tellBench() string {
	k := f.bench.at
	text := f.spokenSetting(k) + " The card: " + f.about.Bench.WantsText(k) + "."
	if left := f.about.AOS - f.state.Tick; left > 0 {
		text = "It rises in " + spokenTime(left) + ". " + text
	}
	return text
}

// greetBench is what the ears are told first.
func (f *flying) greetBench(a *screen.App) string {
	b := a.Set.Bindings
	return fmt.Sprintf("%s on %s. You sit at two radios, and it rises in %s. %s and %s walk through ten settings, %s and %s set, %s tells what the card has, %s pauses. %s",
		f.about.DrillTitle, f.about.Bird, spokenTime(f.about.AOS-f.state.Tick), b.SpokenOf(keys.MenuUp), b.SpokenOf(keys.MenuDown), b.SpokenOf(keys.MenuLeft), b.SpokenOf(keys.MenuRight),
		b.NameOf(port.SpeakAgain), b.NameOf(port.Pause), f.spokenSetting(f.bench.at))
}

// benchHow says how the bench is worked, at its foot.
func benchHow(b keys.Bindings, above bool) string {
	how := []string{b.NameOf(keys.MenuUp) + " " + b.NameOf(keys.MenuDown) + " walk", b.NameOf(keys.MenuLeft) + " " + b.NameOf(keys.MenuRight) + " set"}
	if above {
		how = append(how, b.NameOf(port.Radios)+" back to the knob")
	}
	return strings.Join(how, " · ")
}
