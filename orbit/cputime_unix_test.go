//go:build unix

package orbit

import (
	"syscall"
	"time"
)

// processorTime returns what this process has used so far: it measures the
// work also on a busy machine, where the clock on the wall measures the neighbours.
func processorTime() time.Duration {
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		return 0
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
