// Package logbook keeps runs: whose they were, their marks and ratings, and
// their whole sheets, so that marks can be computed again when the formula
// changes. It is one SQLite file, written ahead (WAL), each run in one
// transaction that is on the disk before Add returns. Two copies of the
// program may use one logbook at the same time.
//
// A browser has no SQLite: its logbook (trainer/shelf) is written by the same
// Prepare, so that marks, ratings and what counts are the same.
package logbook

import (
	"errors"
	"time"

	"driftdrill/scoring"
)

// Errors that a caller may tell apart with errors.Is.
var (
	ErrNewer    = errors.New("logbook from a newer version of this program")
	ErrCorrupt  = errors.New("damaged logbook")
	ErrFull     = errors.New("disk full")
	ErrReadOnly = errors.New("cannot be written")
	ErrBusy     = errors.New("another program is using the logbook")
)

// Run is a run to be added.
type Run struct {
	Operator string    // whose it was; "" is "nobody in particular"
	Flown    time.Time // when it was flown
	Sheet    []byte    // the whole sheet
	Rating   *scoring.Rating
}

// Entry is one run of the logbook.
type Entry struct {
	ID        int64           `json:"id"`
	Operator  string          `json:"operator"`
	Flown     time.Time       `json:"flown_utc"`
	Start     time.Time       `json:"start_utc"` // of the simulated pass
	Drill     string          `json:"drill"`
	Title     string          `json:"title"`
	Bird      string          `json:"bird"`
	TopDeg    float64         `json:"top_deg"`
	Hand      string          `json:"hand"` // the simulated hand; "" for a person
	Formula   int             `json:"formula"`
	HoldIndex float64         `json:"hold_index"`
	FoundS    *float64        `json:"found_s"`
	GoalMet   *bool           `json:"goal_met"`
	Stopped   bool            `json:"stopped"`
	Counts    bool            `json:"counts"`  // counts for the rating
	WhyNot    string          `json:"why_not"` // why it does not; "" where it does
	Rating    *scoring.Rating `json:"rating"`
	Marks     scoring.Marks   `json:"marks"`
}

// Air is a contact on the air, as a recording of it was measured. It stands
// beside the runs and counts for no rating.
type Air struct {
	Operator   string    `json:"operator"`
	Heard      time.Time `json:"heard_utc"` // first sample of the recording
	File       string    `json:"file"`      // name without its folder
	Bird       string    `json:"bird"`      // "" where the pass was not given
	LengthS    float64   `json:"length_s"`
	KeyedS     float64   `json:"keyed_s"`
	Formula    int       `json:"formula"`
	HoldIndex  float64   `json:"hold_index"` // by the rules of a drill's
	Within50Hz float64   `json:"share_within_50hz"`
	RMSHz      float64   `json:"rms_hz"`
}

// Filter says which runs to list.
type Filter struct {
	Operator string // "" = all
	Limit    int    // at most so many, the latest first; 0 = all
	Marks    bool   // fill in Marks, which costs time
}

// Path returns the file that a logbook has in a data folder.
func Path(folder string) string { return folder + "/logbook.sqlite" }

// WriteFile writes a file whole or not at all, and replaces one of that name.
type WriteFile func(path string, text []byte) error
