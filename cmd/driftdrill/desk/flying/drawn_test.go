//go:build !nodesk

package flying

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
)

func TestDrawings(t *testing.T) { desktest.Drawings(t, append(others, desks...)) }
