package card

import (
	"runtime"
	"slices"
	"sync"
	"time"
)

// wholeBirdDays is up to how many days of birds a search is done at once, and
// windowBirdDays how many of them a window of a longer one takes: some tenths
// of a second.
const (
	wholeBirdDays  = 4000
	windowBirdDays = 1500
	shortestWindow = time.Hour
)

// Each is All for a search of any size: it goes through the time in windows and
// hands over their passes, by AOS from window to window, so that neither the
// first pass nor memory waits for the last. A pass that begins in a window is
// followed to its end. reached, where given, is told after each window up to
// when the search has come. An error of yield ends the search and is returned.
func (s *Search) Each(birds []Bird, reached func(time.Time), yield func([]Found) error) ([]error, error) {
	days := s.To.Sub(s.From).Hours() / 24 * float64(len(birds))
	if days <= wholeBirdDays {
		found, faults := s.All(birds)
		return faults, yield(found)
	}
	window := time.Duration(float64(s.To.Sub(s.From)) * windowBirdDays / days)
	window = max(window, shortestWindow)
	at := make([]time.Time, len(birds)) // up to when each bird is done
	for i := range at {
		at[i] = s.From
	}
	var faults []error
	step := shortestWindow // at first, for the first rows
	for end := s.From; end.Before(s.To); step = min(2*step, window) {
		end = end.Add(step)
		if end.After(s.To) {
			end = s.To
		}
		found := make([][]Found, len(birds))
		broken := make([]error, len(birds))
		onAllCores(len(birds), func(i int) {
			found[i], at[i], broken[i] = s.until(birds[i], at[i], end)
		})
		for i, err := range broken {
			if err != nil {
				faults = append(faults, err)
				at[i] = s.To // nothing more of it
			}
		}
		all := slices.Concat(found...)
		slices.SortStableFunc(all, func(a, b Found) int { return a.AOS.Compare(b.AOS) })
		if err := yield(all); err != nil {
			return faults, err
		}
		if reached != nil {
			reached(end)
		}
	}
	return faults, nil
}

// afterLOS is how long after the end of a pass the next one is looked for.
const afterLOS = time.Second

// until finds the passes of a bird that begin from from on and before end, and
// follows the last of them to its end. done is where to go on.
func (s *Search) until(b Bird, from, end time.Time) (found []Found, done time.Time, fault error) {
	if !from.Before(end) {
		return nil, from, nil
	}
	part := *s
	part.From = from
	for to, more := end, end.Sub(from); ; more *= 2 {
		part.To = to
		found, fault = part.One(b)
		last := len(found) - 1
		if fault != nil || last < 0 || !found[last].UpAtStop || !to.Before(s.To) {
			break
		}
		if to = to.Add(max(more, shortestWindow)); to.After(s.To) {
			to = s.To
		}
	}
	done = end
	for i := range found {
		if from.After(s.From) { // what begins here was not under way before
			found[i].UpAtStart = false
		}
		if !found[i].AOS.Before(end) {
			found = found[:i]
			break
		}
		if los := found[i].LOS.Add(afterLOS); los.After(done) {
			done = los
		}
	}
	return found, done, fault
}

// onAllCores does work for 0 to n-1 on all cores.
func onAllCores(n int, work func(i int)) {
	next := make(chan int)
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wait.Go(func() {
			for i := range next {
				work(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wait.Wait()
}
