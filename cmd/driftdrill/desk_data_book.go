//go:build !nodesk

package main

import (
	"context"

	"driftdrill/cmd/driftdrill/desk"
)

// logbook gives the desk the stored runs.
func (w *deskWiring) logbook() desk.Logbook { return nil }

// history lists the runs of an operator, oldest first.
func (w *deskWiring) history(context.Context, string) ([]pastRun, error) { return nil, nil }
