//go:build !nodesk

package flying

import (
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// referenceFrames is how long a press of the reference key is heard at least: 1 s.
const referenceFrames = 60

// referencer is a session that lets the own voice be heard as spoken.
type referencer interface{ SetReference(on bool) }

// refer lets the own voice be heard as spoken, in its ear, for a second or as
// long as its key is held: what the return is to agree with. It is not on the air.
func (f *flying) refer(a *screen.App) {
	held := a.In.Held(port.Reference)
	if a.In.Pressed(port.Reference) {
		f.refUntil = a.Frame + referenceFrames
	}
	f.setReference(held || a.Frame < f.refUntil)
}

func (f *flying) setReference(on bool) {
	if r, ok := f.ses.(referencer); ok && on != f.refOn {
		f.refOn = on
		r.SetReference(on)
	}
}
