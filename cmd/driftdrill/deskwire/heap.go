//go:build !nodesk

package deskwire

import "runtime/debug"

// How much garbage Go lets lie, per cent of what is in use. On pages the heap is
// small, and to collect twice as often as usual costs nothing that can be seen.
// A flight makes next to no garbage: a collection of 3 ms every few seconds
// keeps the heap within a fifth of what is in use.
const (
	pageHeap   = 50
	flightHeap = 20
)

// flies keeps the heap small while a run is flown. What made the voices is of
// no use to it: 30 MB are given back.
func flies() {
	debug.SetGCPercent(flightHeap)
	go debug.FreeOSMemory()
}

// Lands lets pages work with more room again.
func Lands() { debug.SetGCPercent(pageHeap) }
