//go:build !nodesk

package flying

import (
	"fmt"
	"slices"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

// sayWords are what an operator can choose to say in a contact, in the order of
// the keys 1 to 6. Who says it himself needs none of them.
var sayWords = [...]struct {
	word  string
	value int64
}{{"call", sim.SayCall}, {"report", sim.SayReport}, {"locator", sim.SayLocator}, {"again", sim.SayAgain}, {"thanks", sim.SayThanks}, {"stand by", sim.SayStandBy}}

// sayKeys lets the keys 1 to 6 say something, where nothing else lies on them;
// while one looks for oneself the 1 alone, the call.
func (f *flying) sayKeys(a *screen.App) {
	inContact := f.about.Free && f.state.Found
	if !inContact && f.state.Phase != sim.PhaseFind || f.log.open && typesLog(a.Set.Bindings) {
		return
	}
	for i, w := range sayWords {
		if !inContact && w.value != sim.SayCall { // who searches has nothing else to say
			continue
		}
		for _, k := range []ebiten.Key{ebiten.KeyDigit1 + ebiten.Key(i), ebiten.KeyNumpad1 + ebiten.Key(i)} {
			if slices.Contains(a.In.NewKeys, k) && !f.taken(a.Set.Bindings, keys.Trigger("key:"+k.String())) {
				f.ses.Post(sim.CommandSay, w.value)
				a.Say("You say: " + w.word + ".")
			}
		}
	}
}

// ofAntenna are the actions that do something only with an antenna in the hand.
var ofAntenna = []keys.Action{port.AimLeft, port.AimRight, port.AimUp, port.AimDown, port.TwistLeft, port.TwistRight}

// taken tells whether a key does something at the desk in this run.
func (f *flying) taken(b keys.Bindings, key keys.Trigger) bool {
	return slices.ContainsFunc(port.DeskActions(), func(a keys.Action) bool {
		return slices.Contains(b[a], key) && (f.about.AimTask || !slices.Contains(ofAntenna, a))
	})
}

// sayLine is the list of what can be said.
func sayLine() string {
	var words []string
	for i, w := range sayWords {
		words = append(words, fmt.Sprintf("%d %s", i+1, w.word))
	}
	return "To say: " + strings.Join(words, ", ") + ". Or speak."
}

// toldTicks is for how long it is shown that others have asked one to move.
const toldTicks = 10 * sim.TicksPerSecond

// free is the prompt where there is no plan: the operator listens and calls as he likes.
func (p *prompter) free(s *sim.State, out *kit.Sheet, b keys.Bindings, morse bool) {
	if s.Told > p.told {
		p.told, p.toldAt = s.Told, s.Tick
	}
	switch {
	case p.told > 0 && s.Tick-p.toldAt < toldTicks:
		*out = kit.Sheet{Title: "You are on top of others", Body: "They ask you to move. Go some kilohertz aside, both dials, and listen before you call."}
	case s.Keyed:
		*out = kit.Sheet{Title: "You are on the air", Body: "Keep your voice true. " + sayLine()}
		if morse {
			out.Body = "Keep your tone on your sidetone's pitch. " + morseHow(b)
		}
	case morse && s.ContactWith >= 0:
		*out = kit.Sheet{Title: "In contact", Body: "Bring the receive dial until he has your sidetone's pitch, your own tone after it. When he has finished send 599, or hold " + b.NameOf(port.Key) + "."}
	case morse:
		*out = kit.Sheet{Title: "Listen, or call", Body: "A clear spot, then CQ CQ DE, your call twice, K; or hold " + b.NameOf(port.Key) + ". Then listen. " + receiveHow(b)}
	case s.ContactWith >= 0:
		*out = kit.Sheet{Title: "In contact", Body: "Bring the receive dial to him, your own voice after it, and answer when he has finished. " + sayLine()}
	default:
		*out = kit.Sheet{Title: "Listen, or call", Body: "Bring the receive dial to a voice, your own voice after it. Or call in a clear spot, some six seconds, and listen. " + receiveHow(b)}
	}
}
