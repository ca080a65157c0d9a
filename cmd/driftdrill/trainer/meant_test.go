package trainer

import "testing"

// The first three are the usual textbook examples of Levenshtein's distance.
func TestDistance(t *testing.T) {
	for words, want := range map[[2]string]int{
		{"kitten", "sitting"}: 3, {"saturday", "sunday"}: 3, {"", "abc"}: 3, {"abc", ""}: 3, {"fly", "fly"}: 0, {"rehaerse", "rehearse"}: 2,
	} {
		if got := Distance(words[0], words[1]); got != want {
			t.Errorf("%q: %d, want %d", words, got, want)
		}
	}
}

func TestMeant(t *testing.T) {
	names := Names("drills")
	for word, want := range map[string]string{
		"frist-hold": "; did you mean first-hold?", "come-bakc": "; did you mean come-back?", "First-Holt": "; did you mean first-hold?",
		"busy": "; did you mean busy-passband?", "soup": "", "": "",
	} {
		if got := Meant(word, names); got != want {
			t.Errorf("%q: %q, want %q", word, got, want)
		}
	}
}
