//go:build !nodesk

package deskwire

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"sync"
	"time"

	"driftdrill/audio"
	"driftdrill/audio/soundfile"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
)

// voiceUnder says of each voice that can be made here what it is.
var voiceUnder = []port.OwnVoice{
	{Name: "", Words: "as the drill asks", Under: "a tone at first, a voice later"},
	{Name: "tone", Words: "a tone", Under: "the easiest to hear"},
	{Name: "whistle", Words: "a whistle", Under: "as a person tunes by it"},
	{Name: "vowel", Words: "a sung vowel", Under: "a voice that does not stop"},
	{Name: "cw", Words: "Morse", Under: "dits and your call"},
	{Name: "call", Words: "a spoken call", Under: "the bundled speaker"},
}

// ownVoices implements port.Pages.OwnVoices.
func (w *wiring) ownVoices() []port.OwnVoice {
	all := slices.Clone(voiceUnder)
	mine := port.OwnVoice{Name: sim.VoiceRecorded, Words: "my voice", Under: "record it, or drop a WAV file here", Off: true}
	if under, err := w.keptVoiceWords(); err == nil {
		mine.Off, mine.Under = false, under
	} else if !errors.Is(err, fs.ErrNotExist) {
		mine.Under = err.Error()
	}
	live := port.OwnVoice{Name: sim.VoiceLive, Words: "live", Under: "your microphone, with a headset only"}
	if why := w.Hardware.NoMicrophone(); why != "" {
		live.Off, live.Under = true, why
	}
	return append(all, mine, live)
}

// keptVoice reads the operator's own voice.
func (w *wiring) keptVoice() (*audio.Recording, error) {
	if w.VoiceFile == "" {
		return nil, fs.ErrNotExist
	}
	f, err := os.Open(w.VoiceFile)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return audio.ReadVoice(f, w.VoiceFile)
}

// voiceSeen is what was last seen of the file of the own voice: pages that list
// voices ask often, and to read it takes long.
type voiceSeen struct {
	at    time.Time
	size  int64
	words string
	err   error
}

// keptVoiceWords say what the kept voice is; its file is read once for each change of it.
func (w *wiring) keptVoiceWords() (string, error) {
	if w.VoiceFile == "" {
		return "", fs.ErrNotExist
	}
	info, err := os.Stat(w.VoiceFile)
	if err != nil {
		return "", err
	}
	w.mu.Lock()
	seen := w.voiceSeen
	w.mu.Unlock()
	if info.ModTime().Equal(seen.at) && info.Size() == seen.size {
		return seen.words, seen.err
	}
	seen = voiceSeen{at: info.ModTime(), size: info.Size()}
	if rec, err := w.keptVoice(); err != nil {
		seen.err = err
	} else {
		seen.words = fmt.Sprintf("%.0f s, of %s", rec.Seconds(), seen.at.Format("2 January 2006"))
	}
	w.mu.Lock()
	w.voiceSeen = seen
	w.mu.Unlock()
	return seen.words, seen.err
}

// voiceOf is what a run is spoken with: as this run was asked for, what was
// dropped on the window, as the command line says, or as the settings say.
func (w *wiring) voiceOf(asked string, set *port.Settings) (trainer.OwnVoice, error) {
	if asked == "" {
		if v := w.droppedVoice(); v.Name != "" {
			return v, nil
		}
		if w.First != nil && w.First.Voice.Name != "" {
			return w.First.Voice, nil
		}
		asked = set.OwnVoice
	}
	if asked != sim.VoiceRecorded {
		return trainer.OwnVoice{Name: asked}, nil
	}
	rec, err := w.keptVoice()
	if errors.Is(err, fs.ErrNotExist) {
		err = errors.New("your own voice is not recorded yet: record it on the page My voice, or choose another one there")
	}
	return trainer.OwnVoice{Name: asked, File: rec}, err
}

// isSpeech tells whether a voice is the operator's own speech, of which radios
// give no sidetone.
func isSpeech(name string) bool { return name == sim.VoiceRecorded || name == sim.VoiceLive }

// keep puts a recording in the place of the own voice that was kept before.
func (w *wiring) keep(rec *audio.Recording) (says string, err error) {
	f, err := outfile.Create(w.VoiceFile)
	if err != nil {
		return "", err
	}
	defer f.Discard() // unless it is committed
	if err := errors.Join(rec.WriteWAV(f), f.Commit()); err != nil {
		return "", err
	}
	return fmt.Sprintf("Kept as your voice: %.0f s, in %s", rec.Seconds(), w.VoiceFile), nil
}

// takeOwnVoice implements port.Pages.TakeVoice.
func (w *wiring) takeOwnVoice(_ context.Context, path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", trainer.PlainFileError(err)
	}
	defer f.Close()
	rec, err := readVoiceFile(f, path)
	if err != nil {
		return "", err
	}
	return w.keep(rec)
}

// readVoiceFile reads a voice from a WAV file, or from any sound file that is
// read here: of two sides the first.
// Of a file that is too long no more is read than tells that.
func readVoiceFile(f io.ReadSeeker, name string) (*audio.Recording, error) {
	var head [4]byte
	n, _ := io.ReadFull(f, head[:])
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return nil, fmt.Errorf("%s: cannot be read from its beginning", name)
	}
	rec, err := audio.ReadVoice(f, name)
	if err == nil || string(head[:n]) == "RIFF" {
		return rec, err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return nil, fmt.Errorf("%s: cannot be read from its beginning", name)
	}
	s, err := soundfile.Open(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	const most = 120 // s, as of a WAV file
	rec = &audio.Recording{Rate: s.Rate()}
	buf := make([]float32, 4096*s.Channels())
	for err == nil {
		var n int
		n, err = s.Read(buf)
		for i := range n {
			rec.Samples = append(rec.Samples, buf[i*s.Channels()])
		}
		if rec.Seconds() > most {
			return nil, fmt.Errorf("%s: is longer than %d s", name, most)
		}
		if n == 0 {
			break
		}
	}
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return rec, rec.CheckVoice(name)
}

// hearVoice implements port.Pages.HearVoice.
func (w *wiring) hearVoice() (stop func(), err error) {
	rec, err := w.keptVoice()
	if errors.Is(err, fs.ErrNotExist) {
		err = errors.New("nothing is recorded yet")
	}
	if err != nil {
		return nil, err
	}
	return w.play(rec)
}

// play plays a recording in both ears at the level of speech in a run.
func (w *wiring) play(rec *audio.Recording) (stop func(), err error) {
	set := w.set()
	sink := w.Hardware.Sound(set.BufferMS)
	if err := sink.Start(audio.NewPlayback(rec.Samples, rec.Samples, rec.Rate, set.Levels.MasterDB)); err != nil {
		return nil, errors.Join(err, sink.Close())
	}
	return func() { sink.Close() }, nil
}

// voiceTake is the own voice while it is recorded; it implements port.VoiceTake.
type voiceTake struct {
	*audio.VoiceTake
	w    *wiring
	mic  io.Closer
	stop func()
	over chan struct{} // closed when nothing is collected any more
}

// recordVoice implements port.Pages.RecordVoice.
func (w *wiring) recordVoice() (port.VoiceTake, error) {
	m := audio.NewMicrophone()
	mic, err := w.Hardware.Microphone(m)
	if err != nil {
		return nil, err
	}
	t := &voiceTake{VoiceTake: audio.NewVoiceTake(m, port.VoiceSeconds), w: w, mic: mic, over: make(chan struct{})}
	quit := make(chan struct{})
	t.stop = sync.OnceFunc(func() {
		close(quit)
		<-t.over
		_ = t.mic.Close() // nothing can be done about it
	})
	go t.collect(quit)
	return t, nil
}

func (t *voiceTake) collect(quit <-chan struct{}) {
	defer close(t.over)
	tick := time.NewTicker(20 * time.Millisecond)
	defer tick.Stop()
	for !t.Collect() {
		select {
		case <-quit:
			return
		case <-tick.C:
		}
	}
}

// Judge implements port.VoiceTake.
func (t *voiceTake) Judge() error {
	_, err := t.Recording()
	return err
}

// Play implements port.VoiceTake.
func (t *voiceTake) Play() (stop func(), err error) {
	rec, err := t.Recording()
	if err != nil {
		return nil, err
	}
	return t.w.play(rec)
}

// Keep implements port.VoiceTake.
func (t *voiceTake) Keep() (string, error) {
	rec, err := t.Recording()
	if err != nil {
		return "", err
	}
	return t.w.keep(rec)
}

// Close implements port.VoiceTake.
func (t *voiceTake) Close() { t.stop() }
