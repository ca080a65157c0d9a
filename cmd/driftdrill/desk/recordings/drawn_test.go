//go:build !nodesk

package recordings

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
)

// What is drawn is drawn where it was looked at.
func TestDrawings(t *testing.T) { desktest.Drawings(t, views) }
