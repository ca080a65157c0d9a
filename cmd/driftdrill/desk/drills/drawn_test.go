//go:build !nodesk

package drills

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
)

func TestDrawings(t *testing.T) { desktest.Drawings(t, views) }
