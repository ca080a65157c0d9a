package sim

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"driftdrill/testdata/race"

	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "write the golden files anew")

var someKinds = []CommandKind{CommandKnob, CommandReceive, CommandUplink, CommandTuneUplink, CommandTuneReceive, CommandSetUplink, CommandSetReceive, CommandStep, CommandFast, CommandKey, CommandLatch, CommandPause,
	CommandAnswer, CommandAim, CommandRaise, CommandTwist, CommandSound, CommandPower,
	CommandReceiveMemory, CommandUplinkMemory, CommandReceiveSideband, CommandUplinkSideband, CommandRIT, CommandReceiveStep, CommandUplinkStep, CommandVOX, CommandHeadphones, CommandRecorder}

// drawCommands draws what a restless operator might do in so many ticks.
func drawCommands(t *rapid.T, length Tick) []Command {
	n := rapid.IntRange(0, 60).Draw(t, "commands")
	list := make([]Command, n)
	tick := Tick(0)
	for i := range list {
		tick += Tick(rapid.IntRange(0, int(length)/30).Draw(t, "gap"))
		list[i] = Command{Tick: min(tick, length-1), Kind: rapid.SampledFrom(someKinds).Draw(t, "kind"), Value: rapid.Int64Range(-120, 120).Draw(t, "value")}
		switch list[i].Kind {
		case CommandKey, CommandLatch, CommandFast:
			list[i].Value &= 1
		case CommandReceiveSideband, CommandUplinkSideband, CommandRIT, CommandVOX, CommandHeadphones, CommandRecorder:
			list[i].Value &= 1
		case CommandReceiveMemory, CommandUplinkMemory:
			list[i].Value &= 3
		case CommandStep, CommandUplinkStep, CommandReceiveStep:
			list[i].Value = int64(stepsHz[i%4])
		}
	}
	return list
}

// flown flies a setup with given commands and returns its sheet. With glance
// other goroutines look at it and the state is only asked for now and then.
func flown(t testing.TB, s Setup, commands []Command, ticks Tick, glance bool) []byte {
	r, rec, sheet := recorded(t, s)
	var st State
	for tick := Tick(0); tick < ticks && !r.Done(); tick++ {
		for len(commands) > 0 && commands[0].Tick == tick {
			r.Post(commands[0].Kind, commands[0].Value)
			commands = commands[1:]
		}
		if glance && tick%7 != 0 {
			r.Step(nil)
			r.Snapshot(&st)
		} else {
			r.Step(&st)
		}
		if glance && tick%999 == 0 {
			if err := rec.Flush(); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := rec.Finish(nil); err != nil {
		t.Fatal(err)
	}
	return sheet.Bytes()
}

// The same drill, seed and commands give the same sheet, byte for byte, however
// it is looked at and flushed, and a replay agrees with it.
func TestSameCommandsSameSheet(t *testing.T) {
	names := allDrills(t)
	rapid.Check(t, func(rt *rapid.T) {
		name := rapid.SampledFrom(names).Draw(rt, "drill")
		s := prepared(t, name, rapid.Uint64Range(1, 1000).Draw(rt, "seed"))
		const ticks = 30 * TicksPerSecond
		commands := drawCommands(rt, min(ticks, s.Length))
		a := flown(t, s, commands, ticks, false)
		b := flown(t, s, commands, ticks, true)
		if !bytes.Equal(a, b) {
			rt.Fatalf("%s: two flights with the same commands differ", name)
		}
		sh, err := ReadSheet(bytes.NewReader(a), "sheet")
		if err != nil {
			rt.Fatal(err)
		}
		every := Tick(rapid.IntRange(1, 977).Draw(rt, "every"))
		diff, err := ReplayFrom(sh, Tick(rapid.IntRange(0, 9).Draw(rt, "first")), every, func(*State) {})
		if err != nil || diff.What != "" {
			rt.Fatalf("%s: replay: %+v, %v", name, diff, err)
		}
	})
}

// The state that a replay shows at a tick is the one that was flown.
func TestReplayShowsTheSameState(t *testing.T) {
	s := prepared(t, "busy-passband", 5)
	r, rec, sheet := recorded(t, s)
	h, err := NewHand("good", 5, r.Setup())
	if err != nil {
		t.Fatal(err)
	}
	var st State
	states := map[Tick]State{}
	for r.next < 120*TicksPerSecond {
		r.Step(&st)
		h.Act(&st, r.Post)
		if st.Tick%50 == 5 {
			states[st.Tick] = st
		}
	}
	if err := rec.Finish(nil); err != nil {
		t.Fatal(err)
	}
	sh, err := ReadSheet(sheet, "sheet")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	if _, err := ReplayFrom(sh, 5, 50, func(got *State) {
		if want, ok := states[got.Tick]; ok {
			seen++
			if *got != want {
				t.Fatalf("tick %d:\n got %+v\nwant %+v", got.Tick, *got, want)
			}
		}
	}); err != nil {
		t.Fatal(err)
	}
	if seen < 400 {
		t.Errorf("only %d states compared", seen)
	}
}

// Golden hashes of every drill, made on amd64: other processors must agree.
// Source: this program; the check is that processors agree, not that it is right.
func TestGoldenHashes(t *testing.T) {
	const file = "../testdata/runs/hashes.txt"
	if race.On {
		t.Skip("flies four passes of each drill")
	}
	var b strings.Builder
	for _, name := range allDrills(t) {
		for seed := uint64(1); seed <= 3; seed++ {
			r, _, _ := fly(t, prepared(t, name, seed), "regular")
			fmt.Fprintf(&b, "%s %d %d %016x\n", name, seed, r.rendered(), r.hash)
		}
		r, _, _ := fly(t, prepared(t, name, 11), "perfect")
		fmt.Fprintf(&b, "%s 11 %d %016x perfect\n", name, r.rendered(), r.hash)
	}
	if *update {
		if err := os.WriteFile(file, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	got := strings.Split(b.String(), "\n")
	for line := range strings.Lines(string(want)) { // a drill that is new has no line yet: -update gives it one
		if line = strings.TrimSuffix(line, "\n"); !slices.Contains(got, line) {
			t.Errorf("the golden file has %q, which is not what is flown now; after a wanted change run with -update", line)
		}
	}
}

// A sheet cut at any byte is read up to its last whole line and replayed.
func TestSheetCutAnywhere(t *testing.T) {
	s := prepared(t, "come-back", 4)
	s.Length = 20 * TicksPerSecond
	_, sheet, _ := fly(t, s, "regular")
	header := bytes.IndexByte(sheet, '\n') + 1
	whole, err := ReadSheet(bytes.NewReader(sheet), "whole")
	if err != nil {
		t.Fatal(err)
	}
	for cut := 0; cut <= len(sheet); cut++ {
		sh, err := ReadSheet(bytes.NewReader(sheet[:cut]), "cut")
		if cut < header {
			if err == nil {
				t.Fatalf("cut at %d inside the header: no error", cut)
			}
			continue
		}
		if err != nil {
			t.Fatalf("cut at %d: %v", cut, err)
		}
		if got, most := len(sh.Commands), len(whole.Commands); got > most {
			t.Fatalf("cut at %d: %d commands of %d", cut, got, most)
		}
		if cut%997 == 0 || cut == len(sheet) {
			if diff, err := Replay(sh, 200, nil); err != nil || diff.What != "" {
				t.Fatalf("cut at %d: %+v, %v", cut, diff, err)
			}
		}
	}
}

// A changed command shows as the first second that differs.
func TestChangedSheetIsNoticed(t *testing.T) {
	s := prepared(t, "come-back", 4)
	sh := flownSheet(t, s, "regular")
	i := len(sh.Commands) / 2
	for sh.Commands[i].Kind != CommandUplink {
		i++
	}
	sh.Commands[i].Value++
	diff, err := Replay(sh, 1000, nil)
	if err != nil {
		t.Fatal(err)
	}
	if want := (sh.Commands[i].Tick/TicksPerSecond+1)*TicksPerSecond - 1; diff.Tick != want || diff.What == "" {
		t.Errorf("difference %+v, want one at tick %d", diff, want)
	}
}

// Posting, looking and recording while another goroutine renders is safe.
func TestConcurrentUse(t *testing.T) {
	s := prepared(t, "busy-passband", 2)
	s.Length = 10 * TicksPerSecond
	r, rec, sheet := recorded(t, s)
	var group sync.WaitGroup
	for n := range 3 {
		group.Go(func() {
			var st State
			for i := 0; !r.Done(); i++ {
				r.Post(someKinds[(i+n)%len(someKinds)], int64(i%3))
				r.Snapshot(&st)
			}
		})
	}
	group.Go(func() {
		for !r.Done() {
			if err := rec.Flush(); err != nil {
				t.Error(err)
			}
		}
	})
	for !r.Done() {
		r.Step(nil)
	}
	group.Wait()
	if err := rec.Finish(map[string]int{"hold_index": 1}); err != nil {
		t.Fatal(err)
	}
	sh, err := ReadSheet(sheet, "sheet")
	if err != nil {
		t.Fatal(err)
	}
	if !sh.Ended || sh.End != s.Length || string(sh.Marks) != `{"hold_index":1}` {
		t.Errorf("end %v at %d, marks %s", sh.Ended, sh.End, sh.Marks)
	}
	if diff, err := Replay(sh, 200, nil); err != nil || diff.What != "" {
		t.Errorf("replay: %+v, %v", diff, err)
	}
}

// A setup goes through JSON unchanged.
func TestSetupRoundTrip(t *testing.T) {
	for _, name := range allDrills(t) {
		s := prepared(t, name, 9)
		text, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		var back Setup
		if err := json.Unmarshal(text, &back); err != nil {
			t.Fatal(err)
		}
		again, err := json.Marshal(back)
		if err != nil || !bytes.Equal(text, again) {
			t.Errorf("%s: the setup changes on its way through JSON: %v", name, err)
		}
		if err := back.Validate(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}
