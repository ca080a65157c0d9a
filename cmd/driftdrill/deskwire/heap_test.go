//go:build !nodesk

package deskwire

import (
	"runtime/debug"
	"testing"

	"driftdrill/cmd/driftdrill/desk/port"
)

// While a run is flown little garbage may lie; afterwards pages have their room again.
func TestAFlightKeepsTheHeapSmall(t *testing.T) {
	before := heapNow()
	defer debug.SetGCPercent(before)
	w := aWiring(t, port.DefaultSettings())
	ses, err := w.newSession(t.Context(), port.RunRequest{Drill: "first-hold", Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	if got := heapNow(); got != flightHeap {
		t.Errorf("%d %% while flying, want %d", got, flightHeap)
	}
	ses.Close()
	if got := heapNow(); got != pageHeap {
		t.Errorf("%d %% after it, want %d", got, pageHeap)
	}
	w.trainer.Wait()
}

func heapNow() int {
	now := debug.SetGCPercent(100)
	debug.SetGCPercent(now)
	return now
}
