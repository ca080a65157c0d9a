//go:build nodesk || !linux

package display

import "errors"

// ErrNotSet is never in what Err returns here.
var ErrNotSet = errors.New("DISPLAY is not set")

// Err returns nil: on this system the window library opens no display before
// it is asked to, or is not in the program.
func Err() error { return nil }
