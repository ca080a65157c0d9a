//go:build !nodesk

package kit

import (
	"fmt"
	"math"
	"strings"

	"github.com/hajimehoshi/ebiten/v2"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/gomonobold"
	"golang.org/x/image/font/gofont/goregular"
)

// Face is one of the Go fonts.
type Face uint8

// The faces.
const (
	Regular Face = iota
	Medium
	Bold
	Italic
	Mono
	MonoBold
	numFaces
)

// keptFrames is for how many frames text that is not drawn is kept as an image.
const keptFrames = 600

// Type sets text. Strings are drawn once into white images and tinted. They are
// filled by the processor and handed over as pixels: so all of them lie on few
// textures, a page of new text costs a few milliseconds, and hundreds of
// strings on the window are one piece of work for what draws it.
type Type struct {
	fonts [numFaces]*glyphFont
	pen   pen
	cache map[textKey]*setText
	wraps map[wrapKey][]string
	fits  map[wrapKey]Style
	frame int
	k     float64 // pixels for a dip
	scale float64 // the user's text scale
}

type textKey struct {
	face Face
	px   float64
	s    string
}

type wrapKey struct {
	face  Face
	px    float64
	width int
	s     string
}

type setText struct {
	image   *ebiten.Image // nil for blank text
	width   float64       // advance, pixels
	ascent  float64       // from the image's top to the baseline, pixels
	lastUse int
}

// widestText is the widest text that is drawn, pixels: what is longer leaves any window.
const widestText = 8192

// NewType loads the fonts.
func NewType() (*Type, error) {
	t := &Type{cache: map[textKey]*setText{}, wraps: map[wrapKey][]string{}, fits: map[wrapKey]Style{}, k: 1, scale: 1}
	data := [numFaces][]byte{goregular.TTF, gomedium.TTF, gobold.TTF, goitalic.TTF, gomono.TTF, gomonobold.TTF}
	for i, d := range data {
		f, err := newGlyphFont(d)
		if err != nil {
			return nil, fmt.Errorf("load font %d: %w", i, err)
		}
		t.fonts[i] = f
	}
	return t, nil
}

// SetScale sets the pixels of a dip and the user's text scale (1 to 2.5).
func (t *Type) SetScale(k, scale float64) {
	if k == t.k && scale == t.scale {
		return
	}
	t.k, t.scale = k, scale
	for key, e := range t.cache {
		if e.image != nil {
			e.image.Deallocate()
		}
		delete(t.cache, key)
	}
	clear(t.wraps)
	clear(t.fits)
}

// Tick counts a frame and lets go of text not drawn for a while.
func (t *Type) Tick() {
	t.frame++
	if t.frame%120 != 0 {
		return
	}
	for key, e := range t.cache {
		if t.frame-e.lastUse > keptFrames {
			if e.image != nil {
				e.image.Deallocate()
			}
			delete(t.cache, key)
		}
	}
	if len(t.wraps) > 500 {
		clear(t.wraps)
	}
	if len(t.fits) > 2000 {
		clear(t.fits)
	}
}

// grown is a style's size after the text scale, dips: body text grows by all
// of it, headings by less, since they are large already.
func (t *Type) grown(s Style) float64 {
	return s.Size * (1 + (t.scale-1)*math.Min(1, Body.Size/s.Size))
}

// px is a style's size in pixels, in quarters so that near sizes share images.
func (t *Type) px(s Style) float64 { return math.Round(t.grown(s)*t.k*4) / 4 }

// advance is the width of a string, pixels.
func (t *Type) advance(str string, f Face, px float64) float64 {
	return t.fonts[f].advance(str, px)
}

// LineHeight returns the distance between two lines, dips.
func (t *Type) LineHeight(s Style) float64 { return t.grown(s) * 1.38 }

// Size returns the size of the style after the text scale, dips.
func (t *Type) Size(s Style) float64 { return t.grown(s) }

// Width returns the width of a string, dips.
func (t *Type) Width(str string, s Style) float64 {
	return t.advance(str, s.Face, t.px(s)) / t.k
}

// Within returns the style, made smaller in proportion where its size is above
// most, dips.
func (t *Type) Within(s Style, most float64) Style {
	if size := t.Size(s); size > most {
		s.Size *= most / size
	}
	return s
}

// Fit returns the style, made smaller where the string would be wider than
// width. Sizes go in quarters of a pixel, and text does not grow in proportion
// to its size: the size is looked for until the string is narrow enough.
func (t *Type) Fit(str string, s Style, width float64) Style {
	px := t.px(s)
	key := wrapKey{s.Face, px, int(math.Floor(width * 4)), str}
	if f, ok := t.fits[key]; ok {
		return f
	}
	fit := s
	if w := t.advance(str, s.Face, px) / t.k; w > width && w > 0 {
		p := math.Min(px, math.Floor(px*math.Max(width, 0)/w*4)/4+1)
		for p > leastPx && t.advance(str, s.Face, p)/t.k > width {
			p -= 0.25
		}
		fit = t.ofPx(s.Face, math.Max(p, leastPx))
	}
	t.fits[key] = fit
	return fit
}

// leastPx is the smallest text, pixels: what is smaller cannot be read anyway.
const leastPx = 1.0

// ofPx is the style that comes out at a size in pixels after the text scale.
func (t *Type) ofPx(f Face, px float64) Style {
	g := px / t.k
	if g > Body.Size*t.scale { // where text grows by a constant
		return Style{f, g - (t.scale-1)*Body.Size}
	}
	return Style{f, g / t.scale}
}

// Cut returns the string, shortened with an ellipsis where it is wider than width.
func (t *Type) Cut(str string, s Style, width float64) string {
	if t.Width(str, s) <= width {
		return str
	}
	r := []rune(str)
	for len(r) > 0 {
		r = r[:len(r)-1]
		short := strings.TrimRight(string(r), " ") + "…"
		if t.Width(short, s) <= width {
			return short
		}
	}
	return ""
}

// Wrap breaks a string into lines no wider than width; newlines in it stay.
func (t *Type) Wrap(str string, s Style, width float64) []string {
	key := wrapKey{s.Face, t.px(s), int(width * 4), str}
	if w, ok := t.wraps[key]; ok {
		return w
	}
	var out []string
	for _, para := range strings.Split(str, "\n") {
		line := ""
		for _, word := range strings.Fields(para) {
			if try := strings.TrimSpace(line + " " + word); line == "" || t.Width(try, s) <= width {
				line = try
				continue
			}
			out = append(out, line)
			line = word
		}
		out = append(out, line)
	}
	t.wraps[key] = out
	return out
}

func (t *Type) set(str string, s Style) *setText {
	key := textKey{s.Face, t.px(s), str}
	if e := t.cache[key]; e != nil {
		e.lastUse = t.frame
		return e
	}
	f := t.fonts[s.Face]
	ascent, descent := f.ascent*key.px, f.descent*key.px
	e := &setText{width: t.advance(str, s.Face, key.px), ascent: math.Ceil(ascent) + 1, lastUse: t.frame}
	w, h := int(math.Ceil(e.width))+4, int(math.Ceil(ascent+descent))+3
	if strings.TrimSpace(str) != "" && w > 4 && w <= widestText {
		e.image = ebiten.NewImage(w, h)
		e.image.WritePixels(t.pen.write(f, str, key.px, 2, e.ascent-lift(ascent), w, h))
	}
	t.cache[key] = e
	return e
}

// lift is by how much the runes stand above their baseline, pixels: one where
// the ascent ends in the upper half of a pixel. The screens are tuned to it.
func lift(ascent float64) float64 {
	if ascent-math.Floor(ascent) >= 0.5 {
		return 1
	}
	return 0
}
