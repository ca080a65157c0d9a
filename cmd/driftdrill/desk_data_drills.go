//go:build !nodesk

package main

import (
	"context"
	"fmt"
	"io/fs"
	"math"
	"path"
	"slices"
	"strings"

	"driftdrill/assets"
	"driftdrill/cmd/driftdrill/desk"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// trains says what each drill of the path is good for.
var trains = map[int]string{
	0:  "the first five minutes: key, listen, turn",
	1:  "the ear, before the hand",
	2:  "which way to turn, without thinking",
	3:  "steady turning",
	4:  "from a tone to a voice",
	5:  "the fastest minutes of a pass",
	6:  "turning by feel while you listen",
	7:  "the search for your own voice",
	8:  "leaving the knob alone when there is only noise",
	9:  "hearing what is wrong",
	10: "room for others",
	11: "a quick hand",
	12: "what other people hear of you",
	13: "knob and antenna at once",
	14: "everything, as on the air",
}

// after says which drill each is better flown after: our own choice, and only advice.
var after = map[int]int{2: 1, 3: 2, 4: 3, 5: 3, 6: 4, 7: 2, 8: 6, 9: 7, 10: 7, 11: 5, 12: 5, 13: 11, 14: 11}

// bundledDrills reads the drills in the program by their place in the path.
func bundledDrills() ([]sim.Drill, error) {
	files, err := fs.Glob(assets.FS, "drills/*.toml")
	if err != nil {
		return nil, err
	}
	var all []sim.Drill
	for _, f := range files {
		data, err := assets.FS.ReadFile(f)
		if err != nil {
			return nil, err
		}
		d, err := sim.ParseDrill(data, path.Base(f))
		if err != nil {
			return nil, err
		}
		all = append(all, d)
	}
	slices.SortStableFunc(all, func(a, b sim.Drill) int { return a.Number - b.Number })
	return all, nil
}

// pastRun is a run of the logbook as the path of drills needs it.
type pastRun struct {
	value   float64 // of the drill's measure
	known   bool    // there is such a value
	passed  bool
	stopped bool
}

func past(d *sim.Drill, m scoring.Marks, goalMet *bool) pastRun {
	r := pastRun{stopped: m.Stopped, passed: goalMet != nil && *goalMet && !m.Stopped}
	r.value, r.known = scoring.GoalValue(m, d.Goal.Measure)
	return r
}

// drills gives the path of drills with what the operator has reached.
func (w *deskWiring) drills(ctx context.Context, operator string) ([]desk.DrillEntry, error) {
	all, err := bundledDrills()
	if err != nil {
		return nil, err
	}
	runs, err := w.history(ctx, operator, all)
	if err != nil {
		return nil, err
	}
	var out []desk.DrillEntry
	done := map[int]bool{}
	for _, d := range all {
		e := drillEntry(&d, runs[d.Name])
		done[d.Number] = e.Done
		out = append(out, e)
	}
	titles := map[int]string{}
	for _, e := range out {
		titles[e.Number] = e.Title
	}
	for i := range out {
		if first := after[out[i].Number]; first != 0 && titles[first] != "" && !done[first] && !out[i].Done {
			out[i].Note = fmt.Sprintf("better after drill %d, %s", first, titles[first])
		}
	}
	advise(out)
	return out, nil
}

// triesShown is how many of the last tries of a drill are shown.
const triesShown = 12

// drillEntry is a drill with what came of the runs on it, oldest first.
func drillEntry(d *sim.Drill, runs []pastRun) desk.DrillEntry {
	e := desk.DrillEntry{Name: d.Name, Title: d.Title, Number: d.Number, Brief: d.Brief, Trains: trains[d.Number],
		Goal: d.Goal.Text, Flight: flightWords(d),
		OnPasses: d.Kind == "fly" || d.Kind == ""}
	var best float64
	e.Flown = len(runs)
	for _, r := range runs {
		t := desk.Try{Passed: r.passed, Text: "not found"}
		if r.known {
			t.Text = goalText(d.Goal.Measure, r.value)
			t.Share = goalShare(d.Goal.Measure, r.value, d.Goal.Pass)
		}
		if r.stopped {
			t.Text += ", ended early"
		} else if r.known && (e.Best == "" || t.Share > best) {
			e.Best, best = t.Text, t.Share
		}
		e.Last = t.Text
		e.Tries = append(e.Tries, t)
	}
	e.Done = reachedTwice(e.Tries)
	if d.Number == 0 || d.Kind != "fly" { // many trials in one run, or the very first run
		e.Done = slices.ContainsFunc(e.Tries, func(t desk.Try) bool { return t.Passed })
	}
	if len(e.Tries) > triesShown {
		e.Tries = e.Tries[len(e.Tries)-triesShown:]
	}
	return e
}

// reachedTwice tells whether two of three tries in a row reached the mark,
// so that their median did; the first two alone will do.
func reachedTwice(tries []desk.Try) bool {
	last := -10
	for i, t := range tries {
		if !t.Passed {
			continue
		}
		if i-last <= 2 {
			return true
		}
		last = i
	}
	return false
}

// flightWords says on what a drill is flown.
func flightWords(d *sim.Drill) string {
	words := []string{strings.ToUpper(d.Bird)}
	if d.Pass.HeightKm > 0 {
		words = append(words, fmt.Sprintf("%.0f km up", d.Pass.HeightKm))
	}
	if d.Pass.LengthS >= 60 {
		words = append(words, fmt.Sprintf("%.0f min", math.Round(d.Pass.LengthS/30)/2))
	}
	return strings.Join(words, " · ")
}

// lessIsBetter tells which way a pass mark works.
func lessIsBetter(measure string) bool {
	switch measure {
	case "rms_hz", "abs_bias_hz", "top_ratio", "comeback_s", "lead_error", "found_s", "keyed_before_found_s", "overlap_s", "travel_ratio", "settle_s", "bird_drift_hz":
		return true
	}
	return false
}

// goalShare is a value as a share of the pass mark, more being better.
func goalShare(measure string, v, pass float64) float64 {
	if lessIsBetter(measure) {
		v, pass = pass, v
	}
	if pass <= 0 {
		return 2
	}
	return min(max(v/pass, 0), 2)
}

// goalText writes a value of a measure for people.
func goalText(measure string, v float64) string {
	switch {
	case strings.HasPrefix(measure, "share") || strings.HasSuffix(measure, "share") || strings.HasPrefix(measure, "correct") || measure == "lead_error":
		return fmt.Sprintf("%.0f %%", 100*v)
	case strings.HasSuffix(measure, "_hz"):
		return fmt.Sprintf("%.0f Hz", v)
	case strings.HasSuffix(measure, "_s"):
		return fmt.Sprintf("%.1f s", v)
	case strings.HasSuffix(measure, "_ratio"):
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.0f", v)
}

// advise marks the drill to fly next and says why.
func advise(all []desk.DrillEntry) {
	for i := range all {
		e := &all[i]
		if e.Done {
			continue
		}
		e.Advised, e.Note = true, ""
		switch n := len(e.Tries); {
		case n == 0 && e.Number == 0:
			e.Why = "Your first five minutes. The card on the desk says what to do."
		case n == 0:
			e.Why = "Next on your path. It trains " + e.Trains + "."
		case e.Tries[n-1].Passed:
			e.Why = "You reached it last time. Once more and it is yours."
		default:
			e.Why = fmt.Sprintf("Last time: %s. The mark to reach: %s.", e.Last, lowerFirst(e.Goal))
		}
		return
	}
	if len(all) > 0 {
		e := &all[len(all)-1]
		e.Advised, e.Why = true, "You have reached every drill. This one keeps your hand in."
	}
}

func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// next is the drill that the path advises after a run; nil = the same again.
func (w *deskWiring) next(ctx context.Context, setup *sim.Setup, o outcome) (*desk.RunRequest, string) {
	all, err := bundledDrills()
	if err != nil {
		return nil, ""
	}
	runs, err := w.history(ctx, setup.Operator, all)
	if err != nil {
		return nil, ""
	}
	flown := &setup.Drill
	runs[flown.Name] = append(runs[flown.Name], past(flown, o.Marks, o.GoalMet))
	for i := range all {
		d := &all[i]
		if drillEntry(d, runs[d.Name]).Done || d.Name == setup.Drill.Name {
			continue
		}
		name := d.Title
		if d.Number > 0 {
			name = fmt.Sprintf("drill %d", d.Number)
		}
		return &desk.RunRequest{Drill: d.Name}, name
	}
	return nil, ""
}
