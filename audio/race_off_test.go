//go:build !race

package audio

const RaceOn = false
