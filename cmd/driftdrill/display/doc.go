// Package display lets the program run where there is no display.
//
// The window library opens the X display while the program is being
// initialised, before main, and ends the process with a stack trace where
// there is none: even `driftdrill sky` would die on a server. This package is
// initialised before it and, where no window is wanted or no display answers,
// lets it open a stand-in: an X server of a few replies, inside this process,
// that draws nothing. The desk asks Err before it opens a window.
//
// The order holds because Go initialises packages sorted by import path as
// soon as their own imports are ready, "driftdrill/..." sorts before
// "github.com/...", and this package imports only what the window library
// imports too. Its test holds that last condition.
package display
