package sim

import "math"

// Bird is a satellite as the operator knows it: its transponders, its beacon
// and how it behaves. A bird file is TOML with these keys and no others.
type Bird struct {
	Name         string        `toml:"name" json:"name"`
	Catalog      int           `toml:"catalog,omitempty" json:"catalog"` // catalogue number of its elements
	About        string        `toml:"about,omitempty" json:"about,omitempty"`
	Transponders []Transponder `toml:"transponder" json:"transponders"`
	Beacon       *Beacon       `toml:"beacon,omitempty" json:"beacon,omitempty"`
	Antenna      BirdAntenna   `toml:"antenna,omitempty" json:"antenna"`
	Spin         *Spin         `toml:"spin,omitempty" json:"spin,omitempty"`
	Power        BirdPower     `toml:"power,omitempty" json:"power"`
}

// Transponder is one linear transponder. All frequencies are at the satellite, Hz.
type Transponder struct {
	Name           string  `toml:"name,omitempty" json:"name"`
	Inverting      bool    `toml:"inverting" json:"inverting"`
	UplinkLowHz    float64 `toml:"uplink_low_hz" json:"uplink_low_hz"`
	UplinkHighHz   float64 `toml:"uplink_high_hz" json:"uplink_high_hz"`
	DownlinkLowHz  float64 `toml:"downlink_low_hz" json:"downlink_low_hz"`
	DownlinkHighHz float64 `toml:"downlink_high_hz" json:"downlink_high_hz"`
	SumHz          float64 `toml:"sum_hz,omitempty" json:"sum_hz,omitempty"`               // a check, inverting only: uplink + downlink
	DifferenceHz   float64 `toml:"difference_hz,omitempty" json:"difference_hz,omitempty"` // a check, non-inverting only: downlink - uplink

	UplinkSideband   string `toml:"uplink_sideband,omitempty" json:"uplink_sideband"` // "LSB" or "USB", the convention of its users
	DownlinkSideband string `toml:"downlink_sideband,omitempty" json:"downlink_sideband"`

	ShoulderHz float64 `toml:"shoulder_hz,omitempty" json:"shoulder_hz"` // width outside the edge over which it falls off
	ShoulderDB float64 `toml:"shoulder_db,omitempty" json:"shoulder_db"` // attenuation at the end of the shoulder; nothing passes beyond it

	OscillatorHz       float64 `toml:"oscillator_hz,omitempty" json:"oscillator_hz"`               // known error of the downlink by the translation oscillator
	OscillatorSpreadHz float64 `toml:"oscillator_spread_hz,omitempty" json:"oscillator_spread_hz"` // largest error beside it that nobody knows
	EclipseHz          float64 `toml:"eclipse_hz,omitempty" json:"eclipse_hz"`                     // shift when cold through in the Earth's shadow
	ThermalS           float64 `toml:"thermal_s,omitempty" json:"thermal_s"`                       // time constant of warming and cooling

	GainDB      float64 `toml:"gain_db,omitempty" json:"gain_db"`           // EIRP sent over power received at an isotropic antenna
	MaxEIRPDBW  float64 `toml:"max_eirp_dbw,omitempty" json:"max_eirp_dbw"` // of everything together; the AGC holds it there
	NoiseK      float64 `toml:"noise_k,omitempty" json:"noise_k"`           // system noise temperature of the bird's receiver
	AGCAttackS  float64 `toml:"agc_attack_s,omitempty" json:"agc_attack_s"`
	AGCReleaseS float64 `toml:"agc_release_s,omitempty" json:"agc_release_s"`

	Beacon *Beacon `toml:"beacon,omitempty" json:"beacon,omitempty"` // one of its own, in place of the bird's
}

// Beacon is the bird's beacon.
type Beacon struct {
	FrequencyHz float64 `toml:"frequency_hz" json:"frequency_hz"`   // at the satellite
	ErrorHz     float64 `toml:"error_hz,omitempty" json:"error_hz"` // of its own oscillator
	EIRPDBW     float64 `toml:"eirp_dbw" json:"eirp_dbw"`
	Kind        string  `toml:"kind,omitempty" json:"kind"` // "carrier" or "cw"
	Text        string  `toml:"text,omitempty" json:"text,omitempty"`
	WPM         float64 `toml:"wpm,omitempty" json:"wpm,omitempty"` // by ITU-R M.1677-1: dot = 1.2/WPM s
}

// BirdAntenna is what the bird sends and hears with.
type BirdAntenna struct {
	Polarisation string `toml:"polarisation,omitempty" json:"polarisation"` // "circular" or "linear"
}

// Spin turns the bird's antennas and fades what passes through them.
type Spin struct {
	PeriodS float64 `toml:"period_s" json:"period_s"` // of one turn; two fades each turn
	DepthDB float64 `toml:"depth_db" json:"depth_db"` // from best to worst
	AxisDeg float64 `toml:"axis_deg" json:"axis_deg"` // spin axis against the line of sight at closest approach, 0..90: 0 sees no fade
}

// BirdPower says when the transponders work.
type BirdPower struct {
	InEclipse string    `toml:"in_eclipse,omitempty" json:"in_eclipse"` // "on", "off" or "low" (6 dB down)
	Schedule  []OnSpell `toml:"schedule,omitempty" json:"schedule,omitempty"`
}

// OnSpell is a spell of each hour in which the transponder is on; with none
// given it is always on.
type OnSpell struct {
	FromMinute float64 `toml:"from_minute" json:"from_minute"` // of the hour, UTC
	ForMinutes float64 `toml:"for_minutes" json:"for_minutes"`
}

// ParseBird reads a bird file. The error is a *FileError with the line.
func ParseBird(data []byte, file string) (Bird, error) {
	var b Bird
	data, err := fileText(data, file)
	if err != nil {
		return Bird{}, err
	}
	if err := decodeStrict(data, file, &b); err != nil {
		return Bird{}, err
	}
	b.defaults()
	c := &checker{data: data, file: file}
	b.check(c)
	if err := c.result(); err != nil {
		return Bird{}, err
	}
	return b, nil
}

func (b *Bird) defaults() {
	if b.Antenna.Polarisation == "" {
		b.Antenna.Polarisation = "circular"
	}
	if b.Power.InEclipse == "" {
		b.Power.InEclipse = "on"
	}
	for i := range b.Transponders {
		b.Transponders[i].defaults()
	}
	b.Beacon.defaults()
}

func (b *Beacon) defaults() {
	if b == nil {
		return
	}
	if b.Kind == "" {
		b.Kind = "carrier"
	}
	if b.WPM == 0 {
		b.WPM = 12
	}
}

// BeaconBeside returns the beacon that a transponder's users compare
// themselves with: the transponder's own or, where it has none, the bird's; nil
// where there is neither. The number is 1-based.
func (b *Bird) BeaconBeside(transponder int) *Beacon {
	if transponder >= 1 && transponder <= len(b.Transponders) {
		if own := b.Transponders[transponder-1].Beacon; own != nil {
			return own
		}
	}
	return b.Beacon
}

// defaults fills in what a plain transponder has: our own choices, no
// published source.
func (t *Transponder) defaults() {
	if t.UplinkSideband == "" {
		t.UplinkSideband = "USB"
		if t.Inverting {
			t.UplinkSideband = "LSB"
		}
	}
	set := func(v *float64, d float64) {
		if *v == 0 {
			*v = d
		}
	}
	if t.DownlinkSideband == "" {
		t.DownlinkSideband = "USB"
	}
	set(&t.ShoulderHz, 3000)
	set(&t.ShoulderDB, 40)
	set(&t.ThermalS, 300)
	set(&t.GainDB, 140)
	set(&t.MaxEIRPDBW, 0)
	set(&t.NoiseK, 600)
	set(&t.AGCAttackS, 0.02)
	set(&t.AGCReleaseS, 0.5)
	t.Beacon.defaults()
}

func (b *Bird) check(c *checker) {
	c.text("name", b.Name, 40, true)
	c.text("about", b.About, 1000, false)
	if b.Catalog < 0 || b.Catalog > 999999999 {
		c.fail("catalog", "%d is no catalogue number (0 to 999999999)", b.Catalog)
	}
	if len(b.Transponders) == 0 {
		c.fail("transponder", "a bird needs at least one [[transponder]]")
	}
	if len(b.Transponders) > maxTransponders {
		c.fail("transponder", "there are %d transponders; %d are allowed", len(b.Transponders), maxTransponders)
	}
	for i := range b.Transponders {
		b.Transponders[i].check(c, indexed("transponder", i))
	}
	c.one("antenna.polarisation", b.Antenna.Polarisation, "circular", "linear")
	c.one("power.in_eclipse", b.Power.InEclipse, "on", "off", "low")
	for i, s := range b.Power.Schedule {
		c.within(indexed("power.schedule", i)+".from_minute", s.FromMinute, 0, 60)
		c.within(indexed("power.schedule", i)+".for_minutes", s.ForMinutes, 0, 60)
	}
	if b.Spin != nil {
		c.within("spin.period_s", b.Spin.PeriodS, 0.5, 600)
		c.within("spin.depth_db", b.Spin.DepthDB, 0, 30)
		c.within("spin.axis_deg", b.Spin.AxisDeg, 0, 90)
	}
	b.Beacon.check(c, "beacon")
}

func (b *Beacon) check(c *checker, at string) {
	if b == nil {
		return
	}
	c.within(at+".frequency_hz", b.FrequencyHz, minRadioHz, maxRadioHz)
	c.within(at+".error_hz", b.ErrorHz, -20e3, 20e3)
	c.within(at+".eirp_dbw", b.EIRPDBW, -60, 30)
	c.one(at+".kind", b.Kind, "carrier", "cw")
	c.within(at+".wpm", b.WPM, 4, 60)
	c.text(at+".text", b.Text, 200, b.Kind == "cw")
}

// maxTransponders bounds what a file can hold.
const maxTransponders = 64

// Frequencies that a bird may use: 20 MHz to 25 GHz.
const (
	minRadioHz = 20e6
	maxRadioHz = 25e9
)

// leastPassbandHz is the width of one voice: what a receiver of 300 to 2700 Hz
// takes in, from the carrier on.
const leastPassbandHz = 2700

func (t *Transponder) check(c *checker, at string) {
	for _, e := range []struct {
		key string
		hz  float64
	}{{"uplink_low_hz", t.UplinkLowHz}, {"uplink_high_hz", t.UplinkHighHz},
		{"downlink_low_hz", t.DownlinkLowHz}, {"downlink_high_hz", t.DownlinkHighHz}} {
		c.within(at+"."+e.key, e.hz, minRadioHz, maxRadioHz)
	}
	up, down := t.UplinkHighHz-t.UplinkLowHz, t.DownlinkHighHz-t.DownlinkLowHz
	if up <= 0 {
		c.fail(at+".uplink_high_hz", "the upper edge must lie above the lower edge")
	}
	if down <= 0 {
		c.fail(at+".downlink_high_hz", "the upper edge must lie above the lower edge")
	}
	if up > 0 && up < leastPassbandHz && !c.sheet {
		c.fail(at+".uplink_high_hz", "the passband is %.0f Hz wide; a voice takes %d", up, leastPassbandHz)
	}
	if math.Abs(up-down) > 0.5 {
		c.fail(at+".downlink_high_hz", "the downlink is %.0f Hz wide but the uplink %.0f Hz; they must match", down, up)
	}
	t.checkSum(c, at)
	c.text(at+".name", t.Name, 40, false)
	c.one(at+".uplink_sideband", t.UplinkSideband, "LSB", "USB")
	c.one(at+".downlink_sideband", t.DownlinkSideband, "LSB", "USB")
	c.within(at+".shoulder_hz", t.ShoulderHz, 1, 50e3)
	c.within(at+".shoulder_db", t.ShoulderDB, 0, 80)
	c.within(at+".oscillator_hz", t.OscillatorHz, -20e3, 20e3)
	c.within(at+".oscillator_spread_hz", t.OscillatorSpreadHz, 0, 20e3)
	c.within(at+".eclipse_hz", t.EclipseHz, -20e3, 20e3)
	c.within(at+".thermal_s", t.ThermalS, 1, 1e5)
	c.within(at+".gain_db", t.GainDB, 60, 220)
	c.within(at+".max_eirp_dbw", t.MaxEIRPDBW, -40, 40)
	c.within(at+".noise_k", t.NoiseK, 10, 1e5)
	c.within(at+".agc_attack_s", t.AGCAttackS, 0.001, 60)
	c.within(at+".agc_release_s", t.AGCReleaseS, 0.001, 60)
	t.Beacon.check(c, at+".beacon")
}

func (t *Transponder) checkSum(c *checker, at string) {
	if t.SumHz != 0 {
		if !t.Inverting {
			c.fail(at+".sum_hz", "only an inverting transponder has a constant sum; use difference_hz")
		} else if sum := t.UplinkLowHz + t.DownlinkHighHz; math.Abs(sum-t.SumHz) > 0.5 {
			c.fail(at+".sum_hz", "the edges add up to %.0f Hz, so the downlink lies %.0f Hz outside this sum", sum, sum-t.SumHz)
		}
	}
	if t.DifferenceHz != 0 {
		if t.Inverting {
			c.fail(at+".difference_hz", "an inverting transponder has a constant sum; use sum_hz")
		} else if d := t.DownlinkLowHz - t.UplinkLowHz; math.Abs(d-t.DifferenceHz) > 0.5 {
			c.fail(at+".difference_hz", "the edges differ by %.0f Hz, so the downlink lies %.0f Hz outside", d, d-t.DifferenceHz)
		}
	}
}
