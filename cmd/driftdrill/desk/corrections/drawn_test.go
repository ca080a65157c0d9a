//go:build !nodesk

package corrections

import (
	"errors"
	"fmt"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
)

// states are further states of the pages.
var states = []desktest.View{
	{Name: "correction of one pass", Put: func(s *desktest.Stage) {
		all := noted()
		all[0].Points, all[0].Passes, all[0].InForce, all[0].SpreadHz = all[0].Points[1:2], 1, 640, 9
		s.ShowWith(New("LARK-1"), func(p *port.Pages) { with(p, all); p.Stations = nil })
	}},
	{Name: "correction below the card", Put: func(s *desktest.Stage) {
		all := noted()
		all[0].InForce, all[0].SpreadHz = -7, 12
		for i := range all[0].Points {
			all[0].Points[i].Hz = -25 + 10*float64(i)
		}
		s.ShowWith(New("LARK-1"), func(p *port.Pages) { with(p, all) })
		s.App.Scenes.Top().(*page).Focus.At = 2
	}},
	{Name: "corrections that cannot be read", Put: func(s *desktest.Stage) {
		s.ShowWith(New(""), func(p *port.Pages) {
			with(p, nil)
			p.Corrections = func() ([]port.CorrectionOf, error) { return nil, errors.New("corrections.json: line 3 is no JSON") }
		})
	}},
	{Name: "many stations", Put: func(s *desktest.Stage) {
		s.App.Set.Station = "hill 17, with the mast and all that belongs to it, and the small radio of the club"
		s.ShowWith(NewStations(), func(p *port.Pages) {
			with(p, noted())
			p.Stations = func() []port.Station {
				all := []port.Station{{}}
				for i := range 18 {
					all = append(all, port.Station{Name: fmt.Sprintf("hill %d, with the mast and all that belongs to it, and the small radio of the club", i), Notes: i})
				}
				return all
			}
		})
		s.App.Scenes.Top().(*stations).name.Value = "no such\nname"
		s.Settle()
	}},
}

// What is drawn is drawn where it was looked at.
func TestDrawings(t *testing.T) { desktest.Drawings(t, append(states, views...)) }
