//go:build !nodesk

package screen_test

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/screen"
)

var picks = []desktest.View{
	{Name: "pick a person", Put: func(s *desktest.Stage) {
		s.Show(screen.NewPick("Whose runs?", []string{"everybody", "Q3FEN", "Q7OWL"}, 1, func(int) {}))
	}},
}

func TestOuterTextsKeepApart(t *testing.T) { desktest.KeepApart(t, picks) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, picks) }
