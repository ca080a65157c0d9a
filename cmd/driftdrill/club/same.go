package club

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"driftdrill/sim"
)

// freeFields of a setup may differ from the heat's: they change nothing on the
// air, or are held against the class and the hand by themselves.
var freeFields = []string{"program", "operator", "call", "hand", "knob", "own_voice", "drill.aids", "drill.title", "drill.brief", "drill.coach", "drill.goal"}

// sameRun holds what a sheet says it flew against what the heat flies.
func sameRun(flown, asked *sim.Setup, stepFree bool) *Refusal {
	free := freeFields
	if stepFree {
		free = append(slices.Clone(free), "drill.step_hz")
	}
	a, err := treeOf(flown)
	if err != nil {
		return refuse("The sheet's first line cannot be compared: %v.", err)
	}
	b, err := treeOf(asked)
	if err != nil {
		return refuse("The sheet's first line cannot be compared: %v.", err)
	}
	if a["drill"].(map[string]any)["name"] != b["drill"].(map[string]any)["name"] {
		return refuse("This run flew the drill %q; tonight it is %q.", flown.Drill.Name, asked.Drill.Name)
	}
	for _, k := range []string{"elements", "site", "pass", "seed"} { // the plainest reason first
		if where := differs(k, a[k], b[k], free); where != "" {
			return refuse("%s (%s).", differenceWords[k], where)
		}
	}
	where := differs("", a, b, free)
	if where == "" {
		return nil
	}
	word := differenceWords[strings.FieldsFunc(where, func(r rune) bool { return r == '.' || r == '[' })[0]]
	if word == "" {
		word = "This run began otherwise than this heat's does"
	}
	return refuse("%s (%s).", word, where)
}

var differenceWords = map[string]string{
	"drill":    "The drill of this run is not the one that is flown tonight",
	"bird":     "This run was flown with another bird",
	"elements": "This run was flown with other elements",
	"site":     "This run was flown from another place",
	"pass":     "This run was flown on another pass",
	"start":    "This run was flown on another pass",
	"length":   "This run has another length than this heat's",
	"seed":     "This run was flown with another seed than this heat's",
	"station":  "This run was flown with another station",
	"others":   "Other stations than this heat's were on the air in this run",
}

func treeOf(s *sim.Setup) (map[string]any, error) {
	text, err := json.Marshal(s)
	if err != nil {
		return nil, err
	}
	var tree map[string]any
	return tree, json.Unmarshal(text, &tree)
}

// numbersAgree is the relative difference up to which two numbers are one: a
// pass that another processor has found differs in the last bits.
const numbersAgree = 1e-9

// differs returns the first place where two trees differ; "" where none.
func differs(path string, a, b any, free []string) string {
	if slices.Contains(free, path) {
		return ""
	}
	switch x := a.(type) {
	case map[string]any:
		y, ok := b.(map[string]any)
		if !ok {
			return path
		}
		return mapsDiffer(path, x, y, free)
	case []any:
		y, ok := b.([]any)
		if !ok || len(x) != len(y) {
			return path
		}
		for i := range x {
			if where := differs(fmt.Sprintf("%s[%d]", path, i), x[i], y[i], free); where != "" {
				return where
			}
		}
		return ""
	case float64:
		y, ok := b.(float64)
		if !ok || math.Abs(x-y) > numbersAgree*max(math.Abs(x), math.Abs(y)) {
			return path
		}
		return ""
	case string:
		y, ok := b.(string)
		if !ok || x != y && !sameTime(x, y) {
			return path
		}
		return ""
	}
	if a != b {
		return path
	}
	return ""
}

func mapsDiffer(path string, x, y map[string]any, free []string) string {
	keys := make([]string, 0, len(x)+len(y))
	for k := range x {
		keys = append(keys, k)
	}
	for k := range y {
		if _, both := x[k]; !both {
			keys = append(keys, k)
		}
	}
	slices.Sort(keys)
	for _, k := range keys {
		below := k
		if path != "" {
			below = path + "." + k
		}
		if where := differs(below, x[k], y[k], free); where != "" {
			return where
		}
	}
	return ""
}

// sameTime says whether two texts are times within a millisecond.
func sameTime(a, b string) bool {
	s, err := time.Parse(time.RFC3339Nano, a)
	if err != nil {
		return false
	}
	t, err := time.Parse(time.RFC3339Nano, b)
	return err == nil && s.Sub(t).Abs() <= time.Millisecond
}
