//go:build !race && !nodesk

package desk

const raceOn = false
