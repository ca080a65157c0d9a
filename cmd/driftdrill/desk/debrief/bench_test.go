//go:build !nodesk

package debrief

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
)

// BenchmarkPageAtRest is what a page costs each time that it is worked out and
// found to be what the window shows.
func BenchmarkPageAtRest(b *testing.B) {
	kittest.NeedWindow(b)
	s := benchStage(b)
	s.App.DrawOn(s.Image, true)
	for b.Loop() {
		if s.App.DrawOn(s.Image, false) {
			b.Fatal("the page does not rest")
		}
	}
}

// BenchmarkPageOfNewText is a page none of whose texts was set before, up to
// what draws it.
func BenchmarkPageOfNewText(b *testing.B) {
	kittest.NeedWindow(b)
	s := benchStage(b)
	for b.Loop() {
		s.App.Type.SetScale(0.5, 1) // lets go of every text
		s.App.Type.SetScale(1, 1)
		s.App.DrawOn(s.Image, true)
	}
}

// benchStage shows the debrief of a whole run.
func benchStage(b *testing.B) *desktest.Stage {
	s := desktest.NewStage(b, 1280, 720, 1, "night")
	f := desktest.NewSession()
	f.FlyWhole()
	f.Result.Rate = nil
	s.App.Scenes.Push(s.App, newDebrief(&f.Facts, f.Result, port.RunRequest{}))
	s.Step()
	return s
}
