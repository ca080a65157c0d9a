package port

import "context"

// PassPages is what the pages of passes need besides the passes.
type PassPages struct {
	WorthRule string // what makes a pass worth getting up for, in sentences

	// DialCard works out the dial card of a pass by its key; rule is the dial
	// that is turned, "uplink", "downlink" or "both", "" = that of the higher band.
	DialCard func(ctx context.Context, key, rule string) (*DialCard, error)
	// KeepDialCard writes the card as a page for the bag and says where it lies.
	KeepDialCard func(ctx context.Context, key, rule string) (where string, err error)

	// BandsByHand tells what was chosen by hand for a bird without a plan; ok = something was.
	BandsByHand func(bird string, catalog int) (b BandsByHand, ok bool)
	// KeepBandsByHand keeps a choice; the error says what cannot be.
	KeepBandsByHand func(b BandsByHand) error
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
