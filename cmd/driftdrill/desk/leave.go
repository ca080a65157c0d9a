//go:build !nodesk

package desk

import "driftdrill/cmd/driftdrill/desk/port"

// fly leaves the pages for a run and remembers them: who leaves the run comes
// back to them. A run that is begun from another run's end keeps its pages.
func (a *App) fly(req port.RunRequest) {
	if pages := pagesOf(a.Scenes.All()); len(pages) > 0 {
		a.from = pages
	}
	a.Scenes.Replace(a, newLoading(req))
}

// pagesOf are the pages of some scenes up to the first that belongs to a run or
// only asks something.
func pagesOf(all []Scene) []Scene {
	for i, s := range all {
		switch s.(type) {
		case *start, *drillsPage, *drillPage, *passesPage, *passPage, *logbookPage:
		default:
			return all[:i:i]
		}
	}
	return all
}

// goBack shows the page from which the run was begun, else the start page.
func (a *App) goBack() {
	from := a.from
	if len(from) == 0 {
		from = []Scene{homeScene(a)}
	}
	a.Scenes.Replace(a, from[0])
	for _, s := range from[1:] {
		a.Scenes.Push(a, s)
	}
}
