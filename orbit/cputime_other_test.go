//go:build !unix

package orbit

import "time"

var processStart = time.Now()

// processorTime is the time since the start where the system's own figure is not asked for.
func processorTime() time.Duration { return time.Since(processStart) }
