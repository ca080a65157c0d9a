//go:build !nodesk

package deskwire

import (
	"sync"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/radio"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
)

// radios are those at the knob, for as long as the program runs.
type radios struct {
	pair     radio.Pair
	watchers [2]*radio.Watcher // the knob's, the receive dial's; nil = none
	greeted  bool              // it was said that a radio turns the dial
}

// watchRadios begins to read the radios that are asked for; nil = none are.
func watchRadios(p radio.Pair) *radios {
	if p.Knob == "" && p.Receive == "" {
		return nil
	}
	r := &radios{pair: p}
	for i, address := range [2]string{p.Knob, p.Receive} {
		if address != "" {
			r.watchers[i] = radio.Watch(address)
		}
	}
	return r
}

// useRadios watches the radios that the command line asks for, else those of
// the settings as they are now.
func (w *wiring) useRadios() *radios {
	w.mu.Lock()
	defer w.mu.Unlock()
	want := w.Radios
	if want == (radio.Pair{}) {
		want = pairOf(&w.settings)
	}
	if w.radios == nil || w.radios.pair != want {
		w.radios.close()
		w.radios = watchRadios(want)
	}
	return w.radios
}

// pairOf are the radios of the settings; an address that is none names none.
func pairOf(s *port.Settings) (p radio.Pair) {
	for _, r := range []struct {
		text    string
		address *string
	}{{s.RadioKnob, &p.Knob}, {s.RadioReceive, &p.Receive}} {
		if at, err := radio.Address(r.text); err == nil {
			*r.address = at
		}
	}
	if p.Knob == p.Receive {
		p.Receive = ""
	}
	if p.Knob == "" && p.Receive == "" {
		return radio.Pair{}
	}
	if p.Way = radio.ByMovement; s.RadioShows {
		p.Way = radio.ByFrequency
	}
	return p
}

func (r *radios) close() {
	if r == nil {
		return
	}
	for _, w := range r.watchers {
		if w != nil {
			w.Close()
		}
	}
}

// kind is what a sheet's header says of them.
func (r *radios) kind() sim.Knob {
	if r == nil {
		return ""
	}
	kinds := [3]sim.Knob{sim.KnobRadioMovement, sim.KnobReceiveMovement, sim.KnobTwoMovement}
	if r.pair.Way == radio.ByFrequency {
		kinds = [3]sim.Knob{sim.KnobRadioFrequency, sim.KnobReceiveFrequency, sim.KnobTwoFrequency}
	}
	switch {
	case r.pair.Receive == "":
		return kinds[0]
	case r.pair.Knob == "":
		return kinds[1]
	}
	return kinds[2]
}

// dialled is the run that radios turn the dials of.
type dialled interface {
	Snapshot(*sim.State)
	Post(sim.CommandKind, int64)
}

// knobs are the radios' dials in one run. The radios' goroutines post what was
// turned, so that it waits for no frame.
type knobs struct {
	radios *radios
	run    dialled
	paused func() bool
	two    bool
	leaves []func()

	mu       sync.Mutex
	dials    [2]knobDial
	turnedHz int64
	news     []port.RadioNews
	state0   sim.State // to look into
}

// knobDial is one radio's dial in a run.
type knobDial struct {
	dial    radio.Dial
	known   bool // it was read in this run
	away    bool // it is lost or was never there, and that was told
	receive bool // it turned the receive dial last
}

// turn lets the radios turn a session's dials until they leave it.
func (r *radios) turn(s *trainer.Session) *knobs {
	if r == nil {
		return nil
	}
	return r.follow(s.Run(), s.Engine().Paused)
}

func (r *radios) follow(run dialled, paused func() bool) *knobs {
	k := &knobs{radios: r, run: run, paused: paused, two: r.watchers[0] != nil && r.watchers[1] != nil}
	for i, w := range r.watchers {
		if w != nil {
			k.leaves = append(k.leaves, w.Follow(func(e radio.Event) { k.hear(i, e) }))
		}
	}
	return k
}

// leave ends it.
func (k *knobs) leave() {
	if k == nil {
		return
	}
	for _, leave := range k.leaves {
		leave()
	}
}

// tell adds news of a radio.
func (k *knobs) tell(i int, what port.RadioEvent, hz, wants int64) {
	n := port.RadioNews{What: what, Hz: hz, WantsHz: wants}
	if k.two {
		n.Of = [2]string{"uplink", "receive"}[i]
	}
	k.news = append(k.news, n)
}

// hear takes a reading or a loss of a radio, on its goroutine.
func (k *knobs) hear(i int, e radio.Event) {
	k.mu.Lock()
	defer k.mu.Unlock()
	d := &k.dials[i]
	if e.Hz == 0 {
		d.dial.Forget()
		if !d.away {
			d.away = true
			k.tell(i, port.RadioLost, 0, 0)
		}
		return
	}
	if d.away {
		k.tell(i, port.RadioBack, e.Hz, 0)
	}
	d.known, d.away = true, false
	k.read(i, d, e.Hz)
}

// read turns the run's dial by a reading. A single radio is the knob, and turns
// the dial that the rule gives to the hand. In a pause it turns nothing: by
// frequency the dial goes where it stands once the run goes on.
func (k *knobs) read(i int, d *knobDial, hz int64) {
	s := &k.state0
	k.run.Snapshot(s)
	way := k.radios.pair.Way
	if s.Exercise.Kind != sim.ExerciseNone || s.Rule == sim.RuleComputer {
		way = radio.ByMovement // the run sets its dials by itself there
	}
	paused := k.paused()
	if paused && way == radio.ByFrequency {
		return
	}
	tune, set, shows := sim.CommandTuneUplink, sim.CommandSetUplink, s.UplinkHz
	if d.receive = i == 1 || !k.two && s.Rule == sim.RuleDownlink; d.receive {
		tune, set, shows = sim.CommandTuneReceive, sim.CommandSetReceive, s.ReceiveHz
	}
	t := d.dial.Read(way, hz, shows)
	if paused {
		return
	}
	by := t.By
	switch {
	case t.To != 0:
		by = t.To - shows
		k.run.Post(set, t.To)
	case by != 0:
		k.run.Post(tune, by)
	}
	if d.receive == (s.Rule == sim.RuleDownlink) {
		k.turnedHz += by
	}
	if what, is := map[radio.News]port.RadioEvent{radio.Jumped: port.RadioJumped, radio.Far: port.RadioFar, radio.NearNow: port.RadioNear}[t.News]; is {
		k.tell(i, what, hz, shows)
	}
}

// state is what the desk shows of the radios; what is new is told once.
func (k *knobs) state() (st port.RadioState) {
	if k == nil {
		return st
	}
	var missing [2]bool
	for i, w := range k.radios.watchers {
		missing[i] = w != nil && w.State().Trouble != nil
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	for i := range k.dials {
		d := &k.dials[i]
		if missing[i] && !d.known && !d.away {
			d.away = true
			k.tell(i, port.RadioMissing, 0, 0)
		}
		if d.known && !d.away {
			st.Uplink, st.Receive = st.Uplink || !d.receive, st.Receive || d.receive
			if !k.radios.greeted {
				k.radios.greeted = true
				k.news = append([]port.RadioNews{{What: port.RadioReady}}, k.news...)
			}
		}
	}
	st.TurnedHz, st.News, k.news = k.turnedHz, k.news, nil
	return st
}
