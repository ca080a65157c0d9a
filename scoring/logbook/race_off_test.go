//go:build !race

package logbook

const raceOn = false
