//go:build !nodesk

package kit

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// fittable are strings of the desk, short and long.
var fittable = []string{"Change place or birds", "Right hand alone", "435.148", "drift 24 Hz/s, 61 at the top", "W", "il", "uplink · LSB · yours to turn"}

// loadType loads the fonts.
func loadType(t testing.TB) *Type {
	t.Helper()
	ty, err := NewType()
	if err != nil {
		t.Fatal(err)
	}
	return ty
}

// What Fit gives must fit, at any text scale and size of pixels, and must not
// be smaller than it need be: a quarter of a pixel more would be too wide.
func TestFitFits(t *testing.T) {
	ty := loadType(t)
	styles := []Style{Tiny, Small, Body, BodyBold, Lead, Title, Huge, Note, Mono13, Mono16, DialBig}
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom([]float64{1, 1.25, 1.5, 2, 3}).Draw(t, "pixels for a dip")
		ty.SetScale(k, rapid.Float64Range(1, 2.5).Draw(t, "text scale"))
		s := rapid.SampledFrom(styles).Draw(t, "style")
		str := rapid.SampledFrom(fittable).Draw(t, "text")
		full := ty.Width(str, s)
		width := full * rapid.Float64Range(0.1, 1.2).Draw(t, "share")
		got := ty.Fit(str, s, width)
		if w := ty.Width(str, got); w > width {
			t.Fatalf("%q is %.2f wide in %.2f", str, w, width)
		}
		if full <= width && got != s {
			t.Fatalf("%q fits, but was made %+v from %+v", str, got, s)
		}
		if full > width {
			if w := ty.Width(str, ty.ofPx(s.Face, ty.px(got)+0.25)); w <= width {
				t.Fatalf("%q at %.2f px: %.2f px would do", str, ty.px(got), ty.px(got)+0.25)
			}
		}
	})
}

// A style made for a size in pixels comes out at that size.
func TestOfPxIsTheWayBack(t *testing.T) {
	ty := loadType(t)
	for _, scale := range []float64{1, 1.3, 2.5} {
		ty.SetScale(1.25, scale)
		for px := 1.0; px < 90; px += 0.25 {
			if got := ty.px(ty.ofPx(Regular, px)); math.Abs(got-px) > 1e-9 {
				t.Fatalf("scale %v: %v px came out at %v", scale, px, got)
			}
		}
	}
}
