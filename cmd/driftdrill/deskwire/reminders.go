//go:build !nodesk

package deskwire

import (
	"math"
	"slices"
	"sync"
	"time"

	"driftdrill/audio/speech"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
)

// reminders are the passes that the operator is reminded of while the program
// runs. They are kept on the disk. Safe from any goroutine.
type reminders struct {
	disk trainer.Disk
	mu   sync.Mutex
	all  []trainer.Reminder
	read bool
	err  error // why they cannot be kept; told where one is set
}

// load reads them once. mu is held.
func (r *reminders) load() {
	if !r.read {
		r.all, r.err = r.disk.Reminders()
		r.read = true
	}
}

// has tells whether a pass has a reminder.
func (r *reminders) has(key string) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.load()
	return slices.ContainsFunc(r.all, func(x trainer.Reminder) bool { return x.Key == key })
}

// set sets or takes back the reminder of a pass.
func (r *reminders) set(e port.PassEntry, on bool) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.load(); r.err != nil {
		return r.err
	}
	all := slices.DeleteFunc(slices.Clone(r.all), func(x trainer.Reminder) bool { return x.Key == e.Key })
	if on {
		all = append(all, trainer.Reminder{Key: e.Key, Bird: e.Bird, AOS: e.AOS.UTC(), LOS: e.LOS.UTC(), TopDeg: e.MaxElevationDeg})
	}
	if err := r.disk.KeepReminders(all); err != nil {
		return err
	}
	r.all = all
	return nil
}

// due returns what is to be told now.
func (r *reminders) due(now time.Time) (told []trainer.Told) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.load(); r.err != nil || len(r.all) == 0 {
		return nil
	}
	left, told := trainer.Ring(r.all, now)
	if slices.Equal(left, r.all) {
		return told
	}
	if err := r.disk.KeepReminders(left); err != nil && r.err == nil {
		told = append(told, trainer.Told{Text: "The reminders cannot be kept: " + err.Error()})
		r.err = err
	}
	r.all = left
	return told
}

// chime is the sound of a reminder: three soft tones that rise, at the level of
// the spoken voice. Pitches and lengths are our choice.
var chime = sync.OnceValue(func() []float32 {
	const each, length = 0.28, 0.9 // s from tone to tone, and of each with its end
	x := make([]float32, int((2*each+length)*speech.Rate))
	for i, hz := range []float64{523.25, 659.26, 783.99} { // c'', e'', g''
		from := int(float64(i) * each * speech.Rate)
		for k := range int(length * speech.Rate) {
			t := float64(k) / speech.Rate
			soft := math.Min(t/0.03, 1) * math.Exp(-t*5) * (1 - t/length)
			x[from+k] += float32(0.2 * soft * math.Sin(2*math.Pi*hz*t))
		}
	}
	return x
})

// chimeLasts is how long a text waits for the chime before it.
const chimeLasts = 1300 * time.Millisecond

// remind sounds the chime and then says a text, whether texts are spoken or
// not: the operator asked to be told. Both go through the limiter.
func (v *voice) remind(text string) {
	v.mu.Lock()
	if v.newer != nil {
		v.newer() // what is being made ready to be said would cut the chime off
	}
	v.mu.Unlock()
	go func() {
		v.say(speech.Spoken(slices.Clone(chime())))
		time.Sleep(chimeLasts)
		v.speak(text)
	}()
}

// ringEvery is how often reminders are looked at. They do not wait for the
// window: a system may stop drawing one that nobody sees.
const ringEvery = 2 * time.Second

// keepReminding rings what is due while the program runs, until the function
// that it returns is called.
func (w *wiring) keepReminding() (stop func()) {
	if w.reminders == nil {
		return func() {}
	}
	done, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		for {
			w.ring(time.Now())
			select {
			case <-done:
				return
			case <-time.After(ringEvery):
			}
		}
	}()
	return func() { close(done); <-ended }
}

// ring sounds and says what is due at a time, and lets the window show it.
func (w *wiring) ring(now time.Time) {
	for _, t := range w.reminders.due(now.Round(0)) { // by the clock on the wall: the other one stands still while a computer sleeps
		if t.Chime && w.speech != nil {
			w.speech.remind(t.Text)
		}
		w.bring(port.News{Text: t.Text, Spoken: t.Chime})
	}
}

// bring keeps what happened until the window asks for news.
func (w *wiring) bring(n port.News) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.fresh = append(w.fresh, n)
}

// news is what the window tells a person unasked, once.
func (w *wiring) news(time.Time) []port.News {
	w.mu.Lock()
	defer w.mu.Unlock()
	fresh := w.fresh
	w.fresh = nil
	return fresh
}
