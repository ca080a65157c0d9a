//go:build !race

package club

const raceOn = false
