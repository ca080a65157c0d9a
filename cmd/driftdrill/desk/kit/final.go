//go:build !nodesk

package kit

import "github.com/hajimehoshi/ebiten/v2"

// DrawFinalScreen implements ebiten.FinalScreenDrawer: the picture takes the
// place of what was there. It has no holes; where the processor draws, that
// spares it the half of a pass over the whole window.
func (w *Window) DrawFinalScreen(screen ebiten.FinalScreen, picture *ebiten.Image, geoM ebiten.GeoM) {
	screen.DrawImage(picture, &ebiten.DrawImageOptions{GeoM: geoM, Blend: ebiten.BlendCopy})
}
