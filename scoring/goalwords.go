package scoring

import (
	"fmt"
	"math"
	"strings"

	"driftdrill/sim"
)

// goalWords say a measure's value, or its pass mark, in plain words. per is
// what the value is multiplied by.
var goalWords = map[string]struct {
	form string
	per  float64
}{
	"hold_index":                 {"hold index %.0f", 1},
	"share_within_25hz":          {"%.0f %% within 25 Hz", 100},
	"share_within_50hz":          {"%.0f %% within 50 Hz", 100},
	"share_within_100hz":         {"%.0f %% within 100 Hz", 100},
	"audible_share_within_100hz": {"%.0f %% within 100 Hz while you could be heard", 100},
	"rms_hz":                     {"off by %.0f Hz RMS", 1},
	"abs_bias_hz":                {"off by %.0f Hz on average", 1},
	"top_ratio":                  {"%.1f times as far off at the top", 1},
	"comeback_s":                 {"back in %.1f s", 1},
	"lead_error":                 {"%.0f %% of the drift left while listening", 100},
	"found_s":                    {"found after %.0f s", 1},
	"keyed_before_found_s":       {"keyed for %.0f s before", 1},
	"overlap_s":                  {"%.1f s on others", 1},
	"travel_ratio":               {"turned %.1f times as far as needed", 1},
	"contacts":                   {"contacts: %.0f", 1},
	"correct_share":              {"%.0f %% right", 100},
	"correct_share_25hz":         {"%.0f %% right at 25 Hz", 100},
	"correct_share_50hz":         {"%.0f %% right at 50 Hz", 100},
	"first_move_share":           {"%.0f %% of first turns right", 100},
	"settle_s":                   {"settled in %.1f s", 1},
	"bird_drift_hz":              {"%.0f Hz of wandering at the satellite", 1},
	"antenna_share":              {"antenna %.0f %% on the bird", 100},
}

// Missed says in plain words which marks of a drill's goal a run did not
// reach, each with what is asked; "" where it reached them all.
func Missed(m Marks, d *sim.Drill) string {
	var parts []string
	for _, r := range GoalResults(m, d) {
		if !r.Met {
			parts = append(parts, r.words())
		}
	}
	return strings.Join(parts, "; ")
}

func (r GoalResult) words() string {
	w, ok := goalWords[r.Measure]
	if !ok {
		return r.Measure
	}
	asked := "at least"
	if r.AtMost {
		asked = "at most"
	}
	limit := fmt.Sprintf("%g", round(r.Pass*w.per))
	if !r.HasValue {
		if r.Measure == "found_s" || r.Measure == "keyed_before_found_s" {
			return "not found"
		}
		return fmt.Sprintf("%s: nothing to measure", strings.TrimSpace(strings.NewReplacer("%.0f %% ", "", "%.0f", "", "%.1f", "").Replace(w.form)))
	}
	return fmt.Sprintf(w.form+", %s %s", shy(r.Value*w.per, w.form, r.AtMost), asked, limit)
}

// shy rounds a value that missed its mark to the digits of form, away from
// the mark, so that it does not read as if it had reached it.
func shy(v float64, form string, atMost bool) float64 {
	digits := 1.0
	if strings.Contains(form, "%.1f") {
		digits = 10
	}
	if atMost {
		return math.Ceil(v*digits-1e-9) / digits
	}
	return math.Floor(v*digits+1e-9) / digits
}
