package sim

import (
	"bytes"
	"slices"

	"github.com/pelletier/go-toml/v2"
)

// FormatBird writes a bird as a bird file, which ParseBird reads as the same
// bird; what every bird has that says nothing else is left out.
func FormatBird(b Bird) ([]byte, error) {
	b.Transponders = slices.Clone(b.Transponders)
	for i := range b.Transponders {
		b.Transponders[i].leaveOutDefaults()
	}
	b.Beacon = b.Beacon.withoutDefaults()
	if b.Antenna.Polarisation == "circular" {
		b.Antenna.Polarisation = ""
	}
	if b.Power.InEclipse == "on" {
		b.Power.InEclipse = ""
	}
	var text bytes.Buffer
	e := toml.NewEncoder(&text)
	e.SetIndentTables(false)
	err := e.Encode(&b)
	return text.Bytes(), err
}

func (b *Beacon) withoutDefaults() *Beacon {
	if b == nil {
		return nil
	}
	plain := *b
	if plain.Kind == "carrier" {
		plain.Kind = ""
	}
	if plain.WPM == 12 {
		plain.WPM = 0
	}
	return &plain
}

func (t *Transponder) leaveOutDefaults() {
	plain := Transponder{Inverting: t.Inverting}
	plain.defaults()
	for _, v := range []struct {
		own   *float64
		usual float64
	}{{&t.ShoulderHz, plain.ShoulderHz}, {&t.ShoulderDB, plain.ShoulderDB}, {&t.ThermalS, plain.ThermalS}, {&t.GainDB, plain.GainDB},
		{&t.NoiseK, plain.NoiseK}, {&t.AGCAttackS, plain.AGCAttackS}, {&t.AGCReleaseS, plain.AGCReleaseS}} {
		if *v.own == v.usual {
			*v.own = 0
		}
	}
	if t.UplinkSideband == plain.UplinkSideband {
		t.UplinkSideband = ""
	}
	if t.DownlinkSideband == plain.DownlinkSideband {
		t.DownlinkSideband = ""
	}
	t.Beacon = t.Beacon.withoutDefaults()
}
