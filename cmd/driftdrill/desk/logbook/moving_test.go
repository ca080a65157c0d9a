//go:build !nodesk

package logbook

import (
	"context"
	"errors"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
)

// Busy tells whether runs are on their way.
func (m *moving) Busy() bool { return m.job.Busy() }

// A logbook's runs are taken out and brought in by keys alone; what became of
// it is spoken, with the place; a path that was not typed is asked for.
func TestRunsAreTakenOutAndBroughtIn(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	var said []string
	var whose, from string
	changed := 0
	m := &moving{who: "Q3FEN", changed: func() { changed++ }}
	s.ShowWith(m, func(p *port.Pages) {
		p.Speak = func(text string) { said = append(said, text) }
		p.TakeOut = func(_ context.Context, operator string, p port.Progress) (string, string, error) {
			whose = operator
			p(3, 3)
			return "3 sheets written, 0 were there; runs.csv lists them", "/home/q3fen/kept/logbook", nil
		}
		p.BringIn = func(_ context.Context, path string, _ port.Progress) (string, error) {
			if from = path; path == "nowhere" {
				return "", errors.New("nowhere: there is no such file")
			}
			return "2 runs brought in, 1 were there", nil
		}
	})
	s.App.Set.EarsOnly = true
	heard := func() string { return strings.Join(said, "\n") }
	m.out.Do()
	s.Settle()
	if whose != "Q3FEN" || !strings.Contains(heard(), "3 sheets written") || !strings.Contains(heard(), "/home/q3fen/kept/logbook") || changed != 1 {
		t.Errorf("taken out of %q, changed %d, said %q", whose, changed, heard())
	}
	m.in.Do()
	if !strings.Contains(heard(), "Type where the sheets lie") {
		t.Errorf("no path: %q", heard())
	}
	for path, want := range map[string]string{"nowhere": "there is no such file", " /media/stick ": "2 runs brought in"} {
		m.from.Value = path
		m.from.Enter()
		s.Settle()
		if from != strings.TrimSpace(path) || !strings.Contains(m.told.says, want) {
			t.Errorf("brought in from %q: %q", from, m.told.says)
		}
	}
}
