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

// radioSession is a session at whose knob radios are.
type radioSession struct {
	*desktest.Session
	state port.RadioState
}

func (r *radioSession) Radios() port.RadioState {
	s := r.state
	r.state.News = nil
	return s
}

// What a radio turns is shown at the knob and beside its dial, and what is new
// of it is said once.
func TestRadioIsShown(t *testing.T) {
	kittest.NeedWindow(t)
	s := desktest.NewStage(t, 1280, 720, 1, "night")
	f := fly(s, desktest.TCA-9200, 2, nil)
	r := &radioSession{Session: s.Fake}
	f.ses = r
	label := func() string {
		v := desktest.Look(s, func(c *kit.Canvas) { f.dials.draw(c, f.places.dials, f.about, &f.state) })
		return v.Text()
	}
	f.watchRadios(s.App)
	if got := label(); !strings.Contains(got, "yours to turn") {
		t.Errorf("without a radio: %s", got)
	}
	angle := f.knob.angle
	r.state = port.RadioState{Uplink: true, TurnedHz: 55, News: []port.RadioNews{{What: port.RadioReady}}}
	f.state.StepHz = 20
	f.watchRadios(s.App)
	f.watchRadios(s.App)
	if got := label(); !strings.Contains(got, "uplink · LSB · your radio") {
		t.Errorf("with a radio: %s", got)
	}
	if turned := (f.knob.angle - angle) * s.App.Set.DragNotches / 6.283185; turned < 2.74 || turned > 2.76 || f.knob.turned != 2 {
		t.Errorf("55 Hz turn the knob by %.2f notches of 20 Hz, %d whole ones", turned, f.knob.turned)
	}
}

func TestRadioWords(t *testing.T) {
	for _, c := range []struct {
		news port.RadioNews
		want string
	}{
		{port.RadioNews{What: port.RadioReady}, "Transmitter off, dummy load, microphone unplugged"},
		{port.RadioNews{What: port.RadioMissing}, "No radio yet"},
		{port.RadioNews{What: port.RadioLost, Of: "receive"}, "The receive radio is lost: keys and wheel turn the dial."},
		{port.RadioNews{What: port.RadioBack}, "The radio is back."},
		{port.RadioNews{What: port.RadioJumped}, "counts from where it is now"},
		{port.RadioNews{What: port.RadioFar, Hz: 14_250_400, WantsHz: 435_140_000}, "at 14.250 MHz, far from 435.140"},
		{port.RadioNews{What: port.RadioNear}, "turns the dial again"},
	} {
		if got := radioWords(c.news); !strings.Contains(got, c.want) {
			t.Errorf("%+v: %q, want %q", c.news, got, c.want)
		}
	}
	if got := radioWords(port.RadioNews{What: 200}); got != "" {
		t.Errorf("nothing is said as %q", got)
	}
}
