package trainer

import (
	"io/fs"
	"path"
	"strings"

	"driftdrill/assets"
)

// Names lists what lies in a folder of the program, "drills" or "birds".
func Names(folder string) []string {
	files, _ := fs.Glob(assets.FS, folder+"/*.toml") // the pattern is ours
	var names []string
	for _, f := range files {
		names = append(names, strings.TrimSuffix(path.Base(f), ".toml"))
	}
	return names
}

// Meant returns "; did you mean NAME?" with the name that is nearest to a word,
// or "" where none is near.
func Meant(word string, names []string) string {
	best, nearest := 1+len(word)/3, ""
	for _, n := range names {
		if d := Distance(strings.ToLower(word), strings.ToLower(n)); d <= best && (nearest == "" || d < best) {
			best, nearest = d, n
		}
		if len(word) > 2 && strings.HasPrefix(strings.ToLower(n), strings.ToLower(word)) {
			return "; did you mean " + n + "?"
		}
	}
	if nearest == "" {
		return ""
	}
	return "; did you mean " + nearest + "?"
}

// Distance is how many letters must be put in, taken out or changed to turn one
// word into another (V. I. Levenshtein).
func Distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		before := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := before
			if a[i] != b[j] {
				change++
			}
			before = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
