//go:build !nodesk

package flying

import (
	"fmt"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// radios is a session whose dials the operator's own radios may turn.
type radios interface{ Radios() port.RadioState }

// watchRadios shows what a radio turns and says what is new of it.
func (f *flying) watchRadios(a *screen.App) {
	r, ok := f.ses.(radios)
	if !ok {
		return
	}
	s := r.Radios()
	f.dials.radio = [3]bool{uplinkDial: s.Uplink, receiveDial: s.Receive}
	if by := s.TurnedHz - f.radioHz; by != 0 {
		f.radioHz = s.TurnedHz
		f.knob.turnHz(by, f.state.StepHz, &a.Set)
	}
	said := ""
	for _, n := range s.News {
		said = kit.Sentences(said, radioWords(n))
	}
	if said != "" {
		a.Say(said)
	}
}

// radioWords says what is new of a radio.
func radioWords(n port.RadioNews) string {
	which := "radio"
	if n.Of != "" {
		which = n.Of + " radio"
	}
	switch n.What {
	case port.RadioReady:
		return "Your radio turns the dial. Transmitter off, dummy load, microphone unplugged: the program reads the dial and never keys."
	case port.RadioMissing:
		return fmt.Sprintf("No %s yet: keys and wheel turn the dial.", which)
	case port.RadioLost:
		return fmt.Sprintf("The %s is lost: keys and wheel turn the dial.", which)
	case port.RadioBack:
		return fmt.Sprintf("The %s is back.", which)
	case port.RadioJumped:
		return fmt.Sprintf("The %s's dial jumped: it counts from where it is now.", which)
	case port.RadioFar:
		return fmt.Sprintf("The %s's dial is at %s MHz, far from %s: it turns nothing there.", which, megahertz(n.Hz), megahertz(n.WantsHz))
	case port.RadioNear:
		return fmt.Sprintf("The %s turns the dial again.", which)
	}
	return ""
}

// megahertz writes a dial to the kilohertz.
func megahertz(hz int64) string { return fmt.Sprintf("%.3f", float64(hz)/1e6) }
