//go:build race

package club

// raceOn says that the race detector slows everything down several times:
// what one goroutine measures is measured without it.
const raceOn = true
