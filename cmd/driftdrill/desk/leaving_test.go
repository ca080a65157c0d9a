//go:build !nodesk

package desk

import (
	"fmt"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/drills"
	"driftdrill/cmd/driftdrill/desk/passes"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/cmd/driftdrill/desk/start"
)

// Who leaves a run, or is done with its marks, comes back to the page from which
// he began it, also after the same pass again; a run that the command line began
// leads to the start page.
func TestLeavingARunLeadsBack(t *testing.T) {
	for name, c := range map[string]struct {
		pages []screen.Scene
		want  string
	}{
		"drills":       {[]screen.Scene{start.New(), drills.New(), drills.NewDrill(desktest.Path()[2])}, "[*start.start *drills.drillsPage *drills.drillPage]"},
		"pass":         {[]screen.Scene{start.New(), passes.New(), passes.NewPass(desktest.Passes()[1]), drills.NewPick(desktest.Passes()[1])}, "[*start.start *passes.passesPage *passes.passPage]"},
		"start":        {[]screen.Scene{start.New()}, "[*start.start]"},
		"command line": {nil, "[*start.start]"},
	} {
		t.Run(name, func(t *testing.T) {
			s := desktest.NewStage(t, 1280, 720, 1, "night")
			s.App.Routes = routes()
			for _, p := range c.pages {
				s.App.Scenes.Push(s.App, p)
			}
			stack := func() string {
				var names []string
				for _, p := range s.App.Scenes.All() {
					names = append(names, fmt.Sprintf("%T", p))
				}
				return fmt.Sprint(names)
			}
			for range 2 {
				s.App.Fly(port.RunRequest{Drill: "come-back"})
				if got := stack(); got != "[*flying.loading]" {
					t.Fatal(got)
				}
			}
			s.App.GoBack()
			if got := stack(); got != c.want {
				t.Errorf("%s, want %s", got, c.want)
			}
			s.App.Leave()
		})
	}
}
