//go:build !nodesk

package kit

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/keys"
)

func TestRepeatCadence(t *testing.T) {
	n := 0
	for c := 1; c <= 60; c++ { // held for one second
		if c == 1 || repeats(c) {
			n++
		}
	}
	if n != 12 {
		t.Errorf("a key held for a second counts %d times, want 12", n)
	}
}

func FuzzTrigger(f *testing.F) {
	for _, s := range []string{"key:Space", "pad:RightBottom", "shift+key:Tab", "", "key:", "shift+", "pad:\x00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		tr := keys.Trigger(s)
		_ = tr.Name()
		if _, err := parse(tr); err != nil && err.Error() == "" {
			t.Error("an error without words")
		}
	})
}
