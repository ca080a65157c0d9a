//go:build !nodesk

package corrections

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/kittest"
)

func TestMain(m *testing.M) { kittest.Main(m) }
