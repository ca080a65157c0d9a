package trainer

import (
	"errors"
	"io"
	"path/filepath"
	"testing"
	"time"

	"driftdrill/audio"
	"driftdrill/sim"
)

// aSetup prepares the first drill.
func aSetup(t *testing.T) sim.Setup {
	t.Helper()
	f := Flight{Drill: FirstDrill, Seed: 3}
	setup, err := f.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	return setup
}

// aSheet is the sheet of the first drill, flown by a hand.
func aSheet(t *testing.T, hand string) []byte {
	t.Helper()
	setup := aSetup(t)
	setup.Hand = hand
	h, err := sim.NewHand(hand, setup.Seed, &setup)
	if err != nil {
		t.Fatal(err)
	}
	_, text, err := Rehearse(setup, h, (*HandedRun).Silently)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// stub is an output that pulls one tick's worth of sound each few milliseconds.
type stub struct {
	stop, idle chan struct{}
}

func newStub() *stub { return &stub{make(chan struct{}), make(chan struct{})} }

func (s *stub) Start(src audio.Source) error {
	go func() {
		defer close(s.idle)
		buf := make([]float32, 2*240)
		for {
			select {
			case <-s.stop:
				return
			case <-time.After(2 * time.Millisecond):
				src.Fill(buf)
			}
		}
	}()
	return nil
}

func (s *stub) Stats() audio.Stats { return audio.Stats{} }
func (s *stub) Err() error         { return nil }
func (s *stub) Silent() bool       { return true }
func (s *stub) Message() string    { return "" }
func (s *stub) Close() error {
	close(s.stop)
	<-s.idle
	return nil
}

// aSession flies the first drill into a sheet.
func aSession(t *testing.T, path string) *Session {
	t.Helper()
	s, err := NewSession(aSetup(t), SessionOptions{Output: newStub(), NewSheet: func(setup *sim.Setup) (SheetWriter, error) {
		return Disk{}.NewSheet(path, setup, time.Now())
	}})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// A live run with the silent sink: commands from another goroutine, a pause,
// the end by the operator, and a sheet that agrees with itself.
func TestSession(t *testing.T) {
	path := filepath.Join(t.TempDir(), "run.jsonl")
	s := aSession(t, path)
	s.run.Post(sim.CommandKey, 1)
	var state sim.State
	waitTick := func(tick sim.Tick) {
		t.Helper()
		for deadline := time.Now().Add(time.Minute); ; time.Sleep(5 * time.Millisecond) {
			if s.run.Snapshot(&state); state.Tick >= tick {
				return
			}
			if time.Now().After(deadline) {
				t.Fatalf("stands at tick %d", state.Tick)
			}
		}
	}
	waitTick(100)
	s.run.Post(sim.CommandKnob, 3)
	waitTick(150)
	s.Pause(true)
	time.Sleep(100 * time.Millisecond) // the pause takes a moment to be silent
	s.run.Snapshot(&state)
	still := state.Tick
	time.Sleep(100 * time.Millisecond)
	if s.run.Snapshot(&state); state.Tick != still {
		t.Errorf("a paused run went on from tick %d to %d", still, state.Tick)
	}
	s.Pause(false)
	waitTick(still + 150)
	s.Pause(true) // as the desk does, which asks what is to become of the run
	time.Sleep(100 * time.Millisecond)
	o, err := s.Finish()
	if err != nil {
		t.Fatal(err)
	}
	if !o.Agrees || !o.Sheet.Ended {
		t.Errorf("agrees %v %q, ended %v", o.Agrees, o.Differs, o.Sheet.Ended)
	}
	kinds := map[sim.CommandKind]int{}
	sheet, err := ReadSheet(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range sheet.Commands {
		kinds[c.Kind]++
	}
	last, end := sheet.Commands[len(sheet.Commands)-2], sheet.Commands[len(sheet.Commands)-1]
	if last.Kind != sim.CommandPause || end.Tick-last.Tick > 10 { // half of what the marks take for one
		t.Errorf("the pause from which the run was ended stands %d ticks before its end", end.Tick-last.Tick)
	}
	if kinds[sim.CommandKey] != 1 || kinds[sim.CommandKnob] != 1 || kinds[sim.CommandPause] == 0 || kinds[sim.CommandStop] != 1 {
		t.Errorf("commands in the sheet: %v", kinds)
	}
}

// A run that is given up leaves a sheet that is offered at once.
func TestSessionGivenUp(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "run.jsonl")
	s := aSession(t, path)
	if left := unfinishedSheets(folder, time.Now()); len(left) != 0 {
		t.Errorf("a run that goes on counts as left: %v", left)
	}
	if err := s.Abandon(); err != nil {
		t.Fatal(err)
	}
	if left := unfinishedSheets(folder, time.Now()); len(left) != 1 {
		t.Errorf("a run that was given up is not offered: %v", left)
	}
}

// The sheet tells which aids the headset gives: noise or others turned down below
// the drill's level, each time that it changes and only then.
func TestAidsAreTold(t *testing.T) {
	s := aSession(t, filepath.Join(t.TempDir(), "run.jsonl"))
	defer s.Abandon()
	for _, c := range []struct {
		noise, others float64
		want          int64
	}{{0, 0, 0}, {3, 3, 0}, {-1, 0, sim.AidNoise}, {0, -1, sim.AidOthers}, {-1, -1, sim.AidNoise | sim.AidOthers}} {
		s.engine.SetHeadset(audio.Headset{NoiseDB: c.noise, OthersDB: c.others})
		if got := s.tellAids(c.want); got != c.want {
			t.Errorf("noise %g, others %g: %d, want %d", c.noise, c.others, got, c.want)
		}
	}
}

// What is wrong with the disk is said before what is wrong with the sound; what
// keeps a run from counting is said beside it.
func TestWhatIsSaidOfTheSound(t *testing.T) {
	s := &Session{output: &grumbling{newStub()}}
	if got := s.Sound(); got.Message != "no device" || !got.Silent || got.Live || got.Halting != "" || got.Paused {
		t.Errorf("%+v", got)
	}
	s.halting, s.paused = "the sound breaks up", true
	s.say("the disk is full")
	if got := s.Sound(); got.Message != "the disk is full" || got.Halting != "the sound breaks up" || !got.Paused {
		t.Errorf("%+v", got)
	}
	s.live = audio.NewMicrophone()
	s.MuteMicrophone(true)
	if got := s.Sound(); !got.Live || !got.Muted {
		t.Errorf("%+v", got)
	}
	s.MuteMicrophone(false)
	if got := s.Sound(); got.Muted {
		t.Errorf("%+v", got)
	}
}

// grumbling is an output that says why it is silent.
type grumbling struct{ *stub }

func (grumbling) Message() string { return "no device" }

// A pause before one may key does not keep a run from counting; after it, it does.
func TestAPauseAfterKeyingIsPermittedCounts(t *testing.T) {
	for _, begun := range []bool{false, true} {
		run, engine := heardRun(t, aSetup(t))
		s := &Session{run: run, engine: engine, begun: begun}
		s.Pause(false)
		if s.paused {
			t.Error("paused without a pause")
		}
		var state sim.State
		run.Snapshot(&state)
		s.Pause(true)
		if s.paused != (begun || state.Assigned) || !engine.Paused() {
			t.Errorf("begun %v: paused %v", begun, s.paused)
		}
		if s.Pause(false); engine.Paused() {
			t.Error("it does not go on")
		}
	}
}

// A run's sheet tells the own voice where it is another one than the drill's; a
// drill in Morse is flown in Morse, whatever voice is set.
func TestTheSheetTellsTheOwnVoice(t *testing.T) {
	for _, c := range []struct{ drill, voice, want string }{{FirstDrill, "vowel", "vowel"}, {FirstDrill, "", ""}, {FirstDrill, "the drill's", ""}, {"first-hold-cw", "vowel", ""}} {
		setup, err := (&Flight{Drill: c.drill, Seed: 3}).Prepare()
		if err != nil {
			t.Fatal(err)
		}
		voice := c.voice
		if voice == "the drill's" {
			voice = setup.Drill.Voice
		}
		if voice == setup.Drill.Voice && c.want != "" {
			t.Fatalf("%s is in %q already", c.drill, voice)
		}
		s, err := NewSession(setup, SessionOptions{Output: newStub(), Voice: OwnVoice{Name: voice}, NewSheet: func(*sim.Setup) (SheetWriter, error) { return &sheetFile{}, nil }})
		if err != nil {
			t.Fatal(err)
		}
		if got := s.Run().Setup().OwnVoice; got != c.want {
			t.Errorf("%+v: the sheet tells %q", c, got)
		}
		if err := s.Abandon(); err != nil {
			t.Error(err)
		}
	}
}

// opened is a microphone that counts how often it is closed.
type opened struct{ closed int }

func (o *opened) Close() error { o.closed++; return nil }

// A microphone is opened for the voice "mic", and closed with the run, or when the
// run cannot begin.
func TestTheMicrophoneIsClosed(t *testing.T) {
	refused := errors.New("no disk")
	for _, sheet := range []error{nil, refused} {
		mic := &opened{}
		s, err := NewSession(aSetup(t), SessionOptions{Output: newStub(), Voice: OwnVoice{Name: "mic"}, OpenMic: func(*audio.Microphone) (io.Closer, error) { return mic, nil },
			NewSheet: func(*sim.Setup) (SheetWriter, error) { return &sheetFile{}, sheet }})
		if !errors.Is(err, sheet) {
			t.Fatal(err)
		}
		if s != nil {
			if !s.Sound().Live || mic.closed != 0 {
				t.Errorf("live %v, closed %d times", s.Sound().Live, mic.closed)
			}
			if err := s.Abandon(); err != nil {
				t.Error(err)
			}
		}
		if mic.closed != 1 {
			t.Errorf("sheet %v: closed %d times", sheet, mic.closed)
		}
	}
}

// Once one was permitted to key the run has begun for good: a pause while the other
// talks keeps it from counting as well.
func TestARunHasBegunForGood(t *testing.T) {
	setup, err := (&Flight{Drill: "come-back", Seed: 3}).Prepare()
	if err != nil {
		t.Fatal(err)
	}
	run, engine := heardRun(t, setup)
	s := &Session{run: run, engine: engine, output: newStub()}
	var p pace
	var state sim.State
	looks := map[bool]int{} // at a run in which he may key now, and may not
	may := false
	for n := 0; !run.Done() && looks[false] < 3; n++ {
		if run.Step(&state); state.Assigned != may || n == 0 {
			if may = may || state.Assigned; may && !state.Assigned {
				looks[false]++
			}
			run.Snapshot(&state)
			s.judge(&p, time.Duration(n)*sim.TickLength)
			if s.begun != may {
				t.Fatalf("tick %d: begun %v, want %v", n, s.begun, may)
			}
			if looks[true]++; s.judged != p.beats || s.judged != looks[true] || !s.mute || !s.unheard {
				t.Fatalf("tick %d: looked at %d times, %d told, mute %v", n, looks[true], s.judged, s.mute)
			}
		}
	}
	if looks[false] == 0 {
		t.Error("the other never talks")
	}
}

// heardRun is a run, and the engine that makes its sound, outside a session.
func heardRun(t *testing.T, setup sim.Setup) (*sim.Run, *audio.Engine) {
	t.Helper()
	run, err := sim.NewRun(setup)
	if err != nil {
		t.Fatal(err)
	}
	voices, err := Voices()
	if err != nil {
		t.Fatal(err)
	}
	engine, err := audio.NewEngine(run, run.Setup(), voices, audio.Config{})
	if err != nil {
		t.Fatal(err)
	}
	return run, engine
}
