package port

import "time"

// CorrectionPages is what the page of corrections needs of the program. Its
// functions answer at once; nil = there is no such page.
type CorrectionPages struct {
	// Corrections lists what is known of each bird, those with something known first.
	Corrections func() ([]CorrectionOf, error)
	// CheckNote says in words what was typed for a bird: by how many hertz the
	// dial stood above the card where the operator sounded true.
	CheckNote func(bird, text string) (says string, ok bool)
	// NoteCorrection notes it.
	NoteCorrection func(bird, text string) (says string, err error)
	// ForgetCorrections forgets all that is known of a bird.
	ForgetCorrections func(bird string) error
}

// CorrectionOf is what the operator's station is off with a bird. All figures
// are those of the dial that the bird's rule turns, + is above the card.
type CorrectionOf struct {
	Bird     string
	Dial     string  // "uplink" or "downlink"
	InForce  float64 // Hz
	SpreadHz float64 // standard deviation of all; 0 where there is one
	Passes   int     // that InForce rests on; 0 = nothing is known
	Points   []CorrectionPoint
}

// CorrectionPoint is one pass.
type CorrectionPoint struct {
	When   time.Time
	Hz, SD float64
	From   string // "noted by hand", or the recording's name
}
