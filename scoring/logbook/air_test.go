//go:build !js

package logbook

import (
	"context"
	"path/filepath"
	"testing"
	"time"
)

func TestOnTheAir(t *testing.T) {
	b, err := Open(filepath.Join(t.TempDir(), "book.sqlite"))
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	ctx := context.Background()
	at := time.Date(2027, 5, 14, 8, 12, 30, 0, time.UTC)
	first := Air{Operator: "Dipper", Heard: at, File: "hill.wav", Bird: "LARK-1", LengthS: 600, KeyedS: 210, Formula: 1, HoldIndex: 812, Within50Hz: 0.7, RMSHz: 41}
	later := first
	later.Heard = at.Add(time.Hour)
	for _, c := range []struct {
		air   Air
		added bool
	}{{first, true}, {first, false}, {later, true}} {
		if added, err := b.AddAir(ctx, c.air); err != nil || added != c.added {
			t.Fatalf("added %v, %v", added, err)
		}
	}
	all, err := b.Airs(ctx, "Dipper")
	if err != nil || len(all) != 2 || all[0] != later || all[1] != first {
		t.Errorf("%+v, %v", all, err)
	}
	if all, err := b.Airs(ctx, "Wren"); err != nil || len(all) != 0 {
		t.Errorf("%+v, %v", all, err)
	}
	if bad := b.Check(ctx); len(bad) > 0 {
		t.Error(bad)
	}
}
