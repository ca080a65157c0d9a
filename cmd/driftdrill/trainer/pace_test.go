package trainer

import (
	"path/filepath"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"driftdrill/audio"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// A run that takes 411 s for its 300 s is too slow, one whose sound runs dry in
// 4 of 300 s breaks up; one at 0.98 with 3 dry seconds is clean, and so is one
// that was paused for a minute. The bounds are 0.97 and 1 %, choices of this
// project.
func TestPaceIsJudgedAsItGoes(t *testing.T) {
	const length = 300 * sim.TicksPerSecond
	for name, c := range map[string]struct {
		perSecond time.Duration // on the clock, for one of the run
		dryEvery  int
		paused    bool
		want      string
		opens     time.Duration // for so long nothing goes on after the first second
	}{
		"as measured":    {411 * time.Second / 300, 0, false, "this machine is too slow", 0},
		"just too slow":  {time.Second * 100 / 96, 0, false, "this machine is too slow", 0},
		"slow enough":    {time.Second * 100 / 98, 100, false, "", 0},
		"dry":            {time.Second, 75, false, "the sound breaks up", 0},
		"paused":         {time.Second, 0, true, "", 0},
		"dry and paused": {time.Second, 70, true, "the sound breaks up", 0},
		"slow to open":   {time.Second, 0, false, "", 4 * time.Second},
	} {
		t.Run(name, func(t *testing.T) {
			var p pace
			at, underruns := 300*time.Millisecond, int64(0) // the device opens
			for s := range 300 {
				if c.dryEvery > 0 && s%c.dryEvery == c.dryEvery-1 {
					underruns += 3
				}
				if c.paused && s == 100 {
					for range 60 {
						at += time.Second
						p.beat(at, sim.Tick(s)*sim.TicksPerSecond, underruns, true)
					}
				}
				if at += c.perSecond; s == 1 {
					at += c.opens
				}
				p.beat(at, sim.Tick(s+1)*sim.TicksPerSecond, underruns, false)
				if found := p.conditions(length); (s < 15 || c.want == "") && found.Halting() != "" {
					t.Fatalf("judged after %d s: %s", s, found.Halting())
				}
			}
			if found := p.conditions(length); found.Halting() != c.want {
				t.Errorf("%+v: %q, want %q", found, found.Halting(), c.want)
			}
		})
	}
}

// audible is an output with a device.
type audible struct{ *stub }

func (audible) Silent() bool { return false }

// An exercise by ear that could not be heard is not scored, and is not caught
// up with at the next start; one that was heard is, and so is a drill that is
// flown by hand, which has its instruments.
func TestExerciseByEarWithoutSoundIsNotScored(t *testing.T) {
	for name, c := range map[string]struct {
		drill  string
		silent bool
		scored bool
	}{"by ear, silent": {"hear-the-shift", true, false}, "by ear, heard": {"hear-the-shift", false, true}, "by hand, silent": {FirstDrill, true, true}} {
		t.Run(name, func(t *testing.T) {
			f := Flight{Drill: c.drill, Seed: 3}
			setup, err := f.Prepare()
			if err != nil {
				t.Fatal(err)
			}
			store := Disk{Data: t.TempDir(), Config: t.TempDir()}
			var out Output = newStub()
			if !c.silent {
				out = audible{newStub()}
			}
			s, err := NewSession(setup, SessionOptions{Output: out, NewSheet: func(setup *sim.Setup) (SheetWriter, error) {
				return store.NewSheet("", setup, time.Now())
			}})
			if err != nil {
				t.Fatal(err)
			}
			untilJudged(t, s)
			tr := &Trainer{Store: store, Tell: func(err error) { t.Error(err) }}
			o, k, err := tr.FinishRun(s)
			if c.scored != (k != nil) || c.scored != (err == nil) {
				t.Errorf("kept %v, error %v", k != nil, err)
			}
			if k != nil {
				<-k.Done()
			}
			if err := tr.Close(); err != nil {
				t.Error(err)
			}
			if noted := store.Noted(time.Now().Add(time.Hour)); len(noted) != 0 {
				t.Errorf("noted for the next start: %v", noted)
			}
			if _, err := store.Sheet(o.Name); err != nil {
				t.Error(err)
			}
		})
	}
}

// A run that was cut short and discarded is not offered again, counts nowhere,
// and its sheet is still there.
func TestDiscardedRunIsOfferedNoMore(t *testing.T) {
	store := Disk{Data: t.TempDir(), Config: t.TempDir()}
	s := aSession(t, filepath.Join(store.SheetFolder(), "20261127-120000-first-hold.jsonl"))
	if err := s.Abandon(); err != nil {
		t.Fatal(err)
	}
	left := store.Left(time.Now())
	if len(left) != 1 {
		t.Fatalf("left: %v", left)
	}
	tr := &Trainer{Store: store, Tell: func(err error) { t.Error(err) }}
	store.NoteEnded(left[0].Name) // a run that had ended, too, is not brought into the logbook any more
	if err := tr.DiscardLeft(left[0].Name); err != nil {
		t.Fatal(err)
	}
	if left := store.Left(time.Now().Add(time.Hour)); len(left) != 0 {
		t.Errorf("still offered: %v", left)
	}
	if _, err := store.Sheet(left[0].Name + ".discarded"); err != nil {
		t.Error(err)
	}
	if noted := store.Noted(time.Now().Add(time.Hour)); len(noted) != 0 {
		t.Errorf("noted: %v", noted)
	}
}

// What a crash left is offered at once, however young: nobody holds the sheet.
// One that is being written is not, by another run of this very program either.
func TestCrashIsOfferedAtOnce(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("there a sheet's age tells")
	}
	store := Disk{Data: t.TempDir(), Config: t.TempDir()}
	path := filepath.Join(store.SheetFolder(), "20261127-120000-first-hold.jsonl")
	s := aSession(t, path)
	if left := store.Left(time.Now().Add(time.Hour)); len(left) != 0 {
		t.Errorf("a run that goes on is offered: %v", left)
	}
	s.halt()
	if err := s.rec.Flush(); err != nil {
		t.Fatal(err)
	}
	if err := s.sheet.(*sheetFile).file.Close(); err != nil { // as a crash does, without a last line
		t.Fatal(err)
	}
	if left := store.Left(time.Now()); len(left) != 1 {
		t.Errorf("at once: %v", left)
	}
}

// What is printed of a run that was too slow to count says so once, and of any
// other run nothing.
func TestTextSaysOnceThatARunDoesNotCount(t *testing.T) {
	for speed, want := range map[float64]int{0.73: 1, 0.99: 0} {
		o := Outcome{Sheet: &sim.Sheet{}, Trace: &scoring.Trace{Chained: true, HasFound: true, Conditions: scoring.Conditions{Speed: speed}}}
		var b strings.Builder
		if err := o.WriteText(&b); err != nil {
			t.Fatal(err)
		}
		if got := strings.Count(b.String(), "does not count"); got != want {
			t.Errorf("speed %g: said %d times, want %d:\n%s", speed, got, want, b.String())
		}
	}
}

// patchy is an output whose sound runs dry all the time, with a device or without.
type patchy struct {
	*stub
	silent bool
	dry    atomic.Int64
}

func (p *patchy) Silent() bool       { return p.silent }
func (p *patchy) Stats() audio.Stats { return audio.Stats{Underruns: p.dry.Add(1)} }

// Where there is no device nothing breaks up: neither the desk nor the sheet says
// so, and what is true is told instead.
func TestNothingBreaksUpWithoutADevice(t *testing.T) {
	for _, silent := range []bool{true, false} {
		s, err := NewSession(aSetup(t), SessionOptions{Output: &patchy{stub: newStub(), silent: silent}, NewSheet: func(setup *sim.Setup) (SheetWriter, error) {
			return Disk{}.NewSheet(filepath.Join(t.TempDir(), "run.jsonl"), setup, time.Now())
		}})
		if err != nil {
			t.Fatal(err)
		}
		untilJudged(t, s)
		o, err := s.Finish()
		if err != nil {
			t.Fatal(err)
		}
		if share := o.Trace.Conditions.GapShare; (share == 0) != silent {
			t.Errorf("silent %v: the sheet tells of gaps in %g of its seconds", silent, share)
		}
		if said := s.Quiet(); silent != (said == "There was no sound in this run: its marks say nothing of your ear.") || !silent && said != "" {
			t.Errorf("silent %v: %q", silent, said)
		}
	}
}

// A run that was cut short is discarded again after it stands in the logbook: it is
// no longer there, its sheet lies aside, and the next start does not bring it back.
func TestEndedRunIsDiscarded(t *testing.T) {
	store := Disk{Data: t.TempDir(), Config: t.TempDir()}
	s := aSession(t, filepath.Join(store.SheetFolder(), "20261127-120000-first-hold.jsonl"))
	tr := &Trainer{Store: store, Tell: func(err error) { t.Error(err) }}
	o, k, err := tr.FinishRun(s)
	if err != nil {
		t.Fatal(err)
	}
	<-k.Done()
	b, err := tr.Book()
	if err != nil {
		t.Fatal(err)
	}
	if n, err := b.Count(t.Context()); n != 1 || err != nil || k.Entry.ID != 1 {
		t.Fatalf("%d runs, %v, entry %+v", n, err, k.Entry)
	}
	if err := tr.Discard(k, o.Name); err != nil {
		t.Fatal(err)
	}
	if n, err := b.Count(t.Context()); n != 0 || err != nil {
		t.Errorf("%d runs are left, %v", n, err)
	}
	if _, err := b.Sheet(t.Context(), 1); err == nil {
		t.Error("its sheet is still in the logbook")
	}
	if _, err := store.Sheet(o.Name + ".discarded"); err != nil {
		t.Error(err)
	}
	tr.CatchUp(time.Now().Add(time.Hour))
	tr.Wait()
	if n, _ := b.Count(t.Context()); n != 0 {
		t.Error("the next start brings it back")
	}
	if err := tr.Close(); err != nil {
		t.Error(err)
	}
}

// A run is unheard when there was no sound in more than a tenth of it.
func TestHowMuchSilenceIsUnheard(t *testing.T) {
	for _, c := range []struct {
		silent, beats int
		want          bool
	}{{0, 0, false}, {1, 10, false}, {2, 19, true}, {11, 100, true}, {10, 100, false}} {
		if got := (&pace{silent: c.silent, beats: c.beats}).unheard(); got != c.want {
			t.Errorf("%d of %d: %v", c.silent, c.beats, got)
		}
	}
	for _, c := range []struct {
		unheard, mute bool
		want          string
	}{{false, false, ""}, {true, false, "For part of this run there was no sound: its marks say little of your ear."}, {true, true, "There was no sound in this run: its marks say nothing of your ear."}} {
		if got := (&Session{unheard: c.unheard, mute: c.mute}).Quiet(); got != c.want {
			t.Errorf("%+v: %q", c, got)
		}
	}
}

// The speed is that of the time that counts: after the first seconds, between two
// looks without a pause, and not before twenty seconds of it.
func TestWhatCountsForThePace(t *testing.T) {
	var p pace
	look := func(at float64, tick sim.Tick, paused bool) {
		p.beat(time.Duration(at*float64(time.Second)), tick, 0, paused)
	}
	look(1, settled, false) // the first look knows of none before it
	look(12, settled+10*sim.TicksPerSecond, false)
	look(13, settled+10*sim.TicksPerSecond, false) // it stands: another matter
	look(14, settled+11*sim.TicksPerSecond, true)
	look(20, settled+12*sim.TicksPerSecond, false) // after a pause
	look(29, settled+21*sim.TicksPerSecond-1, false)
	if c := p.conditions(0); c.Speed != 0 || c.GapShare != 0 {
		t.Errorf("judged before twenty seconds: %+v", c)
	}
	look(30, settled+22*sim.TicksPerSecond, false)
	if c := p.conditions(100 * sim.TicksPerSecond); c.Speed < 0.951 || c.Speed > 0.953 { // 20 s in 21
		t.Errorf("%+v", c)
	}
	p.beat(31*time.Second, settled+23*sim.TicksPerSecond, 4, false)
	if c := p.conditions(100 * sim.TicksPerSecond); c.GapShare != 0.01 {
		t.Errorf("%+v", c)
	}
	if c := p.conditions(sim.TicksPerSecond); c.GapShare != 1 {
		t.Errorf("of one second: %+v", c)
	}
}

// untilJudged waits until a run that goes on was looked at twice.
func untilJudged(t *testing.T, s *Session) {
	t.Helper()
	for deadline := time.Now().Add(time.Minute); ; time.Sleep(10 * time.Millisecond) {
		s.mu.Lock()
		judged := s.judged > 1
		s.mu.Unlock()
		if judged {
			return
		}
		if time.Now().After(deadline) {
			t.Fatal("the run is never looked at")
		}
	}
}
