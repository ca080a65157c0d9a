//go:build !nodesk

package flying

import (
	"math"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit"
)

// Contrast is by WCAG 2.1, success criterion 1.4.3 and its definitions of
// relative luminance and contrast ratio. Black on white is 21 by definition;
// that #767676 is the lightest grey to reach 4.5 on white, and #777777 falls
// short of it, is common knowledge among page designers (no primary source).
func TestContrastFormula(t *testing.T) {
	white, black := kit.Hex(0xffffff), kit.Hex(0)
	if c := contrast(white, black); math.Abs(c-21) > 1e-6 {
		t.Errorf("black on white: %v, want 21", c)
	}
	if c := contrast(kit.Hex(0x767676), white); c < 4.5 || c > 4.6 {
		t.Errorf("#767676 on white: %v, want just above 4.5", c)
	}
	if c := contrast(kit.Hex(0x777777), white); c >= 4.5 {
		t.Errorf("#777777 on white: %v, want below 4.5", c)
	}
}

// leastContrast is WCAG 2.1's for text of ordinary size, level AA.
const leastContrast = 4.5

func TestPalettesCanBeRead(t *testing.T) {
	for _, p := range kit.Palettes() {
		grounds := map[string]kit.Color{"ground": p.Ground, "lamp": p.Lamp, "panel": p.Panel, "high panel": p.PanelHi}
		inks := map[string]kit.Color{"ink": p.Ink, "dim": p.Dim, "yours": p.Yours, "others": p.Others,
			"dial end": p.Yours.Alpha(dialEndAlpha)}
		for gn, g := range grounds {
			for n, ink := range inks {
				if c := contrast(g.Mix(ink, float64(ink.A)), g); c < leastContrast {
					t.Errorf("%s: %s on %s has %.2f, want %.1f", p.Name, n, gn, c, leastContrast)
				}
			}
		}
		for n, ink := range map[string]kit.Color{"card ink": p.CardInk, "card note": p.CardNote} {
			if c := contrast(ink, p.Card); c < leastContrast {
				t.Errorf("%s: %s has %.2f, want %.1f", p.Name, n, c, leastContrast)
			}
		}
		if c := contrast(p.Ground, p.Ink); c < leastContrast {
			t.Errorf("%s: number on its disc has %.2f", p.Name, c)
		}
		// What is yours and what is others' differ in lightness as well as hue or are drawn in other shapes;
		// both must stand out from the panel as graphics (WCAG 2.1, 1.4.11: 3:1).
		for n, ink := range map[string]kit.Color{"yours": p.Yours, "others": p.Others} {
			if c := contrast(ink, p.Panel); c < 3 {
				t.Errorf("%s: %s as a line has %.2f, want 3", p.Name, n, c)
			}
		}
	}
}

// Over the ribbon's tones, the darkest ground that text lies on there.
func TestTonesKeepContrast(t *testing.T) {
	for _, p := range kit.Palettes() {
		g := p.PanelHi.Mix(p.Paper, 0.075)
		for n, ink := range map[string]kit.Color{"dim": p.Dim, "yours": p.Yours} {
			if c := contrast(ink, g); c < leastContrast {
				t.Errorf("%s: %s on the 100 Hz tone has %.2f", p.Name, n, c)
			}
		}
	}
}

// luminance is the relative luminance of WCAG 2.1, 0..1, alpha ignored.
func luminance(c kit.Color) float64 {
	part := func(v float32) float64 {
		f := float64(v)
		if f <= 0.04045 {
			return f / 12.92
		}
		return math.Pow((f+0.055)/1.055, 2.4)
	}
	return 0.2126*part(c.R) + 0.7152*part(c.G) + 0.0722*part(c.B)
}

// contrast is the contrast ratio of WCAG 2.1 between two opaque colours, 1..21.
func contrast(a, b kit.Color) float64 {
	la, lb := luminance(a), luminance(b)
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}
