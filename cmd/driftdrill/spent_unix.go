//go:build unix && !nodesk

package main

import (
	"syscall"
	"time"
)

// processorTime is what all threads of the program have taken of the processors.
func processorTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0 // as if nothing had been taken
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
