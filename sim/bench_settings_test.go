package sim

import (
	"bytes"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
)

// benchRun flies a ready drill in which everything is right but what change
// says, with commands at ticks against AOS, to so many seconds after it.
func benchRun(t *testing.T, change func(*Bench), commands []Command, afterS float64, visit func(*State)) {
	t.Helper()
	s := prepared(t, "ready", 5)
	s.Bench.Found = s.Bench.Wants
	if change != nil {
		change(s.Bench)
	}
	r, err := NewRun(s)
	if err != nil {
		t.Fatal(err)
	}
	var st State
	end := s.AOSTick + seconds(afterS)
	for tick := Tick(0); tick < end && !r.Done(); tick++ {
		for _, c := range commands {
			if c.Tick+s.AOSTick == tick {
				r.Post(c.Kind, c.Value)
			}
		}
		r.Step(&st)
		visit(&st)
	}
}

func atEnd(t *testing.T, change func(*Bench), commands []Command, afterS float64) State {
	var last State
	benchRun(t, change, commands, afterS, func(s *State) { last = *s })
	return last
}

// How many settings stand wrong is what the drill asks for, they differ from
// seed to seed, and each of the ten comes.
func TestBenchIsDrawnBySeed(t *testing.T) {
	var came [BenchSettings]int
	distinct := map[BenchValues]bool{}
	for seed := uint64(1); seed <= 60; seed++ {
		s := prepared(t, "ready", seed)
		wrong := 0
		for k := range BenchSettings {
			if !s.Bench.wanted(k, s.Bench.Found[k]) {
				wrong++
				came[k]++
			}
		}
		if r := s.Drill.Ready.Faults; wrong < r[0] || wrong > r[1] {
			t.Errorf("seed %d: %d settings are wrong, want %v", seed, wrong, r)
		}
		distinct[s.Bench.Found] = true
	}
	if len(distinct) < 50 || slices.Min(came[:]) < 5 {
		t.Errorf("%d states in 60 seeds; the settings were wrong %v times", len(distinct), came)
	}
	if hard := prepared(t, "ready-in-a-hurry", 1); hard.Drill.Ready.Faults[0] <= 5 {
		t.Errorf("the harder drill has %v wrong settings", hard.Drill.Ready.Faults)
	}
}

// The card is the closed form of both legs of Doppler at AOS and after, to its
// ten hertz (the transponder's own test holds that against published tables),
// and one memory of each radio holds its first line.
func TestBenchCardIsTheDialCard(t *testing.T) {
	s := prepared(t, "ready", 9)
	r, err := NewRun(s)
	if err != nil {
		t.Fatal(err)
	}
	tr := &s.Bird.Transponders[s.Drill.Transponder-1]
	for _, row := range s.Bench.Card {
		_, beta, _ := r.Track().Radial(s.AOSTick + Tick(row.AfterS)*TicksPerSecond)
		want := tr.ZeroBeat(float64(row.ReceiveHz), beta, tr.Constant()+tr.OscillatorHz)
		if math.Abs(float64(row.UplinkHz)-want) > 5.001 {
			t.Errorf("%d s: uplink %d, want %.1f", row.AfterS, row.UplinkHz, want)
		}
	}
	m := s.Bench.Wants[BenchReceiveMemory] - 1
	if s.Bench.ReceiveHz[m] != s.Bench.Card[0].ReceiveHz || s.Bench.UplinkHz[m] != s.Bench.Card[0].UplinkHz {
		t.Error("the memory that is wanted is not the card's")
	}
	if got := s.Bench.Wants; got[BenchReceiveSideband] != int64(USB) || got[BenchUplinkSideband] != int64(LSB) {
		t.Errorf("an inverting bird wants LSB up and USB down, not %v", got)
	}
}

// Nothing of the bird is heard before AOS, and everything after it.
func TestNothingIsHeardBeforeAOS(t *testing.T) {
	key := []Command{{-seconds(50), CommandLatch, 1}}
	var before, after int
	benchRun(t, nil, key, 5, func(s *State) {
		on := 0
		for i := range s.Signals[:s.NumSignals] {
			on += int(boolValue(s.Signals[i].On))
		}
		if near := math.Abs(s.Look.ElevationDeg) < 0.005; s.Bench.Above != (s.Look.ElevationDeg > 0) && !near { // looked at 20 times a second
			t.Fatalf("tick %d: above %v at %.4f degrees", s.Tick, s.Bench.Above, s.Look.ElevationDeg)
		}
		if s.Bench.Above {
			after += on
		} else {
			before += on
		}
	})
	if before != 0 || after == 0 {
		t.Errorf("signals on: %d before AOS, %d after", before, after)
	}
}

// RIT: everything that is heard is off by it, and the card's dials stay as they
// are (common practice: receiver incremental tuning moves the receiver alone).
// Whoever makes himself true by ear stands off by it from who calls him.
func TestRITPutsEverythingOff(t *testing.T) {
	right := atEnd(t, nil, nil, 3)
	wrong := atEnd(t, func(b *Bench) { b.Found[BenchRIT] = 1 }, nil, 3)
	rit := float64(wrong.Bench.RITHz)
	if math.Abs(rit) < 250 || wrong.ReceiveHz != right.ReceiveHz || wrong.CardUplinkHz != right.CardUplinkHz {
		t.Fatalf("RIT %g, dials %d and %d", rit, wrong.ReceiveHz, right.ReceiveHz)
	}
	for i := range right.Signals[:right.NumSignals] {
		if d := wrong.Signals[i].OffsetHz - right.Signals[i].OffsetHz; math.Abs(d+rit) > 0.01 {
			t.Errorf("signal %d moved by %.3f Hz, want %g", i, d, -rit)
		}
	}
	own := int64(math.Round(wrong.TrueHz)) - wrong.UplinkHz
	tuned := atEnd(t, func(b *Bench) { b.Found[BenchRIT] = 1 }, []Command{{0, CommandTuneUplink, own}}, 3)
	if math.Abs(tuned.OffsetHz) > 2 {
		t.Errorf("by ear: own voice %.1f Hz off", tuned.OffsetHz)
	}
	if partner := tuned.Signals[1].OffsetHz; math.Abs(partner) < math.Abs(rit)-150 {
		t.Errorf("the other is off by %.0f Hz only, with the RIT at %g", partner, rit)
	}
}

// A sideband that is wrong on either radio turns the own voice over; on both,
// or with both right, it is plain. Nobody finds himself on the wrong one.
func TestSidebandsTurnTheVoiceOver(t *testing.T) {
	for _, c := range []struct{ receive, uplink, plain bool }{{true, true, true}, {false, true, false}, {true, false, false}, {false, false, true}} {
		s := atEnd(t, func(b *Bench) {
			if !c.receive {
				b.Found[BenchReceiveSideband] = int64(LSB)
			}
			if !c.uplink {
				b.Found[BenchUplinkSideband] = int64(USB)
			}
		}, []Command{{0, CommandLatch, 1}}, 5)
		if s.Readable() != c.plain || s.Found != c.plain {
			t.Errorf("receive right %v, uplink right %v: plain %v, found %v", c.receive, c.uplink, s.Readable(), s.Found)
		}
	}
}

// A notch is what the radio's step says, each radio's its own.
func TestBenchSteps(t *testing.T) {
	for _, hz := range benchSteps {
		up := []Command{{-seconds(1), CommandKnob, 2}, {-seconds(1), CommandReceive, 1}}
		s := atEnd(t, func(b *Bench) { b.Found[BenchUplinkStep] = hz }, up, -0.5)
		b := prepared(t, "ready", 5).Bench
		if got := s.UplinkHz - b.Card[0].UplinkHz; got != 2*hz {
			t.Errorf("two notches of %d Hz move the uplink by %d", hz, got)
		}
		if got := s.ReceiveHz - b.Card[0].ReceiveHz; got != benchFreeStep {
			t.Errorf("a notch of the receiver moves it by %d", got)
		}
	}
}

// VOX: the room keys the transmitter now and then; with the loudspeaker each
// word of a station that is heard does. With PTT nothing but the hand keys.
func TestVOXKeysByItself(t *testing.T) {
	share := func(change func(*Bench)) (heard, quiet float64) {
		var onHeard, ofHeard, onQuiet, ofQuiet float64
		benchRun(t, change, nil, 60, func(s *State) {
			if !s.Bench.Above {
				return
			}
			on := float64(boolValue(s.Keyed))
			if s.Keyed != s.Bench.ByVOX {
				t.Fatal("keyed without a hand, and not by VOX")
			}
			if p := &s.Signals[1]; p.On && s.SNRDB > 6 {
				onHeard, ofHeard = onHeard+on, ofHeard+1
			} else {
				onQuiet, ofQuiet = onQuiet+on, ofQuiet+1
			}
		})
		return onHeard / ofHeard, onQuiet / ofQuiet
	}
	if h, q := share(nil); h != 0 || q != 0 {
		t.Errorf("PTT: on the air %.2f and %.2f of the time", h, q)
	}
	vox := func(b *Bench) { b.Found[BenchKeying] = 1 }
	if h, q := share(vox); h < 0.02 || h > 0.5 || q < 0.02 || q > 0.5 {
		t.Errorf("VOX in headphones: on the air %.2f of the time while another is heard, %.2f otherwise", h, q)
	}
	both := func(b *Bench) { b.Found[BenchKeying], b.Found[BenchHeadphones] = 1, 0 }
	if h, _ := share(both); h < 0.95 {
		t.Errorf("VOX before the loudspeaker: on the air %.2f of the time while another is heard", h)
	}
}

// The wrong memory: nobody within a voice's width of where he calls.
func TestWrongMemoryHearsNobody(t *testing.T) {
	s := prepared(t, "ready", 5)
	wrong := s.Bench.wrongs(BenchReceiveMemory)[0]
	st := atEnd(t, func(b *Bench) { b.Found[BenchReceiveMemory] = wrong }, nil, 3)
	if off := math.Abs(st.Signals[1].OffsetHz); off < 3000 || st.Bench.Right[BenchReceiveMemory] {
		t.Errorf("the caller is %.0f Hz off, right: %v", off, st.Bench.Right)
	}
	st = atEnd(t, nil, nil, 3)
	if off := math.Abs(st.Signals[1].OffsetHz); off > 100 || st.Bench.RightCount() != int(BenchSettings) {
		t.Errorf("by the card: the caller is %.0f Hz off, right: %v", off, st.Bench.Right)
	}
}

// Commands beyond a setting's values, and those of other runs, change nothing.
func TestBenchCommandsOfOtherRuns(t *testing.T) {
	s := atEnd(t, nil, []Command{{-2000, CommandReceiveMemory, 9}, {-2000, CommandUplinkStep, 37}, {-2000, CommandReceiveSideband, 4}}, -1)
	if s.Bench.RightCount() != int(BenchSettings) {
		t.Errorf("right: %v", s.Bench.Right)
	}
	plain := prepared(t, "come-back", 2)
	with := []Command{{100, CommandRIT, 1}, {100, CommandReceiveSideband, 1}, {100, CommandVOX, 1}}
	a, b := flown(t, plain, nil, 600, false), flown(t, plain, with, 600, false)
	last := func(sheet []byte) string { // state hashes without the chain: replay both
		sh, err := ReadSheet(bytes.NewReader(sheet), "s")
		if err != nil {
			t.Fatal(err)
		}
		var st State
		if d, err := Replay(sh, 1, func(s *State) { st = *s }); err != nil || d.What != "" {
			t.Fatal(d, err)
		}
		return strings.Join([]string{st.ReceiveSideband.String(), DialText(st.ReceiveHz)}, " ")
	}
	if last(a) != last(b) {
		t.Errorf("%s and %s", last(a), last(b))
	}
}

// What a ready drill may not be is said with its line.
func TestReadyIsChecked(t *testing.T) {
	data, err := os.ReadFile("../assets/drills/ready.toml")
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	for _, c := range []struct{ from, to, says string }{
		{"faults = [3, 5]", "faults = [0, 5]", "ready.faults"},
		{"faults = [3, 5]", "faults = [3, 11]", "ready.faults"},
		{"faults = [3, 5]", "faults = [1, 2]\nof = [\"rit\", \"vfo\", \"keying\"]", "ready.of 2"},
		{"faults = [3, 5]", "faults = [1, 2]\nof = [\"rit\", \"rit\"]", "twice"},
		{"faults = [3, 5]", "faults = [3, 5]\nhowl = true", "unknown key"},
		{"after_s = -110", "after_s = 10", "pass.after_s"},
		{"voice = \"call\"", "voice = \"cw\"", "speech"},
		{"voice = \"call\"", "voice = \"call\"\nrule = \"both\"", "one dial"},
	} {
		_, err := ParseDrill([]byte(strings.Replace(text, c.from, c.to, 1)), "f.toml")
		if err == nil || !strings.Contains(err.Error(), c.says) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", c.to, err)
		}
	}
}
