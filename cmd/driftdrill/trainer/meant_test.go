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

// A drill is found by its number too, the first with the number 0.
func TestDrillByNumber(t *testing.T) {
	for number, want := range map[string]string{"0": "first-hold", "6": "come-back", "29": "ready-in-a-hurry"} {
		if d, err := FindDrill(number); err != nil || d.Name != want {
			t.Errorf("drill %s is %q, %v; want %q", number, d.Name, err, want)
		}
	}
	if _, err := FindDrill("99"); err == nil {
		t.Error("there is a drill 99")
	}
}

// A word of up to three letters may have one wrong, of up to six two; the nearest
// name is meant, and of equally near ones the first. Our choice.
func TestHowFarOffIsStillMeant(t *testing.T) {
	names := []string{"wren", "wrens", "lark", "dipper"}
	for word, want := range map[string]string{"ark": "lark", "ar": "", "wrex": "wren", "wrems": "wrens", "dixxer": "dipper", "dixxxr": "dipper", "dxxxxr": "", "Wr": "", "Wre": "wren", "DIP": "dipper", "larx": "lark"} {
		if want != "" {
			want = "; did you mean " + want + "?"
		}
		if got := Meant(word, names); got != want {
			t.Errorf("%q: %q, want %q", word, got, want)
		}
	}
}
