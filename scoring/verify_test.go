package scoring

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"driftdrill/sim"
)

// A sheet of the first format, written by the program before hashes chained.
func TestOldSheetsAreReadAndNotVerified(t *testing.T) {
	text, err := os.ReadFile("logbook/testdata/format1.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	sh := readSheet(t, text)
	d, tr, err := DebriefSheet(sh)
	if err != nil || !d.Agrees || d.Verified || !strings.Contains(d.Unverified, "old sheet") || d.HoldIndex < 900 {
		t.Errorf("%v, %+v", err, d)
	}
	sh.Setup.Hand = ""
	if ok, why := Counts(&sh.Setup, d.Marks, tr, Beside{}); ok || !strings.Contains(why, "old sheet") {
		t.Errorf("counts %v: %s", ok, why)
	}
}

// What a sheet needs to be verified; edits of every kind are tried in package sim.
func TestVerify(t *testing.T) {
	text := flySheet(t, prepare(t, "come-back", 3, nil), "perfect", 1, 0)
	lines := bytes.SplitAfter(text, []byte("\n"))
	stopped := flySheet(t, prepare(t, "come-back", 3, nil), "perfect", 1, 100*sim.TicksPerSecond)
	for _, c := range []struct {
		name             string
		text             []byte
		agrees, verified bool
		why              string
	}{
		{"whole", text, true, true, ""},
		{"stopped by the operator", stopped, true, true, ""},
		{"cut short", bytes.Join(lines[:len(lines)*2/3], nil), true, false, "cut short"},
		{"an end typed in", append(bytes.Join(lines[:len(lines)*2/3], nil), []byte(`{"end":20000}`+"\n")...), false, false, ""},
	} {
		sh := readSheet(t, c.text)
		m, tr, err := Mark(sh)
		if err != nil {
			t.Fatal(err)
		}
		a := Verify(sh, tr, m)
		if a.Agrees != c.agrees || a.Verified != c.verified || !strings.Contains(a.Why, c.why) || a.Verified != (a.Why == "") {
			t.Errorf("%s: %+v", c.name, a)
		}
	}
}

// Speed and gaps by hand: 60 seconds, of which the writer's clock took 72, is
// 60/72; a pause of a minute in the middle changes nothing.
func TestConditions(t *testing.T) {
	sh := &sim.Sheet{End: 60 * sim.TicksPerSecond, Ended: true}
	for i := range 60 {
		wall := int64(i) * 1200
		if i >= 30 {
			wall += 60_000
		}
		sh.WallMS = append(sh.WallMS, wall)
	}
	at := func(second int, k sim.CommandKind, v int64) {
		sh.Commands = append(sh.Commands, sim.Command{Tick: sim.Tick(second) * sim.TicksPerSecond, Kind: k, Value: v})
	}
	at(3, sim.CommandAid, sim.AidNoise)
	at(5, sim.CommandAid, 0)
	at(10, sim.CommandSound, 2)
	at(11, sim.CommandSound, 3)
	at(20, sim.CommandAid, sim.AidDrift)
	at(30, sim.CommandPause, 1)
	c := conditionsOf(sh, 10*sim.TicksPerSecond)
	if c.Aids != sim.AidNoise|sim.AidDrift || c.Pauses != 1 {
		t.Errorf("%+v", c)
	}
	at(59, sim.CommandPause, 1)
	sh.Commands = append(sh.Commands, sim.Command{Tick: 59*sim.TicksPerSecond + endedFromPause, Kind: sim.CommandStop})
	if n := conditionsOf(sh, 0).Pauses; n != 1 {
		t.Errorf("%d pauses: that from which he ended the run counts too", n)
	}
	sh.Commands[len(sh.Commands)-1].Tick++
	if n := conditionsOf(sh, 0).Pauses; n != 2 {
		t.Errorf("%d pauses: from the last he went on", n)
	}
	sh.Commands = sh.Commands[:len(sh.Commands)-2]
	near(t, "speed", c.Speed, 60.0/72, 0.001)
	near(t, "gaps", c.GapShare, 2.0/60, 0.001)
	if sh.WallMS = sh.WallMS[:15]; conditionsOf(sh, 0).Speed != 0 {
		t.Error("fifteen seconds are too few to tell a speed")
	}
	setup := prepare(t, "come-back", 3, func(d *sim.Drill) { d.Aids = sim.Aids{FadeTo: 1} })
	m := Marks{KeyedS: 100, HeldS: 100}
	for _, k := range []struct {
		name string
		c    Conditions
		why  string
	}{
		{"as it should be", Conditions{Speed: 0.995, GapShare: 0.01}, ""},
		{"unknown speed", Conditions{}, ""},
		{"paused", Conditions{Pauses: 1}, "paused"},
		{"slow", Conditions{Speed: 0.73}, "took 37 % longer"},
		{"another dial", Conditions{}, "leaves alone went 310 Hz"},
		{"gaps", Conditions{GapShare: 0.0101}, "broke up in 2 %"},
	} {
		samples := []Sample{{ReceiveHz: 145_900_000}, {ReceiveHz: 145_900_000}}
		if k.name == "another dial" {
			samples[1].ReceiveHz += 310
		}
		ok, why := Counts(&setup, m, &Trace{Samples: samples, Plan: planOf(&setup), Conditions: k.c, Chained: true, HasFound: true}, Beside{})
		if ok != (k.why == "") || !strings.Contains(why, k.why) {
			t.Errorf("%s: counts %v, %q", k.name, ok, why)
		}
	}
	tr := &Trace{Conditions: Conditions{Aids: sim.AidNoise | sim.AidDrift}, Chained: true, HasFound: true}
	if ok, why := Counts(&setup, m, tr, Beside{}); !ok || why != "flown with less noise, the drift rate shown: it counts as at most" {
		t.Errorf("aids: counts %v, %q", ok, why)
	}
}
