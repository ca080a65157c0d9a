//go:build !nodesk

package screen

import (
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// Routes make the screens that other screens open, so that none has to know
// another. The package that knows them all fills them in.
type Routes struct {
	First     func(a *App) Scene                   // what the window opens with
	Start     func() Scene                         // the page where everything begins
	Welcome   func() Scene                         // call, place, headphones
	Passes    func() Scene                         // the passes over one's own place
	PickDrill func(e port.PassEntry) Scene         // asks with which drill a pass is practised
	Birds     func() Scene                         // the operator's own birds and those in the program
	NewBird   func(name string, catalog int) Scene // the form that makes one, with what is known of it; 0 = no number
	Correct   func(bird string) Scene              // what the station is off with a bird; "" = the first
	Stations  func() Scene                         // at which station one is
	Drills    func() Scene                         // the path
	Logbook   func() Scene                         // what was flown
	Recording func(file string) Scene              // opens a recording from the air; "" = asks which
	Settings  func() Scene                         // what a person may choose
	Run       func(r port.RunRequest) Scene        // prepares a run, flies it and marks it
	Debrief   func(f Flown) Scene                  // what a run came to
}

// Flown is a run that has ended, as far as its debrief needs it.
type Flown struct {
	About    *port.About       // what was flown
	Result   *port.Result      // what it earned
	Request  port.RunRequest   // that it was flown for
	Exercise sim.ExerciseState // as it ended; of no kind where the run asked nothing
	Trials   Trials            // the questions of the exercise
}

// Origin is a page to which one comes back from a run that was begun on it or
// on a page above it.
type Origin interface {
	Scene
	IsOrigin()
}

// Fly leaves the pages for a run and remembers them: who leaves the run comes
// back to them. A run that is begun from another run's end keeps its pages.
func (a *App) Fly(req port.RunRequest) {
	if req.Voice == "" {
		req.Voice = a.RunVoice
	}
	if pages := originsOf(a.Scenes.All()); len(pages) > 0 {
		a.from = pages
	}
	a.Scenes.Replace(a, a.Routes.Run(req))
}

// originsOf are the pages of some scenes up to the first that belongs to a run
// or only asks something.
func originsOf(all []Scene) []Scene {
	for i, s := range all {
		if _, ok := s.(Origin); !ok {
			return all[:i:i]
		}
	}
	return all
}

// GoBack shows the page from which the run was begun, else the start page.
func (a *App) GoBack() {
	from := a.from
	if len(from) == 0 {
		from = []Scene{a.Routes.Start()}
	}
	a.Scenes.Replace(a, from[0])
	for _, s := range from[1:] {
		a.Scenes.Push(a, s)
	}
}
