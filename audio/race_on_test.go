//go:build race

package audio

// RaceOn says that the race detector slows everything down several times:
// what one goroutine measures is measured without it.
const RaceOn = true
