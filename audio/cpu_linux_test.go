package audio

import (
	"syscall"
	"testing"
)

// processorSeconds is the processor time that this process has used: what
// the benchmarks are told by, since a busy machine does not lengthen it.
func processorSeconds(b *testing.B) float64 {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return float64(u.Utime.Sec+u.Stime.Sec) + 1e-6*float64(u.Utime.Usec+u.Stime.Usec)
}
