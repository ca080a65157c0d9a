//go:build !nodesk

package kit

import "testing"

// A row of a list is told with its place.
func TestListsTellThePlace(t *testing.T) {
	l := List{Name: "Passes", Count: 12, At: 2, Say: func(int) string { return "LARK-1" }}
	if got := l.Spoken(); got != "Passes. LARK-1. 3 of 12." {
		t.Errorf("%q", got)
	}
}

// Text is told sign by sign.
func TestSignsAreTold(t *testing.T) {
	for _, c := range [][2]string{{"j", "J"}, {"50.", "5 0 dot"}, {"a b", "A space B"}, {"", ""}} {
		if got := SignsAloud(c[0]); got != c[1] {
			t.Errorf("%q: %q, want %q", c[0], got, c[1])
		}
	}
}

// Texts are joined into sentences, each ended once.
func TestSentences(t *testing.T) {
	if got := Sentences("Drills", "One step.", "", "Which one?"); got != "Drills. One step. Which one?" {
		t.Errorf("%q", got)
	}
}
