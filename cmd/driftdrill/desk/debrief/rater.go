//go:build !nodesk

package debrief

import (
	"context"

	"driftdrill/cmd/driftdrill/desk/port"
)

// rater finds the hand rating of a run on a goroutine while its debrief is shown.
type rater struct {
	rated    *port.Rated
	done     bool   // an answer has come, be it none
	rateAt   [2]int // reference hands flown, and how many there are
	answer   chan *port.Rated
	progress chan [2]int
	cancel   context.CancelFunc
}

// stillRated is said where the page cannot be left without stopping the rating.
const stillRated = "The run is still being rated. A moment."

// under tells whether the rating is still under way.
func (r *rater) under(res *port.Result) bool { return res.Rate != nil && !r.done }

// start begins to rate, once.
func (r *rater) start(res *port.Result) {
	if res.Rate == nil || r.answer != nil {
		return
	}
	ctx, cancel := context.WithCancel(context.Background())
	r.cancel, r.answer, r.progress = cancel, make(chan *port.Rated, 1), make(chan [2]int, 1)
	answer, progress, rate := r.answer, r.progress, res.Rate
	go func() {
		got, err := rate(ctx, func(done, total int) {
			select {
			case progress <- [2]int{done, total}:
			default: // the window has not looked yet: the next one will do
			}
		})
		if err != nil {
			got = nil // a run that cannot be rated shows its shares instead
		}
		answer <- got
	}()
}

// poll takes what has come; true where the rating is new. What the logbook says
// of whether the run counts takes its place in res.
func (r *rater) poll(res *port.Result) bool {
	select {
	case got := <-r.answer:
		r.rated, r.done = got, true
		if got != nil && got.Counting != "" {
			res.Counting = got.Counting
		}
		return got != nil
	case r.rateAt = <-r.progress:
	default:
	}
	return false
}

// stop gives the rating up.
func (r *rater) stop() {
	if r.cancel != nil {
		r.cancel()
	}
}

// saved is where the run was kept, as far as it is known by now.
func (r *rater) saved(res *port.Result) string {
	if r.rated != nil && r.rated.Saved != "" {
		return r.rated.Saved
	}
	return res.Saved
}
