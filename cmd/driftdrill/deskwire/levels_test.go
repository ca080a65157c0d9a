//go:build !nodesk

package deskwire

import (
	"testing"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
)

// Each level that a person sets reaches the sound that it names.
func TestLevelsReachTheHeadset(t *testing.T) {
	for _, c := range []struct {
		set  port.Levels
		want audio.Headset
	}{
		{port.Levels{MasterDB: -3}, audio.Headset{VolumeDB: -3}},
		{port.Levels{SidetoneDB: -3}, audio.Headset{SidetoneDB: -3}},
		{port.Levels{ReturnDB: -3}, audio.Headset{ReturnDB: -3}},
		{port.Levels{OthersDB: -3}, audio.Headset{OthersDB: -3}},
		{port.Levels{NoiseDB: -3}, audio.Headset{NoiseDB: -3}},
		{port.Levels{BalanceDB: -3}, audio.Headset{BalanceDB: -3}},
		{port.Levels{Split: true}, audio.Headset{Split: true}},
		{port.Levels{Swap: true}, audio.Headset{SplitSwap: true}},
		{port.Levels{Ticks: true}, audio.Headset{Ticks: true}},
		{port.Levels{Region: "low"}, audio.Headset{Region: audio.RegionLow}},
		{port.Levels{Region: "high"}, audio.Headset{Region: audio.RegionHigh}},
	} {
		if got := headsetOf(c.set); got != c.want {
			t.Errorf("%+v gives %+v", c.set, got)
		}
	}
}

// The filter that the strip draws is the one that the drill's receiver has.
func TestFilterOfTheDrillIsTold(t *testing.T) {
	f := trainer.Flight{Drill: "come-back"}
	setup, err := f.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	for width, want := range map[int][2]float64{2400: {300, 2700}, 500: {450, 950}} {
		setup.Station.Receive.FilterHz = width
		about, err := aboutRun(&setup)
		if err != nil {
			t.Fatal(err)
		}
		if about.FilterLowHz != want[0] || about.FilterHighHz != want[1] {
			t.Errorf("%d Hz wide: told from %g to %g", width, about.FilterLowHz, about.FilterHighHz)
		}
	}
}
