package audio_test

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"driftdrill/assets"
	"driftdrill/audio"
	"driftdrill/sim"
)

// verifyRun is a crowded passband that moves: what verify/run.sh receives a
// second time with scipy.signal.
type verifyRun struct {
	tick sim.Tick
	lsb  bool
}

const verifyTicks = 1200

func (r *verifyRun) Step(s *sim.State) {
	t := r.tick.Seconds()
	*s = sim.State{Tick: r.tick, ReceiveHz: 145_909_000, NoiseDBWHz: -200, Keyed: true, NumSignals: 9}
	side, sign := sim.USB, 1.0
	if r.lsb {
		side, sign = sim.LSB, -1
	}
	s.ReceiveSideband = side
	snr := 20 + 12*math.Sin(2*math.Pi*t/3)
	s.Signals[0] = sim.Signal{Kind: sim.SignalOwn, On: true, Sideband: side, OffsetHz: sign * (120*t - 300),
		LevelDBW: -166.2 + snr, DelayS: 0.015 + 1e-4*t, Script: -1}
	for i := range 8 {
		s.Signals[1+i] = sim.Signal{Kind: sim.SignalStation, Station: uint8(i), On: true, Sideband: side, Script: -1,
			OffsetHz: -40000 + 9500*float64(i) + 30*t, LevelDBW: -155 + 3*float64(i)}
	}
	r.tick++
}

func (r *verifyRun) Done() bool { return r.tick >= verifyTicks }

// TestWriteFilesToVerify writes a passband and what our receiver makes of it
// into the folder that VERIFY_DIR names; without it there is nothing to do.
func TestWriteFilesToVerify(t *testing.T) {
	dir := os.Getenv("VERIFY_DIR")
	if dir == "" {
		t.Skip("VERIFY_DIR is not set: verify/run.sh sets it")
	}
	voices, err := audio.LoadVoices(assets.FS)
	if err != nil {
		t.Fatal(err)
	}
	for name, run := range map[string]*verifyRun{"usb": {}, "lsb": {lsb: true}} {
		scene := audio.Scene{CentreHz: 145_900_000, Others: make([]audio.OtherScene, 8)}
		e, err := audio.NewSceneEngine(run, scene, voices, audio.Config{OwnVoice: "vowel", Output: audio.OutputReceive, AGC: audio.AGCFast, Seed: 7})
		if err != nil {
			t.Fatal(err)
		}
		var files []*os.File
		for _, n := range []string{".wav", ".sigmf-data", ".sigmf-meta"} {
			f, err := os.Create(filepath.Join(dir, name+n))
			if err != nil {
				t.Fatal(err)
			}
			files = append(files, f)
		}
		err = audio.Render(e, audio.SoundFiles{WAV: files[0], IQData: files[1], IQMeta: files[2], Title: "For verification."})
		for _, f := range files {
			err = errors.Join(err, f.Close())
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}
