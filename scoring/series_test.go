package scoring

import (
	"math/rand/v2"
	"strings"
	"testing"
)

func TestUnlearnedStartError(t *testing.T) {
	found, wrong := 0, 0
	for seed := range uint64(100) {
		r := rand.New(rand.NewPCG(seed, 3))
		offset := 500 + 2500*r.Float64()
		var same, other []Start
		for range 4 {
			same = append(same, Start{"DIPPER-2", offset + 120*r.NormFloat64()}, Start{"LARK-1", 3000 * r.NormFloat64()}, Start{"DIPPER-2", offset + 120*r.NormFloat64()})
			other = append(other, Start{"DIPPER-2", 150 * r.NormFloat64()}) // he has learned it: what is left is small
		}
		a, ok := Unlearned(same)
		found += count(ok && strings.Contains(a.Headline, "DIPPER-2"))
		_, ok = Unlearned(other)
		wrong += count(ok)
	}
	if found < 95 || wrong > 2 {
		t.Errorf("found in %d of 100 series, named falsely in %d", found, wrong)
	}
	if _, ok := Unlearned([]Start{{"DIPPER-2", 1200}}); ok {
		t.Error("one run is no series")
	}
	if _, ok := Unlearned(nil); ok {
		t.Error("no run is no series")
	}
}
