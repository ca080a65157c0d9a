//go:build !nodesk

package screen

import (
	"context"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// ToneTest plays the test tone while it is wanted.
type ToneTest struct {
	work  kit.Job[toneSound]
	sound toneSound
	on    bool
	press *kit.Button
}

type toneSound struct {
	end func()
	set func(port.Levels)
}

// Button returns the button that starts and stops the tone.
func (t *ToneTest) Button(a *App) *kit.Button {
	b := &kit.Button{Text: "Play the test tone", Hint: "it starts softly; headphones on", Primary: true}
	b.Do = func() {
		t.press = b
		if t.on {
			t.Stop()
			a.Speak("The tone has ended.")
			return
		}
		t.begin(a)
	}
	return b
}

func (t *ToneTest) begin(a *App) {
	t.on = true
	t.press.Text, t.press.Hint = "Stop the tone", "your tone, and how it comes back"
	play, set := a.Cfg.TestTone, a.Set
	t.work.Start(a.Window, func(ctx context.Context) (toneSound, error) {
		end, levels, err := play(set)
		if err == nil && ctx.Err() != nil {
			end()
			return toneSound{}, ctx.Err()
		}
		return toneSound{end, levels}, err
	})
}

// Poll takes the sound once it has begun, or says that there is none.
func (t *ToneTest) Poll(a *App) {
	r, ok := t.work.Poll()
	switch {
	case !ok:
	case r.Err != nil:
		t.rest()
		a.Say("There is no sound: " + r.Err.Error())
	default:
		t.sound = r.Value
	}
}

// Levels brings new levels into the tone that sounds.
func (t *ToneTest) Levels(l port.Levels) {
	if t.sound.set != nil {
		t.sound.set(l)
	}
}

func (t *ToneTest) rest() {
	t.on = false
	if t.press != nil {
		t.press.Text, t.press.Hint = "Play the test tone", "it starts softly; headphones on"
	}
}

// Stop ends the tone.
func (t *ToneTest) Stop() {
	t.work.Stop()
	if t.sound.end != nil {
		go t.sound.end() // closing a device may take a moment
	}
	t.sound = toneSound{}
	t.rest()
}
