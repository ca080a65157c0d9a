//go:build !nodesk

package desk

import (
	"path/filepath"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/kittest"
)

// goldenLooks are the looks in which screens have pictures.
var goldenLooks = []struct {
	suffix, palette string
	w, h            int
	text            float64
}{{"", "night", 1280, 720, 1}, {"-sun", "sun", 1280, 720, 1}, {"-large", "night", 960, 600, 2}}

func TestGoldenPictures(t *testing.T) {
	kittest.NeedWindow(t)
	for _, sc := range scenes {
		for _, look := range goldenLooks {
			name := strings.ReplaceAll(sc.name, " ", "-") + look.suffix
			if raceOn && look.suffix != "" {
				continue
			}
			if look.suffix != "" && sc.name != "desk" && sc.name != "debrief" && (sc.name != "antenna" || look.suffix == "-sun") {
				continue
			}
			t.Run(name, func(t *testing.T) {
				s := newStage(t, look.w, look.h, look.text, look.palette)
				sc.put(s)
				s.golden(t, name)
			})
		}
	}
}

// golden compares what the stage shows with a picture that was looked at.
func (s *stage) golden(t *testing.T, name string) {
	t.Helper()
	s.draw()
	s.draw()
	kittest.Golden(t, filepath.Join("testdata", "golden", name+".png"), s.img)
}
