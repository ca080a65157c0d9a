package recording

import (
	"math"
	"slices"
	"testing"

	"driftdrill/testdata/race"
)

// Talking with the key up is heard by the microphone alone. It counts neither as
// keyed nor as held, wherever it lies beside the overs; verify/ holds the same on
// voices and a channel of other people's software.
func TestTalkingWithTheKeyUpIsNotKeyed(t *testing.T) {
	if race.On {
		t.Skip("nothing in it runs side by side; flown without the race detector")
	}
	for _, c := range []struct {
		name  string
		snrDB float64
		aside [][2]float64
		other bool
	}{
		{"apart from the overs", 6, [][2]float64{{7.3, 9}, {17, 21}}, false},
		{"right after one", 0, [][2]float64{{6.3, 9}}, false},
		{"right before one, another station heard meanwhile", 6, [][2]float64{{8, 10.8}}, true},
		{"from one to the next", 0, [][2]float64{{6.3, 10.8}}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := usual(sawtooth(30, 100))
			s.snrDB, s.aside, s.overs, s.lengthS = c.snrDB, c.aside, [][2]float64{{0.8, 6}, {11, 15}}, 24
			if c.other {
				s.other = spoken(t, "rowan", "call", "again", "please")
			}
			r := analysed(t, s.made(ownVoice(t), 3), 2, unknown)
			if !hasNote(r, NoteAside) {
				t.Errorf("not a word of it: %v", r.Notes)
			}
			if len(r.Overs) != 2 {
				t.Fatalf("overs %v, want %v", r.Overs, s.overs)
			}
			for i, o := range r.Overs {
				if math.Abs(o.FromS-s.overs[i][0]) > 0.25 || math.Abs(o.ToS-s.overs[i][1]) > 0.25 {
					t.Errorf("over %.2f to %.2f, want %v", o.FromS, o.ToS, s.overs[i])
				}
			}
			for _, row := range r.Rows {
				in := func(spans [][2]float64, by float64) bool {
					return slices.ContainsFunc(spans, func(o [2]float64) bool { return row.TimeS > o[0]+by && row.TimeS < o[1]-by })
				}
				if in(s.aside, 0.3) && (row.Keyed || row.Known()) {
					t.Errorf("at %.1f s %+v was not sent", row.TimeS, row)
				}
				if in(s.overs, 0.3) && !row.Keyed {
					t.Errorf("at %.1f s it was keyed", row.TimeS)
				}
			}
			if got := s.near(r, 5); got < 0.95 {
				t.Errorf("%.3f of the keyed rows within 5 Hz", got)
			}
		})
	}
}

// A return that is weak all the time is not taken for none.
func TestAWeakReturnIsNoAside(t *testing.T) {
	if race.On || testing.Short() {
		t.Skip("run without the race detector: nothing here runs side by side")
	}
	s := usual(sawtooth(30, 100))
	s.snrDB = -10
	r := analysed(t, s.made(ownVoice(t), 3), 2, unknown)
	if hasNote(r, NoteAside) || len(r.Overs) != 2 {
		t.Errorf("overs %v, %v", r.Overs, r.Notes)
	}
}
