package audio

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
	"sync"
)

// Voices are the recorded voices that the program carries: for each speaker
// a set of clips by name. A clip is worked out when it is first asked for,
// outside the sound thread.
type Voices struct {
	fsys     fs.FS
	speakers []string // in order of name

	mu    sync.Mutex
	clips map[string]*kept // by path
	plans fftPlans
}

// LoadVoices looks through the folder "voices" of fsys, or fsys itself where
// there is none: each folder is a speaker and each WAV file in it a clip. It
// is an error where there is no speaker with a "call".
func LoadVoices(fsys fs.FS) (*Voices, error) {
	if sub, err := fs.Sub(fsys, "voices"); err == nil {
		if _, err := fs.Stat(fsys, "voices"); err == nil {
			fsys = sub
		}
	}
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return nil, fmt.Errorf("recorded voices: %w", err)
	}
	v := &Voices{fsys: fsys, clips: map[string]*kept{}, plans: fftPlans{}}
	for _, e := range entries {
		if !e.IsDir() {
			continue
		}
		if _, err := fs.Stat(fsys, path.Join(e.Name(), "call.wav")); err == nil {
			v.speakers = append(v.speakers, e.Name())
		}
	}
	if len(v.speakers) == 0 {
		return nil, errors.New("recorded voices: no folder with a call.wav")
	}
	slices.Sort(v.speakers)
	return v, nil
}

// Speakers names the bundled voices.
func (v *Voices) Speakers() []string { return slices.Clone(v.speakers) }

// clip gives one clip of a speaker.
func (v *Voices) clip(speaker, name string) (*kept, error) {
	file := path.Join(speaker, name+".wav")
	v.mu.Lock()
	defer v.mu.Unlock()
	if c := v.clips[file]; c != nil {
		return c, nil
	}
	f, err := v.fsys.Open(file)
	if err != nil {
		return nil, fmt.Errorf("recorded voice: %w", err)
	}
	defer f.Close()
	c, err := readClip(f, file, v.plans)
	if err != nil {
		return nil, fmt.Errorf("recorded voice: %w", err)
	}
	v.clips[file] = c.keep()
	return v.clips[file], nil
}

// tidy lets go of what only making clips needs: some 18 MB of transforms.
func (v *Voices) tidy() {
	if v == nil {
		return
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	v.plans = fftPlans{}
}

// readClip reads a WAV and makes it a voice: resampled, filtered, trimmed
// and brought to the loudness that all voices have.
func readClip(f fs.File, name string, plans fftPlans) (*clip, error) {
	rec, err := ReadWAV(f, name, maxVoiceS)
	if err != nil {
		return nil, err
	}
	return rec.clip(name, plans)
}

// maxVoiceS is the longest recording that can be one's own voice, s.
const maxVoiceS = 120

func (r *Recording) clip(name string, plans fftPlans) (*clip, error) {
	c := newClip(r.Samples, r.Rate, plans)
	if !c.holdsVoice() || !c.level() {
		return nil, fmt.Errorf("%s: holds no voice: nothing between %d and %d Hz is louder than %d dB; speak again, nearer to the microphone", name, speechLowHz, speechHighHz, floorDB)
	}
	c.trim()
	c.level()
	return c, nil
}

// ReadVoice reads the operator's own voice from a WAV file of any rate and
// format, at most 120 s long. The error is one line and says what to do.
func ReadVoice(r io.Reader, name string) (*Recording, error) {
	rec, err := ReadWAV(r, name, maxVoiceS)
	if err != nil {
		return nil, err
	}
	if _, err := rec.clip(name, fftPlans{}); err != nil {
		return nil, err
	}
	return rec, nil
}

// CheckVoice tells why a recording cannot be used as a voice: nothing in it is
// loud enough where voices are.
func (r *Recording) CheckVoice(name string) error {
	_, err := r.clip(name, fftPlans{})
	return err
}

// voice makes a recording the own voice: repeated after a pause.
func (r *Recording) voice() (voice, error) {
	if r == nil || len(r.Samples) == 0 {
		return nil, errors.New("own voice \"own\": no recording is given")
	}
	c, err := r.clip("own recording", fftPlans{})
	if err != nil {
		return nil, err
	}
	return newClipVoice(ownGapS, c.keep()), nil
}

// ownGapS is the pause before the operator's own recording is repeated.
const ownGapS = 0.6

// callGapS is the pause between two spoken calls.
const callGapS = 1.2

// recordedCall is the call that each speaker's recorded call says.
const recordedCall = "Q5HTH"

// call is the operator's call spoken by a speaker; "" is the first of them, and
// "" for the sign is the recorded call.
func (v *Voices) call(speaker, sign string) (voice, error) {
	if v == nil {
		return nil, errors.New("the spoken call is not there: the program was started without its recorded voices")
	}
	if speaker == "" {
		speaker = v.speakers[0]
	}
	if !slices.Contains(v.speakers, speaker) {
		return nil, fmt.Errorf("speaker %q: %s are there", speaker, strings.Join(v.speakers, ", "))
	}
	c, err := v.clip(speaker, "call")
	if sign != "" && !strings.EqualFold(sign, recordedCall) {
		c, err = v.spelledCall(speaker, sign)
	}
	if err != nil {
		return nil, err
	}
	return newClipVoice(callGapS, c), nil
}

// callWords are the clips that say a call as the recorded one is said: a general
// call, and the sign twice. A sign that no speaker can spell is passed over.
func callWords(sign string) []string {
	words := []string{"cq", "satellite", "de"}
	for range 2 {
		for _, r := range strings.ToLower(sign) {
			words = append(words, string(r))
		}
		words = append(words, "")
	}
	return words
}

// Pauses in a call that is put together: common practice, no published source.
const (
	spellGapS = 0.06 // after a word or a letter
	signGapS  = 0.25 // after the whole sign
)

// spelledCall joins a speaker's clips to his saying a call.
func (v *Voices) spelledCall(speaker, sign string) (*kept, error) {
	all := &clip{}
	for _, word := range callWords(sign) {
		gapS := spellGapS
		if word == "" {
			gapS = signGapS
		} else {
			k, err := v.clip(speaker, word)
			if errors.Is(err, fs.ErrNotExist) {
				continue
			}
			if err != nil {
				return nil, err
			}
			for i := range k.len() {
				re, im := k.at(i)
				all.re, all.im = append(all.re, re), append(all.im, im)
			}
		}
		gap := make([]float32, int(gapS*clipRate))
		all.re, all.im = append(all.re, gap...), append(all.im, gap...)
	}
	return all.keep(), nil
}
