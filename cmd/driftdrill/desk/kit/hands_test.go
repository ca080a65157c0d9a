//go:build !nodesk

package kit_test

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"

	"github.com/hajimehoshi/ebiten/v2"
)

// Where Tab stands for the next row as well as for what comes next, Shift and Tab
// still go back and do not go down.
func TestTabThatStepsRowsGoesBackWithShift(t *testing.T) {
	dev := kittest.NewPlayed()
	b := keys.MenuBindings()
	b[keys.MenuDown] = append(b[keys.MenuDown], "key:Tab")
	in := kit.NewInputFrom(dev, b)
	press := func(k ...ebiten.Key) {
		dev.Keys = map[ebiten.Key]int{}
		for _, x := range k {
			dev.Keys[x] = 1
		}
		in.Collect(1)
		in.EndUpdate()
	}
	press(ebiten.KeyTab)
	if !in.Repeat(keys.MenuDown) || in.Repeat(keys.MenuBefore) {
		t.Errorf("Tab: down %v, before %v", in.Repeat(keys.MenuDown), in.Repeat(keys.MenuBefore))
	}
	press()
	press(ebiten.KeyShift, ebiten.KeyTab)
	if in.Repeat(keys.MenuDown) || in.Repeat(keys.MenuNext) || !in.Repeat(keys.MenuBefore) {
		t.Errorf("Shift and Tab: down %v, next %v, before %v", in.Repeat(keys.MenuDown), in.Repeat(keys.MenuNext), in.Repeat(keys.MenuBefore))
	}
}
