//go:build unix

package logbook

import (
	"bufio"
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"driftdrill/sim"
	"driftdrill/testdata/race"
)

// child is the process that is killed: it flies runs one after another, each
// second's lines flushed to an open sheet file, adds each finished run to the
// logbook, and says on its standard output what it has done.
func child(dir string) {
	fail := func(err error) {
		fmt.Println("error", err)
		os.Exit(3)
	}
	b, err := Open(filepath.Join(dir, "logbook.sqlite"))
	if err != nil {
		fail(err)
	}
	var setup sim.Setup
	text, err := os.ReadFile(filepath.Join(dir, "setup.json"))
	if err == nil {
		err = json.Unmarshal(text, &setup)
	}
	if err != nil {
		fail(err)
	}
	for n := uint64(0); ; n++ {
		setup.Seed = uint64(os.Getpid())<<20 + n
		path := filepath.Join(dir, fmt.Sprintf("open-%d.jsonl", setup.Seed))
		f, err := os.Create(path)
		if err != nil {
			fail(err)
		}
		written := 0
		text, err := live(setup, func(second int, sheet *bytes.Buffer) error {
			k, err := f.Write(sheet.Bytes()[written:])
			written += k
			fmt.Println("second", setup.Seed, second)
			return err
		})
		if err != nil {
			fail(err)
		}
		f.Close()
		if _, _, err := b.Add(ctx, Run{Flown: time.Unix(int64(n), 0), Sheet: text, Rating: rated(50)}); err != nil {
			fail(err)
		}
		os.Remove(path)
		fmt.Println("added", setup.Seed)
	}
}

// live flies a setup as the program does: one goroutine steps, a second of the
// run each millisecond, and this one writes what there is and tells each of the
// seconds written.
func live(s sim.Setup, each func(second int, sheet *bytes.Buffer) error) ([]byte, error) {
	var out bytes.Buffer
	r, h, rec, err := begin(s, &out)
	if err != nil {
		return nil, err
	}
	began := time.Now()
	go func() {
		var st sim.State
		for !r.Done() {
			r.Step(&st)
			h.Act(&st, r.Post)
			if st.Tick%sim.TicksPerSecond == 0 {
				time.Sleep(time.Millisecond)
			}
		}
	}()
	told := 0
	for done := false; !done; {
		done = r.Done()
		if err := rec.FlushAt(time.Since(began)); err != nil {
			return nil, err
		}
		for n := bytes.Count(out.Bytes(), []byte(`{"second":`)); told < n; told++ {
			if err := each(told, &out); err != nil {
				return nil, err
			}
		}
		time.Sleep(300 * time.Microsecond)
	}
	err = rec.Finish(nil)
	return out.Bytes(), err
}

// longKills asks for the whole hundred kills: "go test -run Kill -kills 100".
var longKills = flag.Int("kills", 25, "how often TestKillAHundredTimes kills")

// TestKillAHundredTimes kills a process that flies and adds runs, with SIGKILL
// at a random moment, many times over one logbook (a hundred in make fuzz). No run that was said
// to be added may be missing, and an open sheet may lack its last second at most.
// The moment is counted in what the child has said, so that a busy machine
// kills it no earlier in its work than an idle one: two kills in three fall
// anywhere in its first two runs and a bit, the third in the adding of a run.
func TestKillAHundredTimes(t *testing.T) {
	kills := *longKills
	if testing.Short() || race.On {
		kills = 15
	}
	dir := t.TempDir()
	writeSetup(t, dir)
	random := rand.New(rand.NewPCG(1, 1))
	added := map[uint64]bool{}
	open := 0
	for kill := range kills {
		said, after := 1+random.IntN(5*flownSeconds/2), time.Duration(random.IntN(1000))*time.Microsecond
		if kill%3 == 2 {
			said, after = flownSeconds, time.Duration(random.IntN(20))*time.Millisecond
		}
		last, second := killOnce(t, dir, said, after, added)
		if second >= 0 && !added[last] {
			open += count(checkOpenSheet(t, dir, last, second))
		}
		files, _ := filepath.Glob(filepath.Join(dir, "open-*.jsonl"))
		for _, f := range files {
			os.Remove(f)
		}
	}
	b, err := Open(filepath.Join(dir, "logbook.sqlite"))
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if bad := b.Check(ctx); len(bad) > 0 {
		t.Errorf("after %d kills: %v", kills, bad)
	}
	there := map[uint64]bool{}
	list, err := b.List(ctx, Filter{})
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range list {
		text, err := b.Sheet(ctx, e.ID)
		if err != nil {
			t.Fatal(err)
		}
		sh, err := sim.ReadSheet(bytes.NewReader(text), "sheet")
		if err != nil {
			t.Fatal(err)
		}
		there[sh.Setup.Seed] = true
	}
	for seed := range added {
		if !there[seed] {
			t.Errorf("run %d was added and is missing", seed)
		}
	}
	t.Logf("%d kills: %d runs were said to be added, %d are there, %d open sheets read up to their last second", kills, len(added), len(there), open)
	if len(added) == 0 || open == 0 {
		t.Errorf("the kills came too early or too late to show anything")
	}
}

// flownSeconds is how long each of the children's runs is, and so how many lines
// a child says before it adds one.
const flownSeconds = 60

// writeSetup leaves what the children are to fly.
func writeSetup(t *testing.T, dir string) {
	t.Helper()
	setup, err := prepareRun(1, flownSeconds)
	if err != nil {
		t.Fatal(err)
	}
	setup.Operator = "Dipper"
	text, err := json.Marshal(setup)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "setup.json"), text, 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestTwoProgramsAtOnce lets two processes fly and add to one logbook, then
// kills both.
func TestTwoProgramsAtOnce(t *testing.T) {
	dir := t.TempDir()
	writeSetup(t, dir)
	var wait sync.WaitGroup
	var said [2]map[uint64]bool
	for k := range said {
		said[k] = map[uint64]bool{}
		wait.Add(1)
		go func() {
			defer wait.Done()
			killOnce(t, dir, 4*flownSeconds, 0, said[k])
		}()
	}
	wait.Wait()
	b, err := Open(filepath.Join(dir, "logbook.sqlite"))
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	n, err := b.Count(ctx)
	if err != nil || n < len(said[0])+len(said[1]) {
		t.Errorf("%d runs are there, %d and %d were said to be added: %v", n, len(said[0]), len(said[1]), err)
	}
	if bad := b.Check(ctx); len(bad) > 0 {
		t.Error(bad)
	}
	t.Logf("two programs added %d and %d runs", len(said[0]), len(said[1]))
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// killOnce starts the child, waits until it has said so many lines, kills it a
// while later, and returns the run and the second it was at last.
func killOnce(t *testing.T, dir string, said int, after time.Duration, added map[uint64]bool) (seed uint64, second int) {
	t.Helper()
	cmd := exec.Command(os.Args[0], "-test.run=none")
	cmd.Env = append(os.Environ(), "LOGBOOK_TEST_CHILD="+dir)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	second = -1
	lines := bufio.NewScanner(out)
	for n := 1; lines.Scan(); n++ {
		if n == said {
			time.AfterFunc(after, func() { cmd.Process.Signal(syscall.SIGKILL) })
		}
		var id uint64
		var n int
		switch line := lines.Text(); {
		case scan(line, "second %d %d", &id, &n):
			seed, second = id, n
		case scan(line, "added %d", &id):
			added[id] = true
		case strings.HasPrefix(line, "error"):
			t.Errorf("child: %s", line)
		}
	}
	cmd.Wait()
	return seed, second
}

func scan(line, form string, to ...any) bool {
	n, err := fmt.Sscanf(line, form, to...)
	return err == nil && n == len(to)
}

// checkOpenSheet reads the sheet of the run that was being flown. It says
// whether there was one.
func checkOpenSheet(t *testing.T, dir string, seed uint64, second int) bool {
	t.Helper()
	path := filepath.Join(dir, fmt.Sprintf("open-%d.jsonl", seed))
	f, err := os.Open(path)
	if err != nil {
		return false // already in the logbook, not yet said
	}
	defer f.Close()
	sh, err := sim.ReadSheet(f, path)
	if err != nil {
		t.Errorf("open sheet at second %d: %v", second, err)
		return true
	}
	if sh.EndCut || sh.Ended && sh.Cut {
		t.Errorf("open sheet at second %d ends twice", second)
	}
	if d, err := sim.Replay(sh, sim.TicksPerSecond, nil); err != nil || d.What != "" {
		t.Errorf("open sheet at second %d: %v, %+v", second, err, d)
	}
	if len(sh.Hashes) < second+1 {
		t.Errorf("open sheet has %d seconds, %d had been flown", len(sh.Hashes), second+1)
	}
	return true
}
