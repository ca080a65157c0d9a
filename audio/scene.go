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
	Free     bool     // no plan: he calls and answers
	Room     bool     // the microphone may pick up loudspeaker and room: State.Bench says when
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
	if c, ok := e.own.(*cwVoice); ok {
		c.byHand, c.down, c.next = e.state.ByHand, e.state.Carrier, e.ownText()
	}
}

// ownText is what an own key that is held sends by itself from its next over on.
func (e *Engine) ownText() int {
	switch {
	case e.state.ContactWith >= 0 && e.scene.Free:
		return cwReport
	case e.state.Found && e.scene.Free:
		return cwCall
	}
	return cwFind
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
		return newClipVoice(0, sungVowel(130, 5, 0.008, vowelAh).keep()), nil
	case "whistle":
		return newClipVoice(0, whistle(1000).keep()), nil
	case "cw":
		if cfg.CWPitchHz != 0 {
			pitch = cfg.CWPitchHz
		}
		return newCW(cfg.WPM, pitch, cwOwnTexts(scene.Call)...), nil
	case "own":
		return cfg.Own.voice()
	case "mic":
		return newMicVoice(cfg.Mic)
	case "call":
		return voices.call(cfg.Speaker, scene.Call)
	}
	return nil, fmt.Errorf("own voice %q: tone, vowel, whistle, cw, call, own and mic are known", name)
}

// giveVoices gives every other station and the beacon a voice.
func (e *Engine) giveVoices(voices *Voices, cfg Config) error {
	e.channels[1].voice = newTone(0)
	if b := e.scene.Beacon; b.Text != "" {
		e.channels[1].voice = newCW(b.WPM, 0, b.Text)
	}
	pitch := cfg.CWPitchHz
	if pitch == 0 {
		pitch = defaultPitchHz
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
		v := newStationVoice(all, plain)
		v.sendIn(e.scene.Scripts, pitch)
		e.channels[2+i].voice = v
	}
	return nil
}
