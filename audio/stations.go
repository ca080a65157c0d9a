package audio

import (
	"errors"
	"io/fs"
	"slices"

	"driftdrill/sim"
	"driftdrill/sim/morse"
)

// ScriptScene is what a station says in one over: clips by name, each from
// a tick after the start of the script.
type ScriptScene struct {
	Voice string
	Clips []ClipScene
	Morse string  // sent in Morse in place of clips
	WPM   float64 // of Morse
}

// ClipScene is one word of a script.
type ClipScene struct {
	Name       string
	At, Length sim.Tick
}

// scripts are the scripts of a run with their clips found.
type scripts [][]timedClip

// timedClip is a clip with its place in a script, in samples at clipRate.
type timedClip struct {
	*kept
	from, to int
}

const clipSamplesPerTick = clipRate / sim.TicksPerSecond

// newScripts finds the clips of all scripts. A word that is not among the
// recordings is left out.
func newScripts(all []ScriptScene, voices *Voices) (scripts, error) {
	if voices == nil {
		return nil, nil
	}
	found := make(scripts, len(all))
	for i, s := range all {
		for _, c := range s.Clips {
			k, err := voices.clip(voices.speaker(s.Voice), c.Name)
			if errors.Is(err, fs.ErrNotExist) {
				continue
			}
			if err != nil {
				return nil, err
			}
			from := int(c.At) * clipSamplesPerTick
			to := min(from+k.len(), from+int(c.Length)*clipSamplesPerTick)
			found[i] = append(found[i], timedClip{k, from, to})
		}
	}
	return found, nil
}

// speaker gives the bundled speaker of that name; any other name stands for
// one of them, always the same.
func (v *Voices) speaker(name string) string {
	if slices.Contains(v.speakers, name) {
		return name
	}
	sum := 0
	for _, c := range []byte(name) {
		sum += int(c)
	}
	return v.speakers[sum%len(v.speakers)]
}

// stationVoice is the voice of another station: what the script says and,
// where it has none, a steady sound.
type stationVoice struct {
	raiser
	scripts scripts
	script  int // index into scripts; -1 is none
	begun   sim.Tick
	clip    int // the first clip that is not over
	pos     int // in the script, at clipRate
	plain   voice
	tone    *toneVoice
	carrier bool
	morse   [][]morse.Stretch // by script; nil where nobody sends Morse
	wpm     []float64
	cw      *cwVoice
}

// stationToneHz is the pitch with which a station tunes up.
const stationToneHz = 1000

func newStationVoice(s scripts, plain voice) *stationVoice {
	return &stationVoice{scripts: s, script: -1, plain: plain, tone: newTone(stationToneHz)}
}

// follow takes from the state what is said at this tick.
func (s *stationVoice) follow(tick sim.Tick, g *sim.Signal) {
	s.carrier = g.Carrier
	script := int(g.Script)
	if script >= len(s.scripts) && !s.sends(script) {
		script = -1
	}
	if script != s.script || g.ScriptAt != s.begun {
		s.script, s.begun, s.clip = script, g.ScriptAt, 0
		s.pos = int(tick-g.ScriptAt) * clipSamplesPerTick
		if s.sends(script) {
			s.cw.setSpeed(s.wpm[script])
			s.cw.play(s.morse[script], int(tick-g.ScriptAt)*tickFrames)
		}
	}
}

// sendIn gives the voice what scripts send in Morse, on a pitch in Hz.
func (s *stationVoice) sendIn(all []ScriptScene, pitchHz float64) {
	if !slices.ContainsFunc(all, func(s ScriptScene) bool { return s.Morse != "" }) {
		return
	}
	s.cw = newCW(cwUsualWPM, pitchHz)
	s.cw.once = true
	for _, t := range all {
		s.morse = append(s.morse, morse.Keying(t.Morse))
		s.wpm = append(s.wpm, t.WPM)
	}
}

// sends says whether a script is Morse.
func (s *stationVoice) sends(script int) bool {
	return script >= 0 && script < len(s.morse) && len(s.morse[script]) > 0
}

func (s *stationVoice) restart() { s.plain.restart() }

func (s *stationVoice) pull() (re, im float32) {
	clips := s.scripts[s.script]
	for s.clip < len(clips) && s.pos >= clips[s.clip].to {
		s.clip++
	}
	if s.clip < len(clips) && s.pos >= clips[s.clip].from {
		c := &clips[s.clip]
		re, im = c.at(s.pos - c.from)
	}
	s.pos++
	return re, im
}

func (s *stationVoice) fill(re, im []float32) {
	switch {
	case s.carrier:
		s.tone.fill(re, im)
	case s.sends(s.script):
		s.cw.fill(re, im)
	case s.script >= 0:
		s.raiser.fill(re, im, s)
	default:
		s.plain.fill(re, im)
	}
}

// plainVoice is what a station with no script says: a short call again and
// again, or a sung vowel where there are no recordings.
func plainVoice(i int, o OtherScene, voices *Voices) (voice, error) {
	if voices == nil {
		f := 105 + 13*float64(i)
		return newClipVoice(0.4, sungVowel(f, 4.5+0.3*float64(i), 0.02, vowelAh).keep()), nil
	}
	c, err := voices.clip(voices.speaker(o.Voice), "cq")
	if err != nil {
		return nil, err
	}
	return newClipVoice(0.4, c), nil
}
