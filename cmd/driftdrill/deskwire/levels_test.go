//go:build !nodesk

package deskwire

import (
	"testing"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/desk"
	"driftdrill/cmd/driftdrill/trainer"
)

// Each level that a person sets reaches the sound that it names.
func TestLevelsReachTheHeadset(t *testing.T) {
	for _, c := range []struct {
		set  desk.Levels
		want audio.Headset
	}{
		{desk.Levels{MasterDB: -3}, audio.Headset{VolumeDB: -3}},
		{desk.Levels{SidetoneDB: -3}, audio.Headset{SidetoneDB: -3}},
		{desk.Levels{ReturnDB: -3}, audio.Headset{ReturnDB: -3}},
		{desk.Levels{OthersDB: -3}, audio.Headset{OthersDB: -3}},
		{desk.Levels{NoiseDB: -3}, audio.Headset{NoiseDB: -3}},
		{desk.Levels{BalanceDB: -3}, audio.Headset{BalanceDB: -3}},
		{desk.Levels{Split: true}, audio.Headset{Split: true}},
		{desk.Levels{Swap: true}, audio.Headset{SplitSwap: true}},
		{desk.Levels{Ticks: true}, audio.Headset{Ticks: true}},
		{desk.Levels{Region: "low"}, audio.Headset{Region: audio.RegionLow}},
		{desk.Levels{Region: "high"}, audio.Headset{Region: audio.RegionHigh}},
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
