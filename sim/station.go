package sim

import "strings"

// Station is what the operator stands on the hill with.
type Station struct {
	Uplink  Rig `toml:"uplink" json:"uplink"`
	Receive Rig `toml:"receive" json:"receive"`

	PowerW         float64 `toml:"power_w" json:"power_w"`                     // peak envelope at the antenna
	UplinkGainDBi  float64 `toml:"uplink_gain_dbi" json:"uplink_gain_dbi"`     // of the hand antenna, cable taken off
	ReceiveGainDBi float64 `toml:"receive_gain_dbi" json:"receive_gain_dbi"`   //
	BeamDeg        float64 `toml:"beam_deg" json:"beam_deg"`                   // half-power width
	Diplexer       string  `toml:"diplexer" json:"diplexer"`                   // "in" or "out"
	Keying         string  `toml:"keying" json:"keying"`                       // "ptt" or "vox"
	HangS          float64 `toml:"hang_s" json:"hang_s"`                       // of the VOX
	RigDelayS      float64 `toml:"rig_delay_s" json:"rig_delay_s"`             // of both radios together
	ReceiverK      float64 `toml:"receiver_k" json:"receiver_k"`               // noise temperature of the receiver
	HandAntenna    bool    `toml:"hand_antenna" json:"hand_antenna,omitempty"` // the operator aims and twists it himself
}

// Rig is one radio.
type Rig struct {
	Sideband string  `toml:"sideband" json:"sideband,omitempty"` // "USB" or "LSB"; "" follows the transponder's convention
	PPM      float64 `toml:"ppm" json:"ppm"`                     // reference error when warm
	ColdPPM  float64 `toml:"cold_ppm" json:"cold_ppm,omitempty"` // error beside it at switch-on
	WarmS    float64 `toml:"warm_s" json:"warm_s,omitempty"`     // time constant of warming up
	FilterHz int     `toml:"filter_hz" json:"filter_hz"`         // 2400 (300 to 2700 Hz) or 500 (CW)
}

// UsualStation returns the portable station that drills use: 5 W, a short
// hand-held Yagi for both bands. Choice of this project.
func UsualStation() Station {
	var s Station
	s.defaults()
	return s
}

func (s *Station) defaults() {
	set := func(v *float64, def float64) {
		if *v == 0 {
			*v = def
		}
	}
	set(&s.PowerW, 5)
	set(&s.UplinkGainDBi, 8)
	set(&s.ReceiveGainDBi, 6)
	set(&s.BeamDeg, 50)
	set(&s.HangS, 0.6)
	set(&s.RigDelayS, 0.02)
	set(&s.ReceiverK, 170)
	set(&s.Uplink.WarmS, 300)
	set(&s.Receive.WarmS, 300)
	if s.Diplexer == "" {
		s.Diplexer = "in"
	}
	if s.Keying == "" {
		s.Keying = "ptt"
	}
	if s.Uplink.FilterHz == 0 {
		s.Uplink.FilterHz = 2400
	}
	if s.Receive.FilterHz == 0 {
		s.Receive.FilterHz = 2400
	}
}

func (s *Station) check(c *checker, at string) {
	c.within(at+".power_w", s.PowerW, 0.001, 1500)
	c.within(at+".uplink_gain_dbi", s.UplinkGainDBi, -20, 30)
	c.within(at+".receive_gain_dbi", s.ReceiveGainDBi, -20, 30)
	c.within(at+".beam_deg", s.BeamDeg, 5, 360)
	c.one(at+".diplexer", s.Diplexer, "in", "out")
	c.one(at+".keying", s.Keying, "ptt", "vox")
	c.within(at+".hang_s", s.HangS, 0, 5)
	c.within(at+".rig_delay_s", s.RigDelayS, 0, 0.5)
	c.within(at+".receiver_k", s.ReceiverK, 1, 1e5)
	s.Uplink.check(c, at+".uplink")
	s.Receive.check(c, at+".receive")
}

func (r *Rig) check(c *checker, at string) {
	if r.Sideband != "" {
		c.one(at+".sideband", r.Sideband, "USB", "LSB")
	}
	c.within(at+".ppm", r.PPM, -50, 50)
	c.within(at+".cold_ppm", r.ColdPPM, -50, 50)
	c.within(at+".warm_s", r.WarmS, 1, 1e5)
	if r.FilterHz != 2400 && r.FilterHz != 500 {
		c.fail(at+".filter_hz", "%d is neither 2400 nor 500", r.FilterHz)
	}
}

// sideband returns the radio's sideband, the convention's where it has none.
func (r *Rig) sideband(convention string) Sideband {
	if strings.TrimSpace(r.Sideband) == "" {
		return parseSideband(convention)
	}
	return parseSideband(r.Sideband)
}
