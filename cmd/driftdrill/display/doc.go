// Package display lets the program run where there is no display.
//
// The window library opens the X display while the program is being
// initialised, before main, and ends the process with a stack trace where
// there is none or where it is turned away: even `driftdrill sky` would die on
// a server. It has no switch for that, neither a variable of the environment
// nor a build tag of its own: the function init of its package internal/ui
// calls the window system on every start and panics at an error. What is left is
// to be initialised before it (the other ways are a second program beside this
// one, or a changed copy of the library). Where no window is wanted or no
// display lets the program in, this package lets the library open a stand-in:
// an X server of a few replies, inside this process, that draws nothing. The
// desk asks Err before it opens a window.
//
// The order is the language's, not an accident: "all packages are sorted by
// import path; in each step the first package of the list is initialised of
// which all imports are" (The Go Programming Language Specification, Program
// initialization, from Go 1.21 on; in our words). "driftdrill/..." sorts before
// "github.com/...", and this package imports only what the window library
// imports too. Its tests hold that last condition, and that the library still
// does what makes all this needed.
package display
