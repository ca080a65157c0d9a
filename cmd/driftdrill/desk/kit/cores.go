//go:build !nodesk

package kit

import "runtime"

// cores are the processor's cores that Go may keep busy, as they were before
// letOthersRun.
var cores = runtime.GOMAXPROCS(0)

// SpareCores are the cores that long work may take, at least 1: one is left to
// the window and the sound.
func SpareCores() int { return max(1, cores-1) }

// LetOthersRun lets Go code run while the window's thread and the sound
// device's wait in C. Each of them keeps its place among those that Go lets
// run at once, for up to 10 ms, so that on two cores there is none left for
// what renders the sound, and it runs dry though the processor is idle.
func LetOthersRun() {
	const waiting = 2
	runtime.GOMAXPROCS(cores + waiting)
}
