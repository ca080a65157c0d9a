//go:build !nodesk

package deskwire

import (
	"errors"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/radio"
)

// A typed address is judged at once and asked while somebody looks.
func TestRadioAddressIsChecked(t *testing.T) {
	p := new(radioProbes)
	if says, ok := p.check(""); says != "" || !ok {
		t.Errorf("no radio: %q, %t", says, ok)
	}
	if says, ok := p.check("http://x"); ok || !strings.Contains(says, "localhost:4532") {
		t.Errorf("no address: %q, %t", says, ok)
	}
	says, ok := p.check("127.0.0.1:1")
	if says != "asking it" || !ok {
		t.Errorf("at first: %q, %t", says, ok)
	}
	for deadline := time.Now().Add(time.Minute); ok && time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		says, ok = p.check("127.0.0.1:1")
	}
	if ok || !strings.HasPrefix(says, "nothing listens at 127.0.0.1:1") {
		t.Errorf("nobody there: %q, %t", says, ok)
	}
	p.forget("127.0.0.1:1")
	if len(p.list) != 0 {
		t.Error("it is asked for ever")
	}
}

func TestRadioSays(t *testing.T) {
	for want, s := range map[string]radio.State{
		"asking it": {},
		"no answer": {Trouble: errors.New("no answer")},
		"Nothing much, it is read: 145.000 MHz FM": {Connected: true, Name: "nothing much", Hz: 145_000_000, Mode: radio.Mode{Name: "FM"}},
		"it is read: 145.000 MHz USB":              {Connected: true, Hz: 145_000_400, Mode: radio.Mode{Name: "USB"}},
	} {
		if got, ok := probed(s); got != want || ok == (s.Trouble != nil) {
			t.Errorf("%q, %t, want %q", got, ok, want)
		}
	}
}

// The radios of the settings are watched anew once they are others; those of
// the command line stand above them.
func TestRadiosOfTheSettings(t *testing.T) {
	w := &wiring{}
	if w.useRadios() != nil {
		t.Error("a radio where none is set")
	}
	w.settings = port.Settings{RadioKnob: "127.0.0.1:1", RadioReceive: "http://x", RadioShows: true}
	first := w.useRadios()
	if first == nil || first.pair != (radio.Pair{Knob: "127.0.0.1:1", Way: radio.ByFrequency}) || w.useRadios() != first {
		t.Errorf("%+v", first)
	}
	w.settings.RadioReceive = "127.0.0.1:2"
	if second := w.useRadios(); second == first || second.pair.Receive != "127.0.0.1:2" {
		t.Errorf("%+v", second)
	}
	w.Radios = radio.Pair{Receive: "127.0.0.1:1", Way: radio.ByMovement}
	if third := w.useRadios(); third.pair != w.Radios {
		t.Errorf("%+v", third)
	}
	w.radios.close()
	if got := pairOf(&port.Settings{RadioKnob: "localhost", RadioReceive: "localhost:4532"}); got.Receive != "" || got.Knob != "localhost:4532" {
		t.Errorf("one radio twice: %+v", got)
	}
}
