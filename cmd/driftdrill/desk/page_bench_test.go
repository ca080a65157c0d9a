//go:build !nodesk

package desk

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
)

// BenchmarkPageAtRest is what a page costs each time that it is worked out and
// found to be what the window shows.
func BenchmarkPageAtRest(b *testing.B) {
	kittest.NeedWindow(b)
	s := benchStage(b)
	s.app.DrawOn(s.img, true)
	for b.Loop() {
		if s.app.DrawOn(s.img, false) {
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
		s.app.Type.SetScale(0.5, 1) // lets go of every text
		s.app.Type.SetScale(1, 1)
		s.app.DrawOn(s.img, true)
	}
}

// benchStage shows the debrief of a whole run.
func benchStage(b *testing.B) *stage {
	s := newStage(b, 1280, 720, 1, "night")
	f := newFakeSession()
	f.flyWhole()
	f.result.Rate = nil
	s.app.Scenes.Push(s.app, newDebrief(&f.about, f.result, port.RunRequest{}))
	s.step()
	return s
}
