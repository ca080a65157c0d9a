//go:build !race && !nodesk

package desktest

const raceOn = false
