//go:build !nodesk

package screen

import (
	"context"
	"io"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// Config is everything that the desk needs from the program. Fields that are
// nil leave out what needs them.
type Config struct {
	Title string // of the window

	// NewSession prepares a run and starts its sound. It may take a while
	// (pass search): the desk calls it on a goroutine of its own and shows
	// that it works. Required.
	NewSession func(ctx context.Context, r port.RunRequest) (port.Session, error)

	// First is flown at once where it is not nil; otherwise the start screen opens.
	First *port.RunRequest
	// QuitAtEnd closes the window when the first run has its marks.
	QuitAtEnd bool

	Settings     port.Settings             // to begin with
	SaveSettings func(port.Settings) error // keeps them for the next start

	port.Pages // what the pages round the desk need

	Clipboard kit.Clipboard // nil = text fields do without

	FrameLog io.Writer            // one line for each frame: milliseconds since the one before
	Spent    func() time.Duration // what all threads of the program have taken of the processors; nil = not known

	Width, Height int  // of the window in dips; 0 = 1280x720
	FullScreen    bool // from the start
	KeepProcs     bool // leaves GOMAXPROCS as it is
}
