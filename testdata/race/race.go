// Package race tells tests whether the race detector watches them. It makes
// code several times slower, drawing ten times; so tests of one goroutine, or
// of what many runs come to, then do less. make tests runs those whole without it.
package race

import (
	"runtime/debug"
	"slices"
)

// On is true in programs that were built with -race.
var On = on()

func on() bool {
	info, ok := debug.ReadBuildInfo()
	return ok && slices.Contains(info.Settings, debug.BuildSetting{Key: "-race", Value: "true"})
}
