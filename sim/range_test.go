package sim

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"testing"
)

// leaves calls f with each number of a JSON value, its path with places in lists left
// out, and a way to set it.
func leaves(at string, v any, set func(any), f func(path string, old float64, set func(any))) {
	switch v := v.(type) {
	case map[string]any:
		for _, key := range slices.Sorted(maps.Keys(v)) {
			leaves(at+"."+key, v[key], func(x any) { v[key] = x }, f)
		}
	case []any:
		for i := range v {
			leaves(at, v[i], func(x any) { v[i] = x }, f)
		}
	case float64:
		f(at, v, set)
	}
}

// Every number in the header of a sheet that is far out of range is refused, those
// aside that may be anything: a sheet from a stranger can hold what it likes.
func TestNumbersFarOutOfRangeAreRefused(t *testing.T) {
	taken := map[string]bool{}
	for _, name := range allDrills(t) {
		s := prepared(t, name, 3)
		text, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		var all any
		if err := json.Unmarshal(text, &all); err != nil {
			t.Fatal(err)
		}
		leaves("", all, nil, func(path string, old float64, set func(any)) {
			if slices.Contains(anything, path) {
				return
			}
			for _, far := range []float64{-9e15, 9e15} {
				set(far)
				text, err := json.Marshal(all)
				if err != nil {
					t.Fatal(err)
				}
				var s Setup
				if json.Unmarshal(text, &s) == nil && s.Validate() == nil {
					taken[fmt.Sprintf("%s %g", path, far)] = true
				}
			}
			set(old)
		})
	}
	for _, path := range slices.Sorted(maps.Keys(taken)) {
		t.Errorf("taken: %s", path)
	}
}

// anything may be any number: seeds; what only counts; and drag, whose orbit the theory
// itself refuses where it comes to nothing.
var anything = []string{
	".seed", ".drill.seed",
	".elements.Catalog", ".elements.EphemerisType", ".elements.RevolutionCount", ".elements.SetNumber",
	".elements.BStar", ".elements.MeanMotionDot", ".elements.MeanMotionDDot",
}
