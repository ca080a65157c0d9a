//go:build !nodesk

package deskwire

import (
	"context"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// keepPage keeps nothing: reports are drawn by more than the rest of the desk weighs.
func (*wiring) keepPage(context.Context, *sim.Sheet, string, port.Progress) error {
	return errNoFiles
}
