//go:build !nodesk

package logbook

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
)

func TestDrawings(t *testing.T) { desktest.Drawings(t, views) }
