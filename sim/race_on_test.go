//go:build race

package sim

// underRace: the race detector makes flying ten times slower, so the tests
// that fly many passes fly fewer of them. They say nothing about races.
const underRace = true
