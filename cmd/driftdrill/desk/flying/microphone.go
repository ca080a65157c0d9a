//go:build !nodesk

package flying

import (
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// liveVoice is the operator's microphone during a run, as far as the desk
// tells of it.
type liveVoice struct {
	told  bool   // that he speaks live
	line  string // the lasting word of a muted one; "" = it is on
	howls int64
}

// muter is a session whose live voice can be muted.
type muter interface{ MuteMicrophone(on bool) }

// watchMicrophone mutes the microphone by its key, and says what becomes of it.
func (f *flying) watchMicrophone(a *screen.App, s port.SoundState) {
	if !s.Live {
		return
	}
	name := a.Set.Bindings.NameOf(port.MuteMic)
	if !f.live.told {
		f.live.told = true
		a.Say("You speak live: with a headset only. " + name + " mutes the microphone.")
	}
	if s.Howls > f.live.howls {
		f.live.howls = s.Howls
		a.Say("Your microphone howled and is quiet for two seconds. Use a headset, or turn the sound down.")
	}
	if m, ok := f.ses.(muter); ok && a.In.Pressed(port.MuteMic) {
		m.MuteMicrophone(!s.Muted)
		if s.Muted = !s.Muted; s.Muted {
			a.Say("Microphone muted.")
		} else {
			a.Say("Microphone on.")
		}
	}
	if f.live.line = ""; s.Muted {
		f.live.line = "microphone muted · " + name
	}
}
