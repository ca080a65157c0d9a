package out

// plainError says in the program's own words what is wrong with the sound and
// what to do; what a library said of it can be unwrapped, and is never shown.
type plainError struct {
	words string
	cause error
}

// Error implements error.
func (e *plainError) Error() string { return e.words }

// Unwrap returns what the library said.
func (e *plainError) Unwrap() error { return e.cause }

// What is told of a device that cannot be opened, and of one that was lost.
const (
	noDeviceWords = "no sound device answers; plug in headphones, or start the system's sound server, and try again"
	lostWords     = "the sound device is lost; plug it in again"
)
