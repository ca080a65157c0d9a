//go:build !nodesk

package debrief

import (
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// discarding asks before a run that was cut short is discarded.
type discarding struct{ gone bool }

// ask asks; nothing is discarded unless it is wished.
func (g *discarding) ask(a *screen.App, res *port.Result, r *rater) {
	if r.under(res) {
		a.Say(stillRated)
		return
	}
	a.Scenes.Push(a, screen.NewPick("Discard this run?", []string{"keep it", "discard it"}, 0, func(i int) {
		if i != 1 {
			return
		}
		if err := res.Discard(); err != nil {
			a.Say("It cannot be discarded: " + err.Error())
			return
		}
		g.gone = true
	}))
}

// leaves goes from the debrief of a run that is discarded, and says so.
func (g *discarding) leaves(a *screen.App) bool {
	if !g.gone {
		return false
	}
	goHome(a)
	a.Say("Discarded: it counts nowhere.")
	return true
}

// manyButtons are more than one row takes beside the advice.
const manyButtons = 5

// laySide lays buttons in the width of side, from y down: in two rows where they
// are many and there is room for that as far down as end.
func laySide(buttons []*kit.Button, side kit.Rect, y, h, end float64) {
	const gap = 14
	first := len(buttons)
	if first >= manyButtons && y+2*h+gap <= end {
		first = (first + 1) / 2
	}
	for i, r := range (kit.Box(side.X, y, side.W, h)).Columns(first, gap) {
		buttons[i].Rect = r
	}
	for i, r := range (kit.Box(side.X, y+h+gap, side.W, h)).Columns(max(len(buttons)-first, 1), gap) {
		if first+i < len(buttons) {
			buttons[first+i].Rect = r
		}
	}
}
