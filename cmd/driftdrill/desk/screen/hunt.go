//go:build !nodesk

package screen

import (
	"context"
	"fmt"
	"sync/atomic"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// PassHunt is a search for passes on a goroutine, with its progress.
type PassHunt struct {
	Job         kit.Job[[]port.PassEntry] // the search that is under way
	query       port.PassQuery
	Found       []port.PassEntry // in order of time: of birds with a plan or, with All, of every bird
	Without     []port.PassEntry // of each bird without a plan its next pass
	All         bool             // whether Found holds birds without a plan; see Choose
	Liked       bool             // whether it holds favourites alone
	every       []port.PassEntry
	birds       int   // App.BirdsChanged when it began
	Err         error // why nothing was found
	Has         bool  // something was found; it answers the query where nothing is open
	open        bool  // the latest search has not answered
	at          time.Time
	Done, Total atomic.Int64 // birds searched, and how many there are
}

// Begin starts a search.
func (h *PassHunt) Begin(a *App, q port.PassQuery) {
	h.query, h.Err, h.at, h.birds, h.open = q, nil, a.Now(), a.BirdsChanged, true
	h.Done.Store(0)
	h.Total.Store(0)
	search := a.Cfg.Passes
	h.Job.Start(a.Window, func(ctx context.Context) ([]port.PassEntry, error) {
		return search(ctx, q, func(done, total int) {
			h.Done.Store(int64(done))
			h.Total.Store(int64(total))
		})
	})
}

// Fresh tells whether what was found still holds; a search that was stopped found nothing.
func (h *PassHunt) Fresh(a *App) bool {
	return h.Has && !h.open && h.birds == a.BirdsChanged && h.query.Site == a.Set.Site && h.query.Elements == a.Set.Elements && a.Now().Sub(h.at) < 10*time.Minute
}

// Poll takes the result once it is there, and says whether that was now.
func (h *PassHunt) Poll() bool {
	r, ok := h.Job.Poll()
	if !ok {
		return false
	}
	h.every, h.Err, h.Has, h.open = r.Value, r.Err, r.Err == nil, false
	h.Choose(h.All, h.Liked)
	return true
}

// Choose says whether birds without a plan are shown too, and whether favourites alone.
func (h *PassHunt) Choose(all, liked bool) {
	h.All, h.Liked, h.Found, h.Without = all, liked, nil, nil
	seen := map[string]bool{}
	for _, e := range h.every {
		if liked && !e.Favourite {
			continue
		}
		if name := fmt.Sprint(e.Catalog, e.Bird); e.NoPlan && !seen[name] {
			seen[name] = true
			h.Without = append(h.Without, e)
		}
		if all || !e.NoPlan {
			h.Found = append(h.Found, e)
		}
	}
}

// Stop gives the search up.
func (h *PassHunt) Stop() { h.Job.Stop() }
