//go:build !race

package recording

const raceDetector = false
