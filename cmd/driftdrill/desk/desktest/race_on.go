//go:build race && !nodesk

package desktest

// raceOn says that the race detector slows drawing ten times: tests that look
// at many pictures then look at few, and are run whole without it.
const raceOn = true
