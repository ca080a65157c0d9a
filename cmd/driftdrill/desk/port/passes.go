package port

import (
	"context"
	"time"
)

// PassPages is what the pages of passes need besides the passes.
type PassPages struct {
	WorthRule string // what makes a pass worth getting up for, in sentences

	// DialCard works out the dial card of a pass by its key for one of the bird's
	// transponders, counted from 1; rule is the dial
	// that is turned, "uplink", "downlink" or "both", "" = that of the higher band.
	DialCard func(ctx context.Context, key, rule string, transponder int) (*DialCard, error)
	// KeepDialCard writes the card as a page for the bag and says where it lies.
	KeepDialCard func(ctx context.Context, key, rule string, transponder int) (where string, err error)

	// BandsByHand tells what was chosen by hand for a bird without a plan; ok = something was.
	BandsByHand func(bird string, catalog int) (b BandsByHand, ok bool)
	// KeepBandsByHand keeps a choice; the error says what cannot be.
	KeepBandsByHand func(b BandsByHand) error

	// News returns what a person should know unasked; it is asked twice a second
	// and answers at once.
	News func(now time.Time) []News
	// Reminded tells whether one is reminded of a pass, Remind sets that or takes
	// it back. nil = there are no reminders.
	Reminded func(key string) bool
	Remind   func(e PassEntry, on bool) error

	Sky *SkyPages // nil = there is one source of elements alone
}

// News is something that a person should know.
type News struct {
	Text   string // "" = nothing to be said
	Spoken bool   // the program says it by itself: it was asked for
	Birds  bool   // elements have changed
}

// SkyPages is what the page of one's own sky needs. All but Favour may take long.
type SkyPages struct {
	Look    func(ctx context.Context) (*Sky, error)
	Add     func(ctx context.Context, place string) (says string, err error)
	Drop    func(place string) error
	Refresh func(ctx context.Context) (says string, err error) // asks every address, as often as is polite
	Favour  func(bird string, catalog int, on bool) error
}

// Sky is one's own sky: birds by the youngest elements that any source has.
type Sky struct {
	Birds   []SkyBird
	Sources []SkySource
}

// SkyBird is one bird of it.
type SkyBird struct {
	Name      string
	Catalog   int
	Age       string // "0.4 days old, up to 3 Hz off"
	Old       bool   // older than is good
	From      string // the source
	Also      string // who else has it: "older in club.txt"; ""
	Favourite bool
	Planned   bool // its plan is known
}

// SkySource is one source of it.
type SkySource struct {
	Place, Short string
	Says         string // "12 birds, the youngest 0.4 days old, asked today 18:02"
	Fault        string // what is wrong with it; "" = nothing
	Fixed        bool   // it cannot be taken out here
}

// BandsByHand are bands that the operator chose for a bird that has no plan.
type BandsByHand struct {
	Bird                 string
	Catalog              int     // 0 = none
	UplinkHz, DownlinkHz float64 // middles of the passbands, at the satellite
	Inverting            bool
}

// DialCard is the dial card of a pass, in words.
type DialCard struct {
	Bird  string
	Rule  string      // as it was worked out: "uplink", "downlink" or "both"
	Links []string    // what the bird's transponders do, where it has several
	Date  string      // the day and the zone of its times
	Facts [][2]string // name and what it is
	Rows  []DialRow
	Log   []string // what is noted of a contact
}

// DialRow is one line of a dial card.
type DialRow struct {
	Clock            string // "09:31:30"
	Uplink, Downlink string // as the radios show them
	Look             string // where to look: "31°, 12° up"
	Rate             string // how fast the turned dial moves: "16 Hz/s"
	Mark             string // "AOS", "TCA", "LOS" or ""
	Spoken           string // all of it, said
}
