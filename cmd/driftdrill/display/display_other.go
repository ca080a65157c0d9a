//go:build nodesk || !linux

package display

// Err returns nil: on this system the window library opens no display before
// it is asked to, or is not in the program.
func Err() error { return nil }
