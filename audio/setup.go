package audio

import (
	"math"

	"driftdrill/sim"
)

// NewEngine makes an engine for a run of the given setup. voices may be nil:
// then "call" is not to be had and the other stations sing.
func NewEngine(run Stepper, setup *sim.Setup, voices *Voices, cfg Config) (*Engine, error) {
	if cfg.Seed == 0 {
		cfg.Seed = setup.Seed
	}
	if cfg.Filter == FilterSSB {
		cfg.Filter = FilterOf(setup)
	}
	m := &setup.Morse
	if cfg.WPM == 0 {
		cfg.WPM = float64(m.WPM)
	}
	if cfg.CWPitchHz == 0 {
		cfg.CWPitchHz = m.PitchHz
	}
	scene := SceneOf(setup)
	if r, ok := run.(interface{ Scripts() []sim.Script }); ok {
		scene.Scripts = scriptsOf(r.Scripts())
	}
	return NewSceneEngine(run, scene, voices, cfg)
}

// FilterOf is the filter of a station's receiver.
func FilterOf(setup *sim.Setup) Filter {
	if setup.Station.Receive.FilterHz == 500 {
		return FilterCW
	}
	return FilterSSB
}

func scriptsOf(all []sim.Script) []ScriptScene {
	var out []ScriptScene
	for _, s := range all {
		t := ScriptScene{Voice: s.Voice, Morse: s.Morse, WPM: s.WPM}
		for _, c := range s.Clips {
			t.Clips = append(t.Clips, ClipScene{Name: c.Name, At: c.At, Length: c.Length})
		}
		out = append(out, t)
	}
	return out
}

// SceneOf takes from a setup what the engine has to know of it.
func SceneOf(setup *sim.Setup) Scene {
	s := Scene{OwnVoice: setup.Voice(), Call: setup.Call, Free: setup.Drill.Plan.Free, Room: setup.Bench != nil}
	if s.OwnVoice == sim.VoiceRecorded || s.OwnVoice == sim.VoiceLive { // it is with the operator: Config may bring it
		s.OwnVoice = "call"
	}
	k := max(0, min(setup.Drill.Transponder-1, len(setup.Bird.Transponders)-1))
	if len(setup.Bird.Transponders) > 0 {
		t := &setup.Bird.Transponders[k]
		s.CentreHz = 1000 * math.Round((t.DownlinkLowHz+t.DownlinkHighHz)/2000)
		s.MiddleHz = (t.DownlinkLowHz+t.DownlinkHighHz)/2 + t.OscillatorHz + setup.UnknownHz
		s.WidthHz = t.DownlinkHighHz - t.DownlinkLowHz
		s.ShoulderHz, s.ShoulderDB = t.ShoulderHz, t.ShoulderDB
	}
	if b := setup.Bird.BeaconBeside(k + 1); b != nil && b.Kind == "cw" {
		s.Beacon = BeaconScene{Text: b.Text, WPM: b.WPM}
	}
	for _, t := range setup.Trials {
		s.Trials = append(s.Trials, t.Voice)
	}
	for _, o := range setup.Others {
		s.Others = append(s.Others, OtherScene{Call: o.Call, Voice: o.Voice})
	}
	return s
}
