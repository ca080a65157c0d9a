//go:build race

package recording

// raceDetector is on: sound is measured many times as slowly.
const raceDetector = true
