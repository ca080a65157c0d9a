//go:build manual && !nodesk

package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"

	"driftdrill/cmd/driftdrill/desk"
	"driftdrill/cmd/driftdrill/desk/kit"

	"golang.org/x/image/bmp"
)

func init() { manualParts = append(manualParts, writeIcons) }

// iconSizes are the usual ones of icon themes, pixels.
var iconSizes = []int{16, 22, 24, 32, 48, 64, 128, 256, 512}

// sideWidth and sideHeight are what the installer for Windows has room for, pixels.
const sideWidth, sideHeight = 164, 314

// writeIcons fills folder/icons: a PNG of each size, one file of several for
// Windows and one for macOS, and the picture beside the installer's pages.
func writeIcons(folder string) error {
	folder = filepath.Join(folder, "icons")
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	pngs := map[int][]byte{}
	for _, n := range append(iconSizes, 1024) {
		var b bytes.Buffer
		if err := png.Encode(&b, desk.Icon(n)); err != nil {
			return err
		}
		pngs[n] = b.Bytes()
	}
	for _, n := range iconSizes {
		if err := os.WriteFile(filepath.Join(folder, fmt.Sprintf("%d.png", n)), pngs[n], 0o644); err != nil {
			return err
		}
	}
	var side bytes.Buffer
	if err := bmp.Encode(&side, sidePicture(sideWidth, sideHeight)); err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(folder, "side.bmp"), side.Bytes(), 0o644); err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(folder, "driftdrill.ico"), ico(pngs[256]), 0o644); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(folder, "driftdrill.icns"), icns(pngs), 0o644)
}

// sidePicture paints the picture beside the first and last page of an installer: the
// icon's hill and bird under a night sky, w by h pixels, opaque.
func sidePicture(w, h int) image.Image {
	pal := &kit.Night
	f := float64(w)
	return kit.PaintRGBA(w, h, func(x, y float64) kit.Color {
		u, v := x/f*2-1, (y-float64(h))/f*2 // from the lower edge up, in half widths
		col := pal.Ground.Mix(kit.Hex(0x5a2413), math.Exp(-(u*u+v*v)*0.6))
		hill := -1.1 * math.Exp(-u*u*2.2)
		col = kit.Over(col, pal.Yours, kit.Clamp((v-hill)*f/2+0.5, 0, 1)*kit.Clamp((-0.12-v)*f/2+0.5, 0, 1))
		wing := -2.5 - 0.16*math.Sin(math.Min(math.Abs(u)/0.36, 1)*2.5)
		thick := 0.06 * (1 - 0.7*u*u/0.13)
		return kit.Over(col, pal.Ink, kit.Clamp((thick-math.Abs(v-wing))*f/2+0.5, 0, 1)*kit.Clamp((0.36-math.Abs(u))*f/2+0.5, 0, 1))
	})
}

// ico packs the sizes that Windows asks for: bitmaps up to 64 pixels and one
// PNG of 256. The layout is Microsoft's ICONDIR, which has been the same since
// Windows 3; PNG in it since Vista.
func ico(large []byte) []byte {
	var pictures [][]byte
	sizes := []int{16, 24, 32, 48, 64, 256}
	for _, n := range sizes[:5] {
		pictures = append(pictures, bitmap(desk.Icon(n)))
	}
	pictures = append(pictures, large)
	le := binary.LittleEndian
	out := le.AppendUint16(nil, 0)
	out = le.AppendUint16(out, 1) // an icon
	out = le.AppendUint16(out, uint16(len(sizes)))
	at := 6 + 16*len(sizes)
	for i, n := range sizes {
		out = append(out, byte(n), byte(n), 0, 0) // 256 is written as 0
		out = le.AppendUint16(out, 1)
		out = le.AppendUint16(out, 32)
		out = le.AppendUint32(out, uint32(len(pictures[i])))
		out = le.AppendUint32(out, uint32(at))
		at += len(pictures[i])
	}
	for _, p := range pictures {
		out = append(out, p...)
	}
	return out
}

// bitmap is a picture as icons hold it: a BITMAPINFOHEADER of twice the
// height, rows of blue, green, red, alpha from the bottom up, and an empty mask.
func bitmap(m image.Image) []byte {
	n := m.Bounds().Dx()
	le := binary.LittleEndian
	out := le.AppendUint32(nil, 40)
	out = le.AppendUint32(out, uint32(n))
	out = le.AppendUint32(out, uint32(2*n))
	out = le.AppendUint16(out, 1)
	out = le.AppendUint16(out, 32)
	out = append(out, make([]byte, 24)...)
	for y := n - 1; y >= 0; y-- {
		for x := range n {
			c := color.NRGBAModel.Convert(m.At(x, y)).(color.NRGBA)
			out = append(out, c.B, c.G, c.R, c.A)
		}
	}
	return append(out, make([]byte, (n+31)/32*4*n)...)
}

// icns packs PNGs for macOS: four letters and a length before each.
func icns(pngs map[int][]byte) []byte {
	var body []byte
	for _, p := range []struct {
		kind string
		size int
	}{{"icp4", 16}, {"icp5", 32}, {"ic07", 128}, {"ic08", 256}, {"ic09", 512}, {"ic10", 1024}} {
		body = append(body, p.kind...)
		body = binary.BigEndian.AppendUint32(body, uint32(8+len(pngs[p.size])))
		body = append(body, pngs[p.size]...)
	}
	return append(binary.BigEndian.AppendUint32([]byte("icns"), uint32(8+len(body))), body...)
}
