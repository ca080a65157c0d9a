//go:build windows && !nodesk

package main

import (
	"syscall"
	"time"
)

// processorTime is what all threads of the program have taken of the processors.
func processorTime() time.Duration {
	var begun, ended, kernel, user syscall.Filetime
	self, err := syscall.GetCurrentProcess()
	if err != nil || syscall.GetProcessTimes(self, &begun, &ended, &kernel, &user) != nil {
		return 0 // as if nothing had been taken
	}
	return 100 * time.Duration(hundreds(kernel)+hundreds(user))
}

// hundreds is a length of time in units of 100 ns.
func hundreds(f syscall.Filetime) int64 { return int64(f.HighDateTime)<<32 | int64(f.LowDateTime) }
