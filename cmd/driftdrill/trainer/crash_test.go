package trainer

import (
	"bytes"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/crash"
	"driftdrill/sim"
)

// faultySound plays for a while and then asks for more than there can be: the
// engine breaks down in the sound's own goroutine.
type faultySound struct{ *stub }

func (f faultySound) Start(src audio.Source) error {
	return f.stub.Start(breaking{src, new(atomic.Int64)})
}

type breaking struct {
	audio.Source
	fills *atomic.Int64
}

func (b breaking) Fill(dst []float32) int {
	if b.fills.Add(1) == 300 {
		return guarded{faulty{}}.Fill(dst)
	}
	return b.Source.Fill(dst)
}

type faulty struct{}

func (faulty) Fill([]float32) int { panic("the engine broke down") }

// A mistake in the sound's goroutine ends the program with one line; the sheet
// of the run that was flown is whole up to that moment.
func TestMistakeInTheSoundKeepsTheRun(t *testing.T) {
	ended := make(chan int, 1)
	var said bytes.Buffer
	remove := crash.Install(crash.Handler{Program: "driftdrill", Folder: t.TempDir(), Stderr: &said, Exit: func(status int) { ended <- status }})
	defer remove()
	path := filepath.Join(t.TempDir(), "run.jsonl")
	s, err := NewSession(aSetup(t), SessionOptions{Output: faultySound{newStub()}, NewSheet: func(setup *sim.Setup) (SheetWriter, error) {
		return Disk{}.NewSheet(path, setup, time.Now())
	}})
	if err != nil {
		t.Fatal(err)
	}
	s.run.Post(sim.CommandKey, 1)
	if status := <-ended; status != 1 || !strings.Contains(said.String(), "the engine broke down") || strings.Count(said.String(), "\n") != 1 {
		t.Errorf("status %d, said %q", status, said.String())
	}
	sh, err := ReadSheet(path)
	if err != nil || len(sh.Commands) == 0 {
		t.Fatalf("%v, %+v", err, sh)
	}
	if diff, err := sim.Replay(sh, 100, nil); err != nil || diff.What != "" {
		t.Errorf("%+v, %v", diff, err)
	}
}
