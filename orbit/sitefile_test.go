package orbit

import (
	"errors"
	"testing"
)

// A mistake in a site file is told with the line on which it stands.
func TestSiteFileMistakesHaveTheirLine(t *testing.T) {
	for text, line := range map[string]int{
		"name = \"Quern Hill\"\nlat = 95.0\nlon = 8.0\n":                               2,
		"name = \"Quern Hill\"\nlat = 50.0\nlon = 208.0\n":                             3,
		"lat = 50.0\nlon = 8.0\n\nalt_m = 99999\n":                                     4,
		"# mine\nlocator = \"JO4\"\n":                                                  2,
		"lat = 50.0\nlocator = \"JO40\"\n":                                             2,
		"lat = 50.0\nlon = 8.0\nhorizon = [[0, 2], [400, 5]]\n":                        3,
		"lat = 50.0\nlon = 8.0\nheight = 3\n":                                          3,
		"lat = 50.0\nlon = \"eight\"\n":                                                2,
		"name = \"nowhere\"\n":                                                         0,
		"\xef\xbb\xbf\"lat\" = 95.0\nlon = 8.0\n":                                      1,
		"lat = 50.0\nlon = 8.0\nhorizon = [\n  [0, 2],\n  [10, 95],\n]\nalt_m = 150\n": 3,
	} {
		_, _, err := ParseSiteFile([]byte(text), "site.toml")
		var p Problem
		if !errors.As(err, &p) || p.Line != line || p.File != "site.toml" || p.Message == "" {
			t.Errorf("%q: %v, not on line %d", text, err, line)
		}
	}
}
