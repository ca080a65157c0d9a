package port

import "time"

// CorrectionPages is what the page of corrections needs of the program. Its
// functions answer at once; nil = there is no such page.
type CorrectionPages struct {
	// Corrections lists what is known of each bird, those with something known first.
	Corrections func() ([]CorrectionOf, error)
	// CheckNote says in words what was typed for a bird's transponder, counted from
	// 1: by how many hertz the dial stood above the card where the operator sounded true.
	CheckNote func(bird string, transponder int, text string) (says string, ok bool)
	// NoteCorrection notes it.
	NoteCorrection func(bird string, transponder int, text string) (says string, err error)
	// ForgetCorrections forgets what is known of a bird's transponder at this station.
	ForgetCorrections func(bird string, transponder int) error

	// Stations are those that have a name or corrections, the usual one first.
	Stations func() []Station
	// CheckStation says in words what was typed as a station's name.
	CheckStation func(text string) (says string, ok bool)
	// UsualStation is what the station without a name is called.
	UsualStation string
}

// Station is a place with its radios.
type Station struct {
	Name  string // for Settings.Station; "" = the usual one
	Notes int    // corrections that are kept of it
}

// CorrectionOf is what the operator's station is off with a bird's transponder. All figures
// are those of the dial that the bird's rule turns, + is above the card.
type CorrectionOf struct {
	Bird        string
	Transponder int     // counted from 1
	Which       string  // tells it from the others of the bird: its bands; "" = there are no others
	Dial        string  // "uplink" or "downlink"
	InForce     float64 // Hz
	SpreadHz    float64 // standard deviation of all; 0 where there is one
	Passes      int     // that InForce rests on; 0 = nothing is known
	Points      []CorrectionPoint
}

// CorrectionPoint is one pass.
type CorrectionPoint struct {
	When   time.Time
	Hz, SD float64
	From   string // "noted by hand", or the recording's name
}
