package trainer

// Refreshed is how it went with one source that was to be asked.
type Refreshed struct {
	Place   string
	Asked   bool   // its server answered
	Changed bool   // and what came is new
	Says    string // how it went, a few words
	Err     error  // what it held before stays
}
