package audio

import "fmt"

// Scene is what the engine has to know of a run beforehand.
type Scene struct {
	CentreHz   float64 // of the rendered passband; near the middle of the downlink
	MiddleHz   float64 // of the downlink passband, as the bird sends it
	WidthHz    float64 // of the downlink passband; 0 is without edges
	ShoulderHz float64 // width of the fall outside it
	ShoulderDB float64 // attenuation at its end

	OwnVoice string   // as Config.OwnVoice
	Trials   []string // own voices that State.Exercise may call for
	Call     string   // own call sign
	Beacon   BeaconScene
	Others   []OtherScene
	Scripts  []ScriptScene // what stations say; Signal.Script counts in it
}

// BeaconScene is how the beacon sounds.
type BeaconScene struct {
	Text string  // sent in Morse; "" is an unmodulated carrier
	WPM  float64 // 0 is 15
}

// OtherScene is another station.
type OtherScene struct {
	Call  string
	Voice string // speaker of the bundled voices, or "cw"; "" is one chosen by its number
}

// ownVoices makes the operator's voice and those that the trials of an
// exercise call for.
func (e *Engine) ownVoices(cfg Config) error {
	name := cfg.OwnVoice
	if name == "" {
		name = e.scene.OwnVoice
	}
	usual, err := ownVoice(name, e.scene, e.voices, cfg)
	if err != nil {
		return err
	}
	e.own, e.usual = usual, usual
	e.trials = map[string]voice{}
	for _, t := range e.scene.Trials {
		if t == "" || e.trials[t] != nil {
			continue
		}
		if e.trials[t], err = ownVoice(t, e.scene, e.voices, cfg); err != nil {
			return err
		}
	}
	return nil
}

// chooseVoice takes up the voice that the present trial asks for.
func (e *Engine) chooseVoice() {
	want := e.usual
	if v := e.trials[e.state.Exercise.Voice]; v != nil {
		want = v
	}
	if want != e.own {
		e.own = want
		e.own.restart()
	}
}

// ownVoice makes one voice by its name.
func ownVoice(name string, scene Scene, voices *Voices, cfg Config) (voice, error) {
	pitch := cfg.TonePitchHz
	if pitch == 0 {
		pitch = cfg.Headset.Region.ToneHz()
	}
	if !(pitch >= 100 && pitch <= speechHighHz) {
		return nil, fmt.Errorf("own tone of %g Hz: a tone between 100 and %d Hz is needed", pitch, speechHighHz)
	}
	switch name {
	case "", "tone":
		return newTone(pitch), nil
	case "vowel":
		return newClipVoice(0, sungVowel(130, 5, 0.008, vowelAh)), nil
	case "whistle":
		return newClipVoice(0, whistle(1000)), nil
	case "cw":
		return newCW(cwOwnText(scene.Call), cfg.WPM, pitch), nil
	case "own":
		return cfg.Own.voice()
	case "mic":
		return newMicVoice(cfg.Mic)
	case "call":
		return voices.call(cfg.Speaker)
	}
	return nil, fmt.Errorf("own voice %q: tone, vowel, whistle, cw, call, own and mic are known", name)
}

// cwOwnText is what the operator sends in Morse: dits to be found by, and his call.
func cwOwnText(call string) string { return "EEEE EEEE DE " + call }

// giveVoices gives every other station and the beacon a voice.
func (e *Engine) giveVoices(voices *Voices) error {
	e.channels[1].voice = newTone(0)
	if b := e.scene.Beacon; b.Text != "" {
		e.channels[1].voice = newCW(b.Text, b.WPM, 0)
	}
	all, err := newScripts(e.scene.Scripts, voices)
	if err != nil {
		return err
	}
	for i, o := range e.scene.Others {
		if i >= len(e.channels)-2 {
			break
		}
		plain, err := plainVoice(i, o, voices)
		if err != nil {
			return err
		}
		e.channels[2+i].voice = newStationVoice(all, plain)
	}
	return nil
}
