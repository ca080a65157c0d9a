//go:build !nodesk

package flying

import (
	"fmt"
	"math"
	"strconv"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// flying is the desk itself: one run with its instruments.
type flying struct {
	ses    port.Session
	about  *port.About
	req    port.RunRequest
	state  sim.State
	knob   knob
	dials  dials
	strip  strip
	ribbon ribbon
	hill   hill
	card   kit.Card
	prompt prompter
	guide  guide
	log    contactLog
	bench  bench
	quiz   quiz
	sky    sky
	aids   float64 // how plainly the fading aids are drawn now, 0..1
	shown  kit.Sheet
	places deskPlaces

	keyDown  bool // the key is held, by whatever device
	keyTouch int  // contact that holds the key on the window
	touching bool
	paddles  [2]bool // dot and dash, as told last
	fast     bool
	told     bool     // what the sound is like was said
	halting  string   // why the run does not count as it stands; "" = it does
	pace     string   // the same where pace or sound are why
	haltTold bool     // that was said
	refOn    bool     // the reference is heard
	refUntil int      // frame until which it is heard at least
	cardAt   sim.Tick // when the receive dial's card is told again
	second   notches  // of the dial that is not the knob's
	radioHz  int64    // by which radios had turned the knob's dial at the update before
	low      bool     // he sends with little power
	live     liveVoice
	ending   bool
	spoken   string
}

// newFlying returns the desk for a session that runs already.
func newFlying(ses port.Session, req port.RunRequest) *flying {
	f := &flying{ses: ses, about: ses.About(), req: req}
	f.prompt.outside, f.prompt.wrongKey = never, never
	return f
}

// Enter implements Scene.
func (f *flying) Enter(a *screen.App) { f.ses.SetLevels(a.Set.Levels) }

// Leave implements Scene: the run goes no further than the desk.
func (f *flying) Leave(a *screen.App) {
	if !f.ending {
		f.ses.Close()
	}
}

// Update implements Scene.
func (f *flying) Update(a *screen.App) {
	f.ses.Snapshot(&f.state)
	f.places = placeDesk(a.Size, a.Type, f.about)
	f.knob.place(f.places.knob, f.places.radius)
	if f.about.Aids.Strip && a.Frame%2 == 0 {
		f.strip.update(f.ses, &f.state, a.Pal)
	}
	f.ribbon.update(&f.state)
	f.think(a)
	f.guide.update(a, f)
	f.speak(a)
	sound := f.ses.Sound()
	f.watchSound(a, sound)
	f.watchMicrophone(a, sound)
	if sound.Silent && !f.told {
		f.told = true
		a.Say(f.silence(sound.Unwanted))
	}
	if f.ses.Done() {
		f.finish(a)
		return
	}
	f.dials.look(a.In)
	f.dials.power = powerWords(f.state.PowerW, f.low, f.about.Search)
	if say := f.dials.change(&f.state, a.Set.Bindings); say != "" {
		a.Say(say)
	}
	f.tellCard(a)
	f.log.update(a, f)
	f.hands(a)
	f.knob.glide(a.ReducedMotion)
	f.fade(a.ReducedMotion)
	if a.In.Pressed(port.Pause) {
		a.In.Swallow(keys.Back)
		f.release()
		a.Scenes.Push(a, newPaused(f))
	}
}

// silence says why nothing is heard.
func (f *flying) silence(unwanted bool) string {
	switch {
	case unwanted:
		return "No sound, as asked."
	case f.state.Tick > f.about.Start+2*sim.TicksPerSecond:
		return "The sound device has gone: the run goes on silently."
	}
	return "No sound device: the run goes on silently."
}

// hands passes on what the operator does with radios, dials, key and antenna.
func (f *flying) hands(a *screen.App) {
	if f.radios(a) {
		f.key(a)
	} else if !asks(&f.state, sim.ExerciseHear) { // there the dials are locked and the arrow keys are answers
		f.turn(a)
		f.key(a)
		f.steps(a)
		f.sayKeys(a)
		f.power(a)
	}
	f.watchRadios(a)
	f.refer(a)
	f.aim(a)
}

// think picks the prompt, and asks where the run is an exercise that asks.
func (f *flying) think(a *screen.App) {
	if f.state.Exercise.Kind == sim.ExerciseNone {
		f.prompt.upright = f.places.upright
		f.shown = f.prompt.at(&f.state, f.about, a.Set.Bindings)
		return
	}
	f.quiz.update(a, f)
	f.shown = f.quiz.prompt(&f.state, f.about)
}

// fade brings the aids in and out over a third of a second.
func (f *flying) fade(reduced bool) {
	want := float64(boolValue(f.state.AidsOn))
	if f.aids += kit.Clamp(want-f.aids, -0.05, 0.05); reduced || f.state.Tick <= f.about.Start+1 {
		f.aids = want
	}
}

func (f *flying) speak(a *screen.App) {
	if f.state.Exercise.Kind != sim.ExerciseNone && !f.state.Exercise.Asking {
		return // the verdict is spoken by itself
	}
	if say := f.spokenCard(); say != f.spoken && f.state.Phase != sim.PhaseWait {
		f.spoken = say
		a.Speak(say)
	}
}

// tellCard says how far the receive dial stands from its card, for the ears
// alone, every so often.
func (f *flying) tellCard(a *screen.App) {
	if f.state.Rule != sim.RuleBoth || f.state.Tick < f.cardAt {
		return
	}
	f.cardAt = f.state.Tick + 6*sim.TicksPerSecond
	n := int(math.Round((f.state.CardReceiveHz - float64(f.state.ReceiveHz)) / float64(max(f.state.StepHz, 1))))
	switch {
	case n > 0:
		a.Speak(fmt.Sprintf("Receive dial %d up.", n))
	case n < 0:
		a.Speak(fmt.Sprintf("Receive dial %d down.", -n))
	}
}

// turn posts what every device turned in this update.
func (f *flying) turn(a *screen.App) {
	in := a.In
	if hold := in.Held(port.Fast); hold != f.fast {
		f.fast = hold
		f.ses.Post(sim.CommandFast, boolValue(hold))
	}
	wheel, second := wheel(&a.Set, in), 0.0
	if f.dials.over != f.knobDial() && f.dials.over != noDial { // the wheel over the digits of the other dial
		wheel, second = 0, wheel
	}
	circle, other := f.circles(a)
	n := f.knob.update(in, &a.Set, wheel+circle)
	n += kit.Count(in.Repeat(port.TurnUp)) - kit.Count(in.Repeat(port.TurnDown))
	if by := f.dials.dragged(in, f.knobDial()); by != 0 {
		n += f.knob.rest.take(by)
	}
	if n != 0 {
		f.post(a, n)
	}
	if quick := kit.Count(in.Repeat(port.FastUp)) - kit.Count(in.Repeat(port.FastDown)); quick != 0 {
		f.ses.Post(sim.CommandFast, 1)
		f.post(a, quick)
		f.ses.Post(sim.CommandFast, boolValue(f.fast))
	}
	f.turnSecond(a, second+other)
}

// circles are the notches that a gamepad's sticks turned: those of the knob,
// and those of the dial beside it where both are to be turned. Where the other
// stick has nothing else to do it turns the knob too.
func (f *flying) circles(a *screen.App) (knob, second float64) {
	mine, other := sticks(&a.Set)
	per := a.Set.DragNotches / (2 * math.Pi)
	knob, second = a.In.Sticks[mine].Circle*per, a.In.Sticks[other].Circle*per
	switch {
	case f.about.AimTask:
		return knob, 0
	case f.state.Rule == sim.RuleBoth:
		return knob, second
	}
	return knob + second, 0
}

// turnSecond turns the dial that is not the knob's.
func (f *flying) turnSecond(a *screen.App, by float64) {
	dial, kind := uplinkDial, sim.CommandUplink
	if f.knobDial() == uplinkDial {
		dial, kind = receiveDial, sim.CommandReceive
	}
	n := f.second.take(by + f.dials.dragged(a.In, dial))
	receive := kit.Count(a.In.Repeat(port.ReceiveUp)) - kit.Count(a.In.Repeat(port.ReceiveDown))
	if dial == receiveDial {
		n += receive
	} else if receive != 0 {
		f.post(a, receive)
	}
	if n != 0 {
		f.ses.Post(kind, int64(n))
	}
}

// knobDial is the dial that the knob turns.
func (f *flying) knobDial() dialName {
	if f.state.Rule == sim.RuleDownlink {
		return receiveDial
	}
	return uplinkDial
}

func (f *flying) post(a *screen.App, notches int) {
	f.ses.Post(sim.CommandKnob, int64(notches))
	f.knob.turn(notches, &a.Set)
}

// key posts press and release; the latch turns the key on or off.
func (f *flying) key(a *screen.App) {
	in := a.In
	for _, c := range in.Contacts {
		if c.Pressed && !f.touching && !f.bench.open && f.places.key.Inset(-4).Has(c.At) {
			f.touching, f.keyTouch = true, c.ID
		}
		if f.touching && c.ID == f.keyTouch && !c.Down {
			f.touching = false
		}
	}
	if down := in.Held(port.Key) || f.touching; down != f.keyDown {
		f.keyDown = down
		f.ses.Post(sim.CommandKey, boolValue(down))
	}
	f.morse(in)
	if in.Pressed(port.Latch) {
		f.ses.Post(sim.CommandLatch, boolValue(!f.state.Latched))
	}
}

func (f *flying) steps(a *screen.App) {
	step := f.dials.update(a.In)
	if a.In.Pressed(port.StepSmaller) {
		step = nextStep(stepsHz, f.state.StepHz, -1)
	}
	if a.In.Pressed(port.StepLarger) {
		step = nextStep(stepsHz, f.state.StepHz, 1)
	}
	if step != 0 && step != f.state.StepHz {
		f.ses.Post(sim.CommandStep, int64(step))
		a.Set.StepHz = step
	}
}

// lowPowerDB is low power against the station's own, dB: a quarter of it.
const lowPowerDB = -6

// powerWords are what the uplink dial tells of the power: where it is low, and
// where one searches.
func powerWords(watts float64, low, search bool) string {
	if watts <= 0 || !low && !search {
		return ""
	}
	words := strconv.FormatFloat(math.Round(watts*10)/10, 'f', -1, 64) + " W"
	if low {
		words = "low power " + words
	}
	return words
}

// power sends with a quarter of the power, or with all of it again.
func (f *flying) power(a *screen.App) {
	if !a.In.Pressed(port.Power) {
		return
	}
	f.low = !f.low
	f.ses.Post(sim.CommandPower, lowPowerDB*boolValue(f.low))
	if f.low {
		a.Say("Low power: a quarter.")
	} else {
		a.Say("Full power.")
	}
}

// aim posts what was done to the antenna.
func (f *flying) aim(a *screen.App) {
	if !f.about.AimTask {
		return
	}
	_, f.sky.rect = skyField(a.Type, f.places.ribbon)
	f.sky.update(a, &f.state, f.ses)
}

// release lets go of the key, the latch, fast and the reference, as on a pause.
func (f *flying) release() {
	f.refUntil = 0
	f.setReference(false)
	if f.keyDown {
		f.keyDown, f.touching = false, false
		f.ses.Post(sim.CommandKey, 0)
	}
	f.paddle(false, false)
	if f.state.Latched {
		f.ses.Post(sim.CommandLatch, 0)
	}
	if f.fast {
		f.fast = false
		f.ses.Post(sim.CommandFast, 0)
	}
}

// finish ends the run and goes to its marks.
func (f *flying) finish(a *screen.App) {
	if f.ending {
		return
	}
	f.ending = true
	if f.knob.turned > 20 && a.Set.HintsSeen < 2 {
		a.Set.HintsSeen++
	}
	a.Save()
	a.Scenes.Replace(a, newMarking(f))
}

func boolValue(b bool) int64 {
	if b {
		return 1
	}
	return 0
}
