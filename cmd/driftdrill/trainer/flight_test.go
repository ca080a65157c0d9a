package trainer

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A flight from a time on flies a pass after it; without one it flies the first
// pass of its elements.
func TestAFlightBeginsAfterItsTime(t *testing.T) {
	first, err := (&Flight{Drill: FirstDrill, Seed: 3}).Prepare()
	if err != nil {
		t.Fatal(err)
	}
	if since := first.Start.Sub(first.Elements.Epoch); since < 0 || since > 48*time.Hour {
		t.Errorf("without a time it begins %s after its elements", since)
	}
	from := first.Elements.Epoch.Add(72 * time.Hour)
	later, err := (&Flight{Drill: FirstDrill, Seed: 3, From: from}).Prepare()
	if err != nil {
		t.Fatal(err)
	}
	if later.Start.Before(from) || later.Start.Sub(from) > 48*time.Hour {
		t.Errorf("from %s on it begins at %s", from, later.Start)
	}
}

// Of two files with one bird the first by name is taken, also where it is the
// first of all; the other is told, and a third bird is taken all the same.
func TestABirdIsTakenOnce(t *testing.T) {
	folder := t.TempDir()
	for file, bird := range map[string]string{"a.toml": "lark-1", "b.toml": "lark-1", "c.toml": "fulmar-3"} {
		text, err := Flock{}.Text(bird)
		if err == nil {
			err = os.WriteFile(filepath.Join(folder, file), text, 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	own, broken := Flock{Folder: folder}.Own()
	if len(own) != 2 || filepath.Base(own[0].File) != "a.toml" || filepath.Base(own[1].File) != "c.toml" {
		t.Errorf("taken: %v", own)
	}
	if len(broken) != 1 || !strings.Contains(broken[0].Error(), "b.toml") || !strings.Contains(broken[0].Error(), "in a.toml already") {
		t.Errorf("told: %v", broken)
	}
}
