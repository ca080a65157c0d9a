//go:build race

package main

// raceOn says that the race detector slows everything down several times:
// recordings are measured by one goroutine, and are left to the plain tests.
const raceOn = true
