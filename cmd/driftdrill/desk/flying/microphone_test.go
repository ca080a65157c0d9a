//go:build !nodesk

package flying

import (
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
)

// A live voice asks for a headset, is muted by its key with a lasting word, and
// tells once of each howl.
func TestLiveVoice(t *testing.T) {
	kittest.NeedWindow(t)
	seat := desktest.NewSeat(t, func(f *desktest.Session) { f.Live = true })
	said := desktest.Hearing(seat.Stage)
	seat.App.Scenes.Push(seat.App, newFlying(seat.Fake, port.RunRequest{}))
	head := func() string {
		f := seat.App.Scenes.Top().(*flying)
		v := desktest.Look(seat.Stage, func(c *kit.Canvas) { f.drawName(c, kit.Box(20, 20, 400, 120)) })
		return v.Text()
	}
	heard := func() string { all := strings.Join(*said, "\n"); *said = nil; return all }
	seat.Update(2)
	if got := heard(); strings.Contains(head(), "muted") {
		t.Errorf("at first: %q", got)
	}
	seat.Press(t, "key:M")
	seat.Update(2)
	if got := heard(); !seat.Fake.Muted || !strings.Contains(got, "Microphone muted") || !strings.Contains(head(), "microphone muted · M") {
		t.Errorf("muted %t: said %q, shown %q", seat.Fake.Muted, got, head())
	}
	seat.Press(t, "key:M")
	seat.Fake.Howls++
	seat.Update(3)
	if got := heard(); seat.Fake.Muted || strings.Count(got, "howled") != 1 || strings.Contains(head(), "muted") {
		t.Errorf("on again, a howl: said %q, shown %q", got, head())
	}
}
