//go:build !race

package trainer

const raceOn = false
