//go:build !nodesk && !js

package deskwire

import (
	"context"
	"math"
	"runtime/debug"
	"testing"

	"driftdrill/scoring/recording"
)

// Measuring keeps the collector short for as long as it takes, and what is
// stopped, or cannot be read, leaves the limit as it was.
func TestMeasuringHasALimit(t *testing.T) {
	before := debug.SetMemoryLimit(-1)
	path, opt := soundOf(t, 30), recording.Options{Mic: recording.Unknown}
	within := int64(math.MaxInt64)
	if _, _, err := measure(t.Context(), path, opt, func(int, int) { within = debug.SetMemoryLimit(-1) }); err != nil {
		t.Fatal(err)
	}
	if within <= mostMeasuring || within > inUse()+2*mostMeasuring {
		t.Errorf("%d MB at most, %d MB in use", within>>20, inUse()>>20)
	}
	ctx, stop := context.WithCancel(t.Context())
	if _, _, err := measure(ctx, path, opt, func(int, int) { stop() }); err == nil {
		t.Error("it cannot be stopped")
	}
	if _, _, err := measure(t.Context(), path+".none", opt, func(int, int) {}); err == nil {
		t.Error("no file was measured")
	}
	if after := debug.SetMemoryLimit(-1); after != before {
		t.Errorf("the limit is %d, and was %d", after, before)
	}
}
