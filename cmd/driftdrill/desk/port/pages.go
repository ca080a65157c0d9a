package port

import (
	"context"
	"time"

	"driftdrill/sim"
)

// Pages is what the pages round the desk need from the program: start, passes,
// drills, logbook, settings, welcome. A nil function leaves out what needs it.
// Those that take a context may take long: the desk calls them on goroutines
// of their own and shows that they work. The others are called from the
// window's goroutine and answer at once.
type Pages struct {
	Now func() time.Time // nil = time.Now

	Drills  func(ctx context.Context, operator string) ([]DrillEntry, error)        // the path of drills with what was reached
	Passes  func(ctx context.Context, q PassQuery, p Progress) ([]PassEntry, error) // passes over a site, by the time they rise
	Logbook Logbook

	// Birds lists the operator's own birds and, after them, those in the program,
	// and says in a line each which of his files cannot be read; nil = there is no
	// page of birds.
	Birds func() (all []Bird, broken []string)
	// KeepBird puts a bird file among the operator's own birds and says where it
	// lies. replace = it takes the place of one of the same name or number;
	// without it inTheWay tells that there is one.
	KeepBird func(text []byte, replace bool) (where string, inTheWay bool, err error)
	// TakeFile takes a file that was dropped on the window. It may take long.
	TakeFile func(ctx context.Context, name string, data []byte) (Taken, error)

	PassPages
	Left     func(ctx context.Context) ([]LeftRun, error)                   // runs that were cut short, the latest first
	OpenLeft func(ctx context.Context, key string) (*About, *Result, error) // marks one as far as it went
	DropLeft func(key string) error                                         // keeps one with its marks, without showing it
	// DiscardLeft puts one aside: it is not offered again, has no marks and
	// counts nowhere. Its sheet stays, under another name.
	DiscardLeft func(key string) error

	CheckRadio    func(text string) (says string, ok bool) // what a person typed as a radio's address, and what the radio says, as it stands now; nil = radios cannot be read
	RadioAddress  func(text string) (wrong string)         // why a text is no address of a radio, whether or not one answers; "" = it is one
	CheckSite     func(text string) (says string, ok bool) // what a person typed as a place, in words; "" is the program's own hill
	CheckElements func(text string) (says string, ok bool) // the same for elements; "" is the bundled birds

	// TakeOut writes the sheets of a person's runs, "" = everybody's, and runs.csv,
	// which lists them, into a folder of the program's, and says how many and where
	// they lie. BringIn takes sheets from a file or a folder, each flown again and
	// marked here; says tells how many, and why others were not. nil = not offered.
	TakeOut func(ctx context.Context, operator string, p Progress) (says, where string, err error)
	BringIn func(ctx context.Context, path string, p Progress) (says string, err error)

	CorrectionPages

	// OpenRecording measures a recording of a real contact from a file, taken
	// for what as says; p is told seconds, and how many there are.
	OpenRecording func(ctx context.Context, path string, as ReadAs, p Progress) (*Recording, error)

	// TestTone plays the own tone and its return, softly at first, until stop
	// is called. The levels may be changed while it sounds.
	TestTone func(s Settings) (stop func(), set func(Levels), err error)

	// OwnVoices is what the operator can speak with, in the order in which to
	// show it; none = the drill's voice alone.
	OwnVoices func() []OwnVoice
	// RecordVoice begins to record the operator's own voice; nil = it cannot be.
	RecordVoice func() (VoiceTake, error)
	// TakeVoice keeps a sound file as the operator's own voice, and says what it is.
	TakeVoice func(ctx context.Context, path string) (says string, err error)
	// HearVoice plays the own voice that is kept, once, softly at first.
	HearVoice func() (stop func(), err error)

	Speak func(text string) // says it aloud and cuts off what was being said; nil where there is no voice
	Voice string            // what speaks, or why nothing does

	Voices   []string         // who can speak, of the choices for Settings.Voice, the usual one first
	SetVoice func(s Settings) // is told the settings when they come into effect; nil = nobody

	Built    [][2]string // what the program is: name and value; none = there is no page about it
	Licences string      // the licences of all that it is made of
}

// OwnVoice is something that an operator can speak with.
type OwnVoice struct {
	Name  string // for Settings.OwnVoice
	Words string // "a tone"
	Under string // what it is, or what is missing
	Off   bool   // it is not to be had
}

// VoiceSeconds is how long the window records the operator's own voice.
const VoiceSeconds = 5.0

// VoiceTake is the own voice while it is being recorded, and after. Its methods
// answer at once.
type VoiceTake interface {
	// State tells how many seconds of VoiceSeconds are there, and how loud it is
	// now: the amplitude, 0 to 1.
	State() (seconds, peak float64)
	// Judge says why what was recorded cannot be used, in one line; nil = it can.
	// It is known once all seconds are there.
	Judge() error
	Play() (stop func(), err error) // softly at first, through the limiter
	Keep() (says string, err error) // puts it in the place of the one before
	Close()                         // lets go of the microphone
}

// Bird is a bird and where its file lies.
type Bird struct {
	sim.Bird
	File string // "" = in the program
}

// Taken is what became of a file that was dropped on the window.
type Taken struct {
	Says  string // in a sentence
	Drill string // for RunRequest.Drill; "" = it is none
	Birds bool   // the operator's birds, or their elements, have changed
	All   bool   // the passes look at all sources from now on: Settings.Elements is to be ""
}

// DrillEntry is one drill of the path.
type DrillEntry struct {
	Name, Title string
	Number      int
	Brief       string // what to do
	Trains      string // what it is good for, a few words
	Goal        string // its pass mark
	Flight      string // "FULMAR-3, 5 min, tone"
	Done        bool   // its pass mark was reached
	Best, Last  string // "812", "18 of 20"; "" = not flown yet
	Tries       []Try  // the last ones, oldest first
	Flown       int    // how often in all
	Advised     bool   // the one to fly next
	OnPasses    bool   // it can be flown on any pass
	Why         string // why it is, one line
	Note        string // "better after drill 4": advice, never a lock
}

// Try is one run of a drill.
type Try struct {
	Share  float64 // of the pass mark: 1 = reached just so, more is better
	Passed bool
	Text   string // "742"
}

// PassQuery asks for passes.
type PassQuery struct {
	Site     string  // coordinates or locator; "" = the program's own hill
	Elements string  // file or address; "" = the bundled birds
	Days     float64 // from now
	AboveDeg float64 // least elevation at the top
}

// PassEntry is one pass that can be practised.
type PassEntry struct {
	Key             string // for RunRequest.Pass
	Bird            string
	AOS, Top, LOS   time.Time
	AOSAzimuthDeg   float64
	LOSAzimuthDeg   float64
	MaxElevationDeg float64
	TopRateHzS      float64     // how fast the own voice moves at most, hands off
	DriftHz         float64     // how far it moves from AOS to LOS, + is up
	Bands           string      // "435 up, 146 down, inverting"
	Difficulty      string      // "gentle", "steady work", "hard"
	Hill            []HillPoint // ticks from AOS
	Old             string      // what is wrong with the age of its elements; "" = nothing
	NoPlan          bool        // nobody knows its transponder: no bands, no rate, no drift
	ByHand          bool        // its bands were chosen by hand
	Rule            string      // the dial that one turns, "uplink" or "downlink"; "" = not known
	Worth           bool        // it is worth getting up for, by Pages.WorthRule
	WorthWhy        string      // "56° high, 13 min", or what speaks against it
	Age             string      // of its elements, and what that costs: "0.4 days old, up to 3 Hz off"; "" = made up, without age
	Source          string      // where its elements are from, a few words
	Favourite       bool
	Catalog         int // catalogue number of its elements; 0 = none
}

// LeftRun is a run that was cut short by a closed window or a crash.
type LeftRun struct {
	Key   string
	Title string // "Come back on DIPPER-2"
	When  time.Time
	Flown time.Duration
}

// Logbook is what the logbook page shows. Its methods may take long.
type Logbook interface {
	Operators(ctx context.Context) ([]string, error)
	Runs(ctx context.Context, operator string, limit int) (runs []RunEntry, total int, err error)
	Bands(ctx context.Context, operator string) ([]Band, error)
	// Open returns an old run as it was marked.
	Open(ctx context.Context, id int64) (*About, *Result, error)
}

// RunEntry is one run in the logbook.
type RunEntry struct {
	ID          int64
	When        time.Time
	Drill       string // title
	Bird        string
	Operator    string
	TopDeg      float64
	HoldIndex   float64
	Score       string  // what stands in place of the hold index: "16 of 20"; "" = the hold index
	Rating      float64 // below 0 = none
	RatingWords string  // the rating with what it is worth beside the goal, short: "42", "72 or more"; "" = as Rating says
	Goal        string  // "reached", "not yet", ""
	Stopped     bool    // before its end
	WhyNot      string  // why it does not count for the rating; "" = it does
}

// Band is the rating over time on one axis.
type Band struct {
	Axis   string // "hold"
	Means  string // what the axis is, a few words
	Runs   int    // that say something about it
	Points []BandPoint
	Word   string // "new", "moving", "level", "" = nothing known
}

// BandPoint is a band after one run: mean and edges, 0..100.
type BandPoint struct {
	When            time.Time
	Mean, Low, High float64
}
