//go:build !nodesk

package recordings

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/kittest"
)

func TestMain(m *testing.M) { kittest.Main(m) }
