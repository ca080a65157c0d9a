//go:build !nodesk

package flying

import (
	"fmt"
	"path/filepath"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// helped are drills by what the desk has to find room for.
var helped = []struct {
	name string
	ab   port.About
}{
	{"ribbon and strip", port.About{Aids: port.Aids{Ribbon: true, Strip: true}}}, {"strip", port.About{Aids: port.Aids{Strip: true}}},
	{"ribbon", port.About{Aids: port.Aids{Ribbon: true}}}, {"neither", port.About{}},
	{"an antenna", port.About{AimTask: true, Aids: port.Aids{Strip: true}}}, {"an antenna alone", port.About{AimTask: true}},
}

// told are the places, in dips.
func (p *deskPlaces) told() (lines []string) {
	for _, r := range []struct {
		name string
		r    kit.Rect
	}{{"name", p.name}, {"hill", p.hill}, {"times", p.times}, {"card", p.card}, {"key", p.key}, {"dials", p.dials}, {"chart", p.chart}, {"answers", p.answers}} {
		lines = append(lines, fmt.Sprintf("%s %s", r.name, corners(r.r)))
	}
	return append(lines, fmt.Sprintf("knob %.1f,%.1f, radius %.1f; tight %t, upright %t", p.knob.X, p.knob.Y, p.radius, p.tight, p.upright))
}

func corners(r kit.Rect) string {
	return fmt.Sprintf("%.1f,%.1f to %.1f,%.1f", r.X, r.Y, r.Right(), r.Bottom())
}

// Every instrument lies where it was looked at, in windows of every kind: the
// smallest, flat ones, high ones, wide ones, those of telephones.
func TestPlacesOfTheDesk(t *testing.T) {
	var all []string
	for _, size := range []kit.Point{{X: 960, Y: 600}, {X: 1280, Y: 720}, {X: 1920, Y: 1080}, {X: 2560, Y: 720}, {X: 3440, Y: 1440}, {X: 1000, Y: 1400}, {X: 440, Y: 860}, {X: 440, Y: 956}, {X: 700, Y: 1100}} {
		for _, text := range []float64{1, 1.6, 2.5} {
			s := desktest.BareStage(t, int(size.X), int(size.Y), text, "night")
			all = append(all, fmt.Sprintf("== %.0fx%.0f, text %.0f %%", size.X, size.Y, 100*text))
			for i, h := range helped {
				p := placeDesk(size, s.App.Type, &h.ab)
				if i == 0 || p.upright && i == len(helped)-3 {
					all = append(all, p.told()...)
				}
				all = append(all, fmt.Sprintf("%s: strip %s, ribbon %s", h.name, corners(p.strip), corners(p.ribbon)))
			}
		}
	}
	desktest.CompareDrawn(t, filepath.Join("testdata", "drawn", "places.txt"), all)
}
