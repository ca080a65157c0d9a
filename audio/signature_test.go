package audio

import (
	"bufio"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"driftdrill/sim"
)

var update = flag.Bool("update", false, "write the sound signatures anew")

// soundCase is a scene whose sound is known to the last digit that matters.
type soundCase struct {
	seconds float64
	make    func(t *testing.T) (*Engine, func(second float64))
}

// drifting moves one's own return, keys it for two thirds of each second, and
// lets other signals do what they do.
func drifting(more func(s *sim.State)) *fakeRun {
	return &fakeRun{fill: func(s *sim.State) {
		at := s.Tick.Seconds()
		s.Keyed = math.Mod(at, 1) < 0.66
		s.NoiseDBWHz = -190
		s.Signals[0].On = s.Keyed
		s.Signals[0].OffsetHz = 120 - 80*at
		s.Signals[0].DelayS = 0.02 - 0.001*at
		s.UplinkHz = 435e6 + int64(at*4)*20
		if more != nil {
			more(s)
		}
	}}
}

func crowd(s *sim.State) {
	s.NumSignals = 5
	s.Signals[1] = sim.Signal{Kind: sim.SignalBeacon, On: true, Sideband: sim.USB, LevelDBW: -150, OffsetHz: 900}
	for i := 2; i < 5; i++ {
		s.Signals[i] = sim.Signal{Kind: sim.SignalStation, Station: uint8(i - 2), On: true, Sideband: sim.Sideband(i % 2), LevelDBW: -140 - 3*float64(i),
			OffsetHz: float64(400*(i-3)) + 10*s.Tick.Seconds(), Script: int16(i - 2), ScriptAt: 20, Carrier: i == 4}
	}
}

func crowdScene() Scene {
	s := fakeScene
	s.Call, s.MiddleHz, s.WidthHz, s.ShoulderHz, s.ShoulderDB = "Q5HTH", 145910000, 4000, 3000, 40
	s.Beacon = BeaconScene{Text: "LARK", WPM: 20}
	s.Others = []OtherScene{{Call: "Q3FEN", Voice: "birch"}, {Call: "Q7TOR"}, {Call: "Q9MIL", Voice: "cw"}}
	s.Scripts = []ScriptScene{{Voice: "birch", Clips: []ClipScene{{"q", 0, 110}, {"3", 130, 110}}}, {Voice: "hazel", Clips: []ClipScene{{"q", 0, 110}}}, {Voice: "cw", Clips: []ClipScene{{"q", 0, 110}}}}
	return s
}

// soundCases are the scenes: every own voice, the crowd, the filters, the
// pause, a prompt, the microphone (spoken texts are recorded anew with every new word).
func soundCases() map[string]soundCase {
	engine := func(scene Scene, more func(*sim.State), cfg Config) func(*testing.T) (*Engine, func(float64)) {
		return func(t *testing.T) (*Engine, func(float64)) {
			e, err := NewSceneEngine(drifting(more), scene, bundled(t), cfg)
			if err != nil {
				t.Fatal(err)
			}
			return e, nil
		}
	}
	cases := map[string]soundCase{
		"crowd":   {3, engine(crowdScene(), crowd, Config{OwnVoice: "call", Seed: 7, Headset: Headset{Ticks: true, BalanceDB: 3}})},
		"cw":      {3, engine(crowdScene(), crowd, Config{OwnVoice: "cw", WPM: 22, CWPitchHz: 650, Filter: FilterCW, AGC: AGCFast, Seed: 8})},
		"mute":    {2, engine(crowdScene(), crowd, Config{OwnVoice: "vowel", Seed: 9, Headset: Headset{OthersDB: -6, NoiseDB: -12, BalanceDB: -4, Region: RegionLow}})},
		"recount": {2, engine(crowdScene(), crowd, Config{OwnVoice: "tone", Seed: 3, Output: OutputMicReceive})},
	}
	for _, voice := range []string{"tone", "vowel", "whistle", "call"} {
		cases["own-"+voice] = soundCase{2, engine(fakeScene, nil, Config{OwnVoice: voice, Seed: 1, Headset: Headset{Split: true}, AGC: AGCSlow})}
	}
	cases["announced"] = soundCase{4, func(t *testing.T) (*Engine, func(float64)) {
		e, _ := engine(fakeScene, nil, Config{OwnVoice: "tone", Seed: 2})(t)
		return e, func(at float64) {
			switch at {
			case 1.5:
				e.Say("turn-up")
			case 2:
				e.Pause(true)
			case 2.5:
				e.Pause(false)
			case 3:
				e.SetOffsetCue(true)
			}
		}
	}}
	cases["microphone"] = soundCase{2, func(t *testing.T) (*Engine, func(float64)) {
		m := NewMicrophone()
		e, _ := engine(fakeScene, nil, Config{OwnVoice: "mic", Mic: m, Seed: 4})(t)
		n := 0
		return e, func(float64) {
			in := make([]float32, SampleRate/50)
			for i := range in {
				in[i] = 0.2 * float32(math.Sin(2*math.Pi*500*float64(n)/SampleRate)*(1+math.Sin(2*math.Pi*3*float64(n)/SampleRate)))
				n++
			}
			m.Write(in)
		}
	}}
	return cases
}

// signature renders a case: level and level of the first difference of each
// 20 ms of each ear, dB of full scale.
func (c soundCase) signature(t *testing.T) [][4]float64 {
	e, each := c.make(t)
	var rows [][4]float64
	last := [2]float64{}
	for i := range int(c.seconds * 50) {
		if each != nil {
			each(float64(i) / 50)
		}
		var row [4]float64
		left, right := listen(e, 0.02)
		for ear, x := range [2][]float64{left, right} {
			level, change := 0.0, 0.0
			for _, v := range x {
				level += v * v
				change += (v - last[ear]) * (v - last[ear])
				last[ear] = v
			}
			row[2*ear] = 10 * math.Log10(level/float64(len(x))+1e-10)
			row[2*ear+1] = 10 * math.Log10(change/float64(len(x))+1e-10)
		}
		rows = append(rows, row)
	}
	return rows
}

// The sound is what it was. Source: this program; see testdata/sound/README.md.
func TestSoundSignatures(t *testing.T) {
	const slackDB = 0.02 // what another processor's rounding may do
	for name, c := range soundCases() {
		t.Run(name, func(t *testing.T) {
			got := c.signature(t)
			file := filepath.Join("../testdata/sound", name+".txt")
			if *update {
				writeSignature(t, file, got)
			}
			want := readSignature(t, file)
			if len(want) != len(got) {
				t.Fatalf("%d rows, the file has %d; after a wanted change run with -update", len(got), len(want))
			}
			for i, row := range got {
				for k, v := range row {
					if math.Abs(v-want[i][k]) > slackDB {
						t.Fatalf("at %.2f s, column %d: %.3f dB, was %.3f; after a wanted change run with -update and listen", float64(i)/50, k+1, v, want[i][k])
					}
				}
			}
		})
	}
}

func writeSignature(t *testing.T, file string, rows [][4]float64) {
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		fmt.Fprintf(f, "%.2f %.2f %.2f %.2f\n", r[0], r[1], r[2], r[3])
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}

func readSignature(t *testing.T, file string) (rows [][4]float64) {
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for s := bufio.NewScanner(f); s.Scan(); {
		var r [4]float64
		if _, err := fmt.Sscan(s.Text(), &r[0], &r[1], &r[2], &r[3]); err != nil {
			t.Fatalf("%s:%d: %v", file, len(rows)+1, err)
		}
		rows = append(rows, r)
	}
	return rows
}
