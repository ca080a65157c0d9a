package legible

import (
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
)

// What the library itself says of wrong values, in a file author's words.
func TestTOMLSpeaksToAFilesAuthor(t *testing.T) {
	type inner struct{ A int }
	var v struct {
		Height float64
		Name   string
		Seed   uint64
		On     bool
		Span   [2]float64
		List   []string
		Table  inner
	}
	for text, want := range map[string]string{
		`Height = "high"`:   "a number is wanted here, not text",
		`Name = 3`:          "text in quotes is wanted here, not a number",
		`Name = [1]`:        "text in quotes is wanted here, not a list",
		`Seed = 1.5`:        "a whole number is wanted here, not a number",
		`On = "yes"`:        "true or false is wanted here, not text",
		`List = true`:       "a list is wanted here, not true or false",
		`Span = "0 to 90"`:  "a list is wanted here, not text",
		"[Height]\nx = 1\n": "a number is wanted here, not a table",
		`Table = 3`:         "something else is wanted here, not a number",
		`Name = `:           "expected value, not end of input",
	} {
		err := toml.Unmarshal([]byte(text), &v)
		if err == nil {
			t.Errorf("%s is taken", text)
			continue
		}
		if got := TOML(err.Error()); got != want {
			t.Errorf("%s: %q (%q), want %q", strings.TrimSpace(text), got, err, want)
		}
	}
}
