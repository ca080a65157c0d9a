//go:build !nodesk

package desktest

import (
	"slices"
	"testing"
)

// A drawing is another one where a place differs by more than a processor's
// rounding, or anything else differs at all.
func TestDrawingsAreToldApart(t *testing.T) {
	was := []string{`rect 1.0,2.0 to 30.0,40.0, Ink at 7.0 %`, `text "held 1.2" right of 5.0,6.0, regular 14.00, Dim`, `line of 9 points in 0.0,0.0 to 1.0,1.0, Ink`}
	for name, c := range map[string]struct {
		line int
		is   string
		same bool
	}{
		"the same":          {0, was[0], true},
		"rounded":           {0, `rect 1.1,2.0 to 30.0,39.9, Ink at 7.0 %`, true},
		"moved":             {0, `rect 1.2,2.0 to 30.0,40.0, Ink at 7.0 %`, false},
		"paler":             {0, `rect 1.0,2.0 to 30.0,40.0, Ink at 6.0 %`, false},
		"another colour":    {0, `rect 1.0,2.0 to 30.0,40.0, Dim at 7.0 %`, false},
		"other words":       {1, `text "held 1.3" right of 5.0,6.0, regular 14.00, Dim`, false},
		"one point more":    {2, `line of 10 points in 0.0,0.0 to 1.0,1.0, Ink`, false},
		"something else":    {2, `loop of 9 points in 0.0,0.0 to 1.0,1.0, Ink`, false},
		"nothing any more":  {2, ``, false},
		"a quarter smaller": {1, `text "held 1.2" right of 5.0,6.0, regular 13.75, Dim`, false},
	} {
		is := slices.Clone(was)
		is[c.line] = c.is
		if got := differences(was, is); (got == nil) != c.same {
			t.Errorf("%s: %q", name, got)
		}
	}
	if got, want := changes([]string{"a", "b", "c"}, []string{"a", "d", "c", "e"}), []string{"- b", "+ d", "+ e"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}
