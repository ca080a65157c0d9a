package club

import (
	"cmp"
	"encoding/csv"
	"io"
	"math"
	"slices"
	"sort"
	"strconv"
	"time"

	"driftdrill/scoring"
)

// Row is one member's result in one heat.
type Row struct {
	Place    int
	Call     string
	Index    float64 // hold index: the median or the best of his tries
	Handicap float64 // added to it for the rank; 0 without one
	Tries    int
	Run      *Run // the try that the figures beside it are of
}

// Net is what is ranked.
func (r *Row) Net() float64 { return r.Index + r.Handicap }

// Table is the result of one class in one heat.
type Table struct {
	Class string
	Rows  []Row
}

// heatTables ranks the runs of one heat, each class by itself. handicap gives
// what is added for a member.
func heatTables(runs []*Run, heat int, best bool, handicap func(call string) float64) []Table {
	var out []Table
	for _, class := range classes {
		byCall := map[string][]*Run{}
		for _, r := range runs {
			if r.Heat == heat && r.Class == class.Name && r.Dropped == "" && r.ID != 0 {
				byCall[r.Call] = append(byCall[r.Call], r)
			}
		}
		t := Table{Class: class.Name}
		for call, tries := range byCall {
			row := Row{Call: call, Tries: len(tries), Handicap: handicap(call)}
			row.Index, row.Run = resultOf(tries, best)
			t.Rows = append(t.Rows, row)
		}
		if rank(t.Rows); len(t.Rows) > 0 {
			out = append(out, t)
		}
	}
	return out
}

// resultOf is the best or the median of a member's tries, and the try that
// stands for it: of an even number the lower of the two in the middle.
func resultOf(tries []*Run, best bool) (float64, *Run) {
	s := slices.Clone(tries)
	sort.SliceStable(s, func(i, j int) bool { return s[i].Marks.HoldIndex < s[j].Marks.HoldIndex })
	n := len(s)
	if best {
		return s[n-1].Marks.HoldIndex, s[n-1]
	}
	lower, upper := s[(n-1)/2], s[n/2]
	return (lower.Marks.HoldIndex + upper.Marks.HoldIndex) / 2, lower
}

// rank orders rows and gives places. The same result goes by the lower bias,
// then by fewer seconds on other stations; who is still alike shares a place.
func rank(rows []Row) {
	order := func(a, b Row) int {
		return cmp.Or(cmp.Compare(b.Net(), a.Net()), cmp.Compare(math.Abs(a.Run.Marks.BiasHz), math.Abs(b.Run.Marks.BiasHz)),
			cmp.Compare(a.Run.Marks.OnOthersS, b.Run.Marks.OnOthersS))
	}
	slices.SortFunc(rows, func(a, b Row) int { return cmp.Or(order(a, b), cmp.Compare(a.Call, b.Call)) })
	for i := range rows {
		rows[i].Place = i + 1
		if i > 0 && order(rows[i-1], rows[i]) == 0 {
			rows[i].Place = rows[i-1].Place
		}
	}
}

// handicapShare is the share of the handicap that is given, and handicapBelowSD
// how well a rating must be known: choices of this project.
const (
	handicapShare   = 0.5
	handicapBelowSD = 8.0
)

// handicapOf is what a member's result is raised by: half of what the best
// reference hand earns on this run more than the hand of his own rating. The
// rating is the one of earlier nights in the club's own book, so that it cannot
// be brought along; without one, or with one that is known no better than
// within 8, there is no handicap.
func handicapOf(l *scoring.Ladder, own scoring.AxisSkill, known bool) float64 {
	if l == nil || !known || own.Runs == 0 || own.SD >= handicapBelowSD {
		return 0
	}
	return handicapShare * (parOf(l, 100) - parOf(l, own.Mean))
}

// parOf is the hold index that the reference hand of a rating earns: the
// ladder's curve, made nondecreasing, between its rungs in a straight line.
func parOf(l *scoring.Ladder, rating float64) float64 {
	top := 0.0
	levels := make([]float64, len(l.Rungs))
	for i := range l.Rungs {
		top = max(top, l.Rungs[i].Index.Mid)
		levels[i] = top
	}
	at := math.Max(0, math.Min(1, rating/100)) * float64(len(levels)-1)
	i := min(int(at), len(levels)-2)
	if i < 0 {
		return top
	}
	return levels[i] + (at-float64(i))*(levels[i+1]-levels[i])
}

// Prize is a result beside the ranking.
type Prize struct{ Title, Call, Text string }

// prizes finds what else was done well in the runs that may be shown.
func prizes(runs []*Run) []Prize {
	var back, top *Run
	type pair struct{ first, last *Run }
	gains := map[string]*pair{}
	for _, r := range runs {
		if m := r.Marks.ComeBackMedianS; m != nil && (back == nil || *m < *back.Marks.ComeBackMedianS) {
			back = r
		}
		if r.TopRMS > 0 && (top == nil || r.TopRMS < top.TopRMS) {
			top = r
		}
		if p := gains[r.Call+"\x00"+r.Class]; p == nil {
			gains[r.Call+"\x00"+r.Class] = &pair{r, r}
		} else {
			p.last = r
		}
	}
	var out []Prize
	if back != nil {
		out = append(out, Prize{"Best come-back", back.Call, fixed(*back.Marks.ComeBackMedianS, 1) + " s"})
	}
	if top != nil {
		out = append(out, Prize{"Steadiest top", top.Call, fixed(top.TopRMS, 0) + " Hz"})
	}
	most, who := 0.0, ""
	for _, p := range gains {
		if gain := p.last.Marks.HoldIndex - p.first.Marks.HoldIndex; gain > most || gain == most && gain > 0 && p.last.Call < who {
			most, who = gain, p.last.Call
		}
	}
	if who != "" {
		out = append(out, Prize{"Most improved", who, "+" + fixed(most, 0)})
	}
	return out
}

func fixed(x float64, digits int) string { return strconv.FormatFloat(x, 'f', digits, 64) }

// curve is how the evening's results moved with the tries.
type curve struct {
	Lines  [][]float64 // of each member with two runs or more, in order of flying
	Median []float64   // of all who flew so many
}

// curveOf follows the runs that may be shown.
func curveOf(runs []*Run) curve {
	var order []string
	byCall := map[string][]float64{}
	for _, r := range runs {
		if byCall[r.Call] == nil {
			order = append(order, r.Call)
		}
		byCall[r.Call] = append(byCall[r.Call], r.Marks.HoldIndex)
	}
	var c curve
	for n := 0; ; n++ {
		var at []float64
		for _, line := range byCall {
			if n < len(line) {
				at = append(at, line[n])
			}
		}
		if len(at) == 0 {
			break
		}
		slices.Sort(at)
		c.Median = append(c.Median, (at[(len(at)-1)/2]+at[len(at)/2])/2)
	}
	for _, call := range order {
		if len(byCall[call]) > 1 {
			c.Lines = append(c.Lines, byCall[call])
		}
	}
	return c
}

// writeCSV writes the runs that may be shown, one row each.
func writeCSV(w io.Writer, rounds []*round, runs []*Run, handicap func(heat int, call string) float64) error {
	out := csv.NewWriter(w)
	_ = out.Write([]string{"heat", "class", "call", "try", "received_utc", "hold_index", "handicap", "rating", "rating_sd", "found_s", "come_back_s",
		"on_others_s", "rms_hz", "bias_hz", "top_rms_hz", "goal_met", "advice"}) // csv keeps its first error
	number := func(x float64) string { return strconv.FormatFloat(math.Round(x*1000)/1000, 'f', -1, 64) }
	maybe := func(x *float64) string {
		if x == nil {
			return ""
		}
		return number(*x)
	}
	tries := map[[2]string]int{}
	for _, r := range runs {
		rating, sd := "", ""
		if r.Rating != nil {
			rating, sd = number(r.Rating.Hand), number(r.Rating.SD)
		}
		key := [2]string{strconv.Itoa(r.Heat), r.Call}
		tries[key]++
		_ = out.Write([]string{rounds[r.Heat-1].label(), r.Class, r.Call, strconv.Itoa(tries[key]), r.Received.Format(time.RFC3339), number(r.Marks.HoldIndex),
			number(handicap(r.Heat, r.Call)), rating, sd, maybe(r.Marks.FoundS), maybe(r.Marks.ComeBackMedianS), number(r.Marks.OnOthersS),
			number(r.Marks.RMSHz), number(r.Marks.BiasHz), number(r.TopRMS), strconv.FormatBool(r.GoalMet), r.Advice.Headline})
	}
	out.Flush()
	return out.Error()
}
