package sim

import (
	"math"
	"os"
	"strings"
	"testing"
)

// bundledBirds reads every bird file.
func bundledBirds(t *testing.T) []Bird {
	t.Helper()
	entries, err := os.ReadDir("../assets/birds")
	if err != nil {
		t.Fatal(err)
	}
	var all []Bird
	for _, e := range entries {
		all = append(all, demoBird(t, strings.TrimSuffix(e.Name(), ".toml")))
	}
	return all
}

// A bird does not hear itself: no beacon and no downlink lies within a
// megahertz-wide guard's inside, that is, in one of its own uplinks.
func TestBirdsDoNotHearThemselves(t *testing.T) {
	for _, b := range bundledBirds(t) {
		for i := range b.Transponders {
			up := &b.Transponders[i]
			within := func(low, high float64) bool {
				return low < up.UplinkHighHz+up.ShoulderHz && high > up.UplinkLowHz-up.ShoulderHz
			}
			for k := range b.Transponders {
				down := &b.Transponders[k]
				if within(down.DownlinkLowHz, down.DownlinkHighHz) {
					t.Errorf("%s: uplink %d overlaps downlink %d", b.Name, i+1, k+1)
				}
				if m := b.BeaconBeside(k + 1); m != nil && within(m.FrequencyHz, m.FrequencyHz) {
					t.Errorf("%s: the beacon on %.0f Hz lies in uplink %d", b.Name, m.FrequencyHz, i+1)
				}
			}
		}
	}
}

// Each bird's noise can be heard to come on where the bird is overhead, and
// one bird is noisy. What man makes on 2 m in a city is 16.9 dB over kT0 (ITU-R
// P.372-16, 76.8 - 27.7 log 145), 14,000 K, on 70 cm 3.7 dB, 680 K: that a bird
// hears as much from a continent is our choice. A listener tells noise apart
// that differs by some half a decibel (level discrimination, common practice).
func TestTransponderNoiseIsHeard(t *testing.T) {
	heights := map[string]float64{"LARK-1": 500, "DIPPER-2": 800, "FULMAR-3": 1480, "STILT-4": 800}
	most := 0.0
	for _, b := range bundledBirds(t) {
		for i := range b.Transponders {
			tr := &b.Transponders[i]
			down := (tr.DownlinkLowHz + tr.DownlinkHighHz) / 2
			st := UsualStation()
			bird := boltzmannDB + decibel(tr.NoiseK) + tr.GainDB - FreeSpaceLossDB(down, heights[b.Name]) + st.ReceiveGainDBi - polarisationDB(&b)
			rise := decibel(1 + ratio(bird-NoiseDensity("rural", down, st.ReceiverK)))
			most = math.Max(most, rise)
			if rise < 0.5 {
				t.Errorf("%s, transponder %d: the noise rises by %.2f dB overhead", b.Name, i+1, rise)
			}
			t.Logf("%s %d: %.2f dB", b.Name, i+1, rise)
		}
	}
	if most < 3 {
		t.Errorf("the noisiest bird raises the noise by %.1f dB only", most)
	}
}

// On a bird with 2 m up and 70 cm down the power rule compares what the bird
// sends, whatever band its beacon is on.
func TestPowerRuleAcrossBands(t *testing.T) {
	same := changedRun(t, "wrong-in-one-thing", 3, func(s *Setup) { s.Trials, s.Drill.Kind, s.Drill.Faults = nil, "fly", nil })
	other := changedRun(t, "wrong-in-one-thing", 3, func(s *Setup) {
		s.Trials, s.Drill.Kind, s.Drill.Faults = nil, "fly", nil
		eirp := s.Bird.BeaconBeside(2).EIRPDBW
		s.Bird.Transponders[1].Beacon = nil
		s.Bird.Beacon.EIRPDBW = eirp
	})
	var a, b State
	for range 60 * TicksPerSecond {
		same.Step(&a)
		other.Step(&b)
	}
	if a.BeaconDB != b.BeaconDB || a.BeaconDB == 0 {
		t.Errorf("%.2f dB against a beacon on the same band, %.2f dB against one as strong on 2 m", a.BeaconDB, b.BeaconDB)
	}
}
