//go:build !nodesk

package kit

import "github.com/hajimehoshi/ebiten/v2"

// DrawFinalScreen implements ebiten.FinalScreenDrawer: the picture takes the
// place of what was there. Where a browser draws in software, that spares it
// the half of a pass over the whole window.
func (w *Window) DrawFinalScreen(screen ebiten.FinalScreen, offscreen *ebiten.Image, geoM ebiten.GeoM) {
	screen.DrawImage(offscreen, &ebiten.DrawImageOptions{GeoM: geoM, Blend: ebiten.BlendCopy})
}
