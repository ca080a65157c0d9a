//go:build !race

package scoring

const raceOn = false
