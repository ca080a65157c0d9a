package sim

import "driftdrill/orbit"

// Other is another station on the bird.
type Other struct {
	Call    string     `json:"call"`
	Voice   string     `json:"voice"` // bundled voice
	Site    orbit.Site `json:"site"`
	Plan    string     `json:"plan"` // "cq", "contact", "net", "rude", "partner"
	Rule    string     `json:"rule"` // "uplink", "downlink", "both", "none"
	Hand    string     `json:"hand"`
	PowerW  float64    `json:"power_w"`
	GainDBi float64    `json:"gain_dbi"`
	SlotHz  float64    `json:"slot_hz"` // his place in the passband, downlink Hz as he hears it
	With    int        `json:"with"`    // index of the station he talks with; -1 = none
}

// drawTraffic draws the other stations.
func (s *Setup) drawTraffic() error { return nil }
