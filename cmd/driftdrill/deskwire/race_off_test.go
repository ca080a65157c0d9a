//go:build !race

package deskwire

const raceOn = false
