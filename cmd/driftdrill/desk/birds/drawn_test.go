//go:build !nodesk

package birds

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
)

func TestDrawings(t *testing.T) { desktest.Drawings(t, views) }
