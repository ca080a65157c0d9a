//go:build !nodesk

package flying

import (
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// never is the tick of what has not begun.
const never sim.Tick = -1

// prompter keeps the little memory that prompts need.
type prompter struct {
	phase    sim.Phase
	over     int
	since    sim.Tick // when the phase began
	idle     sim.Tick // when keying was last right (in an over)
	wrongKey sim.Tick // when keying began in the other's over; never = not
	outside  sim.Tick // when the own signal left the passband; never = inside
	told     int      // how often others have asked him to move
	toldAt   sim.Tick // when they did last
	wasTrue  bool     // the voice was true in this over
	upright  bool     // there is a button in place of a key
}

// at returns the prompt for a state.
func (p *prompter) at(s *sim.State, ab *port.About, b keys.Bindings) kit.Sheet {
	p.watch(s)
	key := p.keyName(b)
	var out kit.Sheet
	switch s.Phase {
	case sim.PhaseWait:
		out = kit.Sheet{Title: "Get ready", Body: "The bird comes up in a moment. Headphones on, volume low."}
		if s.Tick >= ab.AOS {
			out.Body = "The bird is up, and the run begins in a moment. Headphones on, volume low."
		}
		if s.PhaseLeft > 0 {
			out.Title = fmt.Sprintf("Ready in %d", int(math.Ceil(s.PhaseLeft.Seconds())))
		}
	case sim.PhaseFind:
		out = kit.Sheet{Title: "Find yourself", Body: "Hold " + key + ": your voice goes up. Turn until it comes back true."}
		switch {
		case ab.Morse && ab.Search:
			out.Body = "Your call, then a few dots at a time, and turn: the receive dial, or the uplink over empty band. Heard? To your sidetone's pitch, and bring both dials home."
		case ab.Morse:
			out.Body = "Send dots: your tone goes up. Turn until it comes back on your sidetone's pitch."
		case ab.Search:
			out.Body = "1 says your call, " + b.NameOf(port.Power) + " lowers your power. Then " + key + " for a second at a time, and turn: the receive dial, or the uplink over empty band. Heard? Make it true, and bring both dials home."
		}
	case sim.PhaseTalk:
		out = kit.Sheet{Title: "Your over", Body: "Hold " + key + ". " + task(s)}
		if ab.Morse {
			out.Body = "Send. Keep the tone that comes back on your sidetone's pitch. " + morseHow(b)
		}
	case sim.PhaseListen:
		out = kit.Sheet{Title: "Listen", Body: "Stop sending and listen. The pass drifts on: turn along with it."}
	default:
		out = kit.Sheet{Title: "The run is over", Body: "Your marks are being worked out."}
	}
	if ab.Free && s.Found && (s.Phase == sim.PhaseTalk || s.Phase == sim.PhaseListen) {
		p.free(s, &out, b, ab.Morse)
	} else if ab.Brief != "" && (s.Phase == sim.PhaseWait || s.Phase == sim.PhaseTalk && ab.Overs == 0 && !p.read(s)) {
		out.Body = ab.Brief
	}
	if how := p.how(ab, b); how != "" && (s.Phase == sim.PhaseWait || s.Phase == sim.PhaseFind) {
		out.Body += " " + how
	}
	benchPrompt(&out, s, key, ab, b.NameOf(port.Radios))
	out.Note = p.coach(s, ab, b)
	return out
}

// The brief of a drill that is one long over says how the voice comes back at the
// start: it stands until the voice was true for a moment, or for so long. Then it
// would speak of what is no more.
const (
	briefFor  = 25 * sim.TicksPerSecond
	trueAtAll = 25.0 // Hz
)

// read tells whether the brief has done its work in this over.
func (p *prompter) read(s *sim.State) bool {
	p.wasTrue = p.wasTrue || s.Keyed && math.Abs(s.OffsetHz) <= trueAtAll
	return p.wasTrue || s.Tick-p.since > briefFor
}

// how says what else there is to work in this run, and by which keys.
func (p *prompter) how(ab *port.About, b keys.Bindings) string {
	switch {
	case ab.AimTask:
		return fmt.Sprintf("Aim: click in the sky, or %s %s %s %s; twist: %s %s.", b.NameOf(port.AimLeft), b.NameOf(port.AimRight), b.NameOf(port.AimUp), b.NameOf(port.AimDown),
			b.NameOf(port.TwistLeft), b.NameOf(port.TwistRight))
	case ab.Free && ab.Morse:
		return morseHow(b) + " " + receiveHow(b)
	case ab.Free:
		return receiveHow(b)
	case ab.Morse:
		return morseHow(b)
	}
	return ""
}

// receiveHow says how the dial that is not the knob's is turned.
func receiveHow(b keys.Bindings) string {
	return fmt.Sprintf("Receive dial: %s and %s, or the wheel over its digits.", b.NameOf(port.ReceiveUp), b.NameOf(port.ReceiveDown))
}

// task is what to do while one talks, by whose the dials are.
func task(s *sim.State) string {
	switch s.Rule {
	case sim.RuleBoth:
		return "Receive dial to its card, then the uplink to your own voice: true all the way."
	case sim.RuleDownlink:
		return "The receive dial is yours: keep your voice true all the way."
	}
	return "Keep your voice true all the way."
}

func (p *prompter) watch(s *sim.State) {
	if s.Phase != p.phase || s.Over != p.over || s.Tick < p.since {
		p.phase, p.over, p.since, p.idle = s.Phase, s.Over, s.Tick, s.Tick
		p.wrongKey, p.outside, p.wasTrue = never, never, false
	}
	if s.Keyed || !s.Assigned {
		p.idle = s.Tick
	}
	if !s.Keyed || s.Phase != sim.PhaseListen {
		p.wrongKey = never
	} else if p.wrongKey == never {
		p.wrongKey = s.Tick
	}
	if !s.Keyed || s.InPassband {
		p.outside = never
	} else if p.outside == never {
		p.outside = s.Tick
	}
}

// coach picks the one line that helps most now.
func (p *prompter) coach(s *sim.State, ab *port.About, b keys.Bindings) string {
	const second = sim.TicksPerSecond
	key := p.keyName(b)
	switch {
	case p.wrongKey != never && s.Tick-p.wrongKey > second/2 && s.Latched:
		return "You are still on the air: press " + b.NameOf(port.Latch) + "."
	case p.wrongKey != never && s.Tick-p.wrongKey > second/2:
		return "You are still on the air: let go of " + key + "."
	case s.Assigned && s.Tick-p.idle > 3*second/2:
		return "You are not on the air: hold " + key + "."
	case p.outside != never && s.Tick-p.outside > second:
		return "You have left the transponder: go back to where you were."
	case s.ByHand && s.Sent.String() != "":
		return "You sent: " + s.Sent.String()
	}
	if ab.Bench != nil && s.Bench.Above {
		return "What sounds wrong is set wrong." // how to set them stood on the dial card
	}
	return ab.Coach
}
