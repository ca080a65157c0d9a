//go:build race

package deskwire

// raceOn says that the race detector slows everything down several times:
// what is only counted, and does nothing side by side, is left to the plain tests.
const raceOn = true
