//go:build !nodesk

package deskwire

import (
	"context"
	"fmt"
	"io"
	"sync"
	"time"

	"driftdrill/assets"
	"driftdrill/audio"
	"driftdrill/audio/speech"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
)

// voice says texts, the latest one alone: as a speech program of the system
// speaks them where there is one, else, or where the person likes it better,
// in the words that the program carries. Both are heard through the limiter of
// the run that is going, or of an announcer where none is. A program that plays
// by itself speaks only where the person chose it.
type voice struct {
	stderr   io.Writer
	system   *systemVoice // whose sound can be had; nil where the system has none
	byItself *systemVoice // that plays by itself; nil where there is none
	texts    chan string

	mu        sync.Mutex
	newer     context.CancelFunc // ends the making of what is not to be said any more
	set       port.Settings
	engine    *audio.Engine // of the run, the tone or the replay that is heard now
	announcer *audio.Announcer
	sink      trainer.Output
	newSink   func() trainer.Output
	lingers   time.Duration // how long an announcer that says nothing keeps the sound going
	later     *time.Timer   // looks whether it does
	wanted    bool          // sound is: that there is none is worth a line
	said      *speech.Utterance
	told      bool // what keeps the bundled voice from being heard
}

// loadWords opens the bundled words once.
var loadWords = sync.OnceValues(func() (*speech.Bank, error) { return speech.Load(assets.Sounds, "voices/spoken") })

// newVoice finds out who can speak. Nothing is opened until something is said.
func newVoice(stderr io.Writer, newSink func() trainer.Output, wanted bool) *voice {
	v := &voice{stderr: stderr, texts: make(chan string, 64), newSink: newSink, wanted: wanted, lingers: 3 * time.Second}
	v.system, v.byItself = findSystemVoices()
	go v.run()
	return v
}

// name tells who can speak, for people.
func (v *voice) name() string {
	name := "the bundled voice"
	if v.system != nil {
		name = v.system.name + ", or " + name
	}
	if v.byItself != nil {
		name += ". The speech service plays past this program: its limiter and its levels do not hold for it"
	}
	return name
}

// choices are who can speak, the usual one first.
func (v *voice) choices() []string {
	var who []string
	if v.system != nil {
		who = append(who, port.VoiceSystem)
	}
	who = append(who, port.VoiceBundled)
	if v.byItself != nil {
		who = append(who, port.VoiceService)
	}
	return who
}

// choose takes the settings: which voice, how fast, how loud.
func (v *voice) choose(s port.Settings) {
	v.mu.Lock()
	defer v.mu.Unlock()
	v.set = s
	if v.announcer != nil {
		v.announcer.SetVolume(s.Levels.MasterDB)
	}
}

// speak says a text and cuts off the one before; "" says nothing more.
func (v *voice) speak(text string) {
	v.mu.Lock()
	defer v.mu.Unlock()
	select {
	case v.texts <- text:
	default: // far behind: the next one will do
	}
	if v.newer != nil {
		v.newer()
	}
}

// run says the latest text.
func (v *voice) run() {
	for text := range v.texts {
		ctx, cancel := context.WithCancel(context.Background())
		v.mu.Lock()
		for len(v.texts) > 0 {
			text = <-v.texts
		}
		set := v.set
		v.newer = cancel
		v.mu.Unlock()
		v.sayText(ctx, text, &set)
		cancel()
	}
}

// sayText says one text by whoever is to speak.
func (v *voice) sayText(ctx context.Context, text string, set *port.Settings) {
	if v.byItself != nil {
		if set.Voice == port.VoiceService {
			v.say(nil)
			if v.byItself.say(text, set.SpeechRate) == nil {
				return
			}
		} else {
			_ = v.byItself.say("", 0) // it may be speaking still
		}
	}
	if text == "" {
		v.say(nil)
		return
	}
	if v.system != nil && set.Voice == port.VoiceSystem {
		v.say(nil)
		r, err := v.system.sound(ctx, text, set.SpeechRate)
		if err == nil {
			v.say(r.Utterance())
			return
		}
		if ctx.Err() != nil { // it was given up for the next one
			return
		}
	}
	words, err := loadWords()
	if err != nil {
		v.tell(err)
		return
	}
	u := words.UtterAt(text, float64(orUsual(set.SpeechRate))/usualRate)
	v.say(u)
	go u.Fill()
}

// say gives an utterance to whoever is heard now.
func (v *voice) say(u *speech.Utterance) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.said != nil {
		v.said.Stop()
	}
	v.said = u
	switch {
	case v.engine != nil && !v.engine.Over():
		v.engine.Speak(u)
	case u == nil && v.announcer == nil:
	default:
		v.announce(u)
	}
}

// announce says an utterance where no run is going. mu is held.
func (v *voice) announce(u *speech.Utterance) {
	if v.announcer == nil {
		v.announcer = audio.NewAnnouncer()
		v.announcer.SetVolume(v.set.Levels.MasterDB)
		v.sink = v.newSink() // kept here: what nobody holds falls silent
		if err := v.sink.Start(v.announcer); err != nil {
			v.tellLocked(err)
		} else if v.wanted && v.sink.Silent() {
			v.tellLocked(fmt.Errorf("nothing can be spoken: no sound device answers"))
		}
	}
	v.announcer.Say(u)
	if v.later == nil {
		v.later = time.AfterFunc(v.lingers, v.rest)
	} else {
		v.later.Reset(v.lingers)
	}
}

// rest lets go of an announcer that has nothing to say: silence that is played
// costs more than a page at rest. One without a device is kept, so that the
// device is not asked for again with every text.
func (v *voice) rest() {
	v.mu.Lock()
	var sink trainer.Output
	switch {
	case v.announcer == nil || v.sink.Silent():
	case v.announcer.Busy():
		v.later.Reset(v.lingers)
	default:
		sink, v.sink, v.announcer = v.sink, nil, nil
	}
	v.mu.Unlock()
	if sink != nil {
		_ = sink.Close() // all was said
	}
}

// within lets everything be spoken within the sound of an engine, until the
// function that it returns is called.
func (v *voice) within(e *audio.Engine) (leave func()) {
	if v == nil { // a program without a window's voice
		return func() {}
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.announcer != nil {
		v.announcer.Say(nil) // two at once could be louder than either limiter allows
	}
	v.engine = e
	return func() {
		v.mu.Lock()
		defer v.mu.Unlock()
		if v.engine == e {
			v.engine = nil
		}
	}
}

func (v *voice) tell(err error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	v.tellLocked(err)
}

// tellLocked says once what keeps the voice silent. mu is held.
func (v *voice) tellLocked(err error) {
	if !v.told {
		v.told = true
		fmt.Fprintln(v.stderr, "driftdrill:", err)
	}
}

// close ends what is being said.
func (v *voice) close() {
	for _, s := range []*systemVoice{v.system, v.byItself} {
		if s != nil {
			s.close()
		}
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.later != nil {
		v.later.Stop()
	}
	if v.sink != nil {
		_ = v.sink.Close() // the program ends
	}
}

// announcer is what texts are heard on where no run is going.
func (w *wiring) announcer() trainer.Output { return w.Hardware.Run(w.set().BufferMS) }
