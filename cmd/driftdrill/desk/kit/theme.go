//go:build !nodesk

package kit

import (
	"image/color"
)

// Color is a straight-alpha colour, each part 0..1.
type Color struct{ R, G, B, A float32 }

// Hex makes a colour from 0xRRGGBB.
func Hex(v uint32) Color {
	return Color{float32(v>>16&255) / 255, float32(v>>8&255) / 255, float32(v&255) / 255, 1}
}

// Alpha returns c with its alpha multiplied by a.
func (c Color) Alpha(a float64) Color { c.A *= float32(a); return c }

// Mix returns the colour a share t of the way from c to d.
func (c Color) Mix(d Color, t float64) Color {
	f := float32(t)
	return Color{c.R + (d.R-c.R)*f, c.G + (d.G-c.G)*f, c.B + (d.B-c.B)*f, c.A + (d.A-c.A)*f}
}

// RGBA implements color.Color.
func (c Color) RGBA() (r, g, b, a uint32) {
	p := c.A * 65535
	return uint32(c.R * p), uint32(c.G * p), uint32(c.B * p), uint32(p)
}

var _ color.Color = Color{}

// Palette is every colour that the desk uses.
type Palette struct {
	Name     string
	Ground   Color // behind everything
	Lamp     Color // the glow on the ground round the knob
	Panel    Color // a field on the ground
	PanelHi  Color // a field that matters now
	Rule     Color // thin lines and frames
	Ink      Color // text
	Dim      Color // text of less weight
	Yours    Color // what is the operator's own
	Others   Color // everybody else
	Card     Color // the paper of the prompt card
	CardInk  Color // text on it
	CardNote Color // the coach's line on it
	CardRule Color // the ruled lines on it
	Paper    Color // the tone of the tolerance in the ribbon, drawn with alpha
	KnobHi   Color // the lit side of the knob
	KnobLow  Color // its dark side
	Dark     bool
}

// Night is the palette for the dark: a notebook lit by a red lamp.
var Night = Palette{
	Name: "night", Dark: true,
	Ground: Hex(0x14110f), Lamp: Hex(0x2b1710), Panel: Hex(0x1b1714), PanelHi: Hex(0x241e19),
	Rule: Hex(0x3a322b), Ink: Hex(0xeadfca), Dim: Hex(0xa39680),
	Yours: Hex(0xf0a23c), Others: Hex(0x86abc8),
	Card: Hex(0xeadfca), CardInk: Hex(0x241d18), CardNote: Hex(0x7c3510), CardRule: Hex(0xc4b79f),
	Paper: Hex(0xeadfca), KnobHi: Hex(0x4b4038), KnobLow: Hex(0x1d1815),
}

// Sun is the palette for bright sun: dark ink on paper, the accents deepened.
var Sun = Palette{
	Name:   "sun",
	Ground: Hex(0xf1e9d8), Lamp: Hex(0xfaf5e9), Panel: Hex(0xe8dec9), PanelHi: Hex(0xfbf6ea),
	Rule: Hex(0xb8aa90), Ink: Hex(0x1d1611), Dim: Hex(0x5a4e40),
	Yours: Hex(0x8f3f00), Others: Hex(0x1f4e77),
	Card: Hex(0xfffdf6), CardInk: Hex(0x1d1611), CardNote: Hex(0x7c2d08), CardRule: Hex(0xd9ceb8),
	Paper: Hex(0x3a2d1c), KnobHi: Hex(0xfdf9ef), KnobLow: Hex(0xb5a88f),
}

// Palettes are the palettes that the settings offer.
func Palettes() []*Palette { return []*Palette{&Night, &Sun} }

// PaletteNamed returns the palette of that name, or Night.
func PaletteNamed(name string) *Palette {
	for _, p := range Palettes() {
		if p.Name == name {
			return p
		}
	}
	return &Night
}

// Style is a face and a size; the size is in dips before the text scale.
type Style struct {
	Face Face
	Size float64
}

// The type scale.
var (
	Tiny     = Style{Regular, 12.5}
	Small    = Style{Regular, 14}
	Body     = Style{Regular, 16}
	BodyBold = Style{Bold, 16}
	Lead     = Style{Medium, 19}
	Title    = Style{Bold, 27}
	Huge     = Style{Bold, 44}
	Note     = Style{Italic, 15.5}
	Mono16   = Style{Mono, 16}
	Mono13   = Style{Mono, 12.5}
	DialBig  = Style{Mono, 40}
	DialEnd  = Style{Mono, 27}
)
