//go:build !nodesk

package settings

import (
	"fmt"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim/morse"
)

// morsePart are the settings of the Morse key; its pitch is that of the own tone.
func morsePart(a *screen.App, apply func()) []kit.Widget {
	var words, kinds []string
	for _, k := range morse.Kinds() {
		kinds = append(kinds, string(k))
		words = append(words, map[morse.Kind]string{morse.IambicB: "paddles, mode B", morse.IambicA: "paddles, mode A", morse.Straight: "straight"}[k])
	}
	wpm := float64(a.Set.MorseWPM)
	return []kit.Widget{
		&kit.Choice{Name: "Morse key, from the next run on", Words: words, At: screen.PlaceOf(a.Set.MorseKey, kinds), Changed: func(i int) { a.Set.MorseKey = kinds[i]; apply() }},
		&kit.Choice{Name: "Morse paddles", Words: []string{"as they are", "change places"}, At: kit.Count(a.Set.MorseSwapped), Changed: func(i int) { a.Set.MorseSwapped = i == 1; apply() }},
		&kit.Slider{Name: "Morse speed", Low: morse.SlowestWPM, High: morse.FastestWPM, Step: 1, Value: &wpm,
			Format: func(v float64) string { return fmt.Sprintf("%.0f words a minute", v) }, Changed: func() { a.Set.MorseWPM = int(wpm); apply() }},
	}
}
