package port

// Recording is a recording of a real contact as it was measured.
type Recording struct {
	Name   string      // of the file
	Notes  []string    // what to know about it, a sentence each
	Facts  [][2]string // name and value
	About  *About      // with Result, for the debrief; nil where nothing can be marked
	Result *Result
}
