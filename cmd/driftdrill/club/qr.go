package club

import (
	"fmt"
	"strings"

	qrcode "github.com/skip2/go-qrcode"
)

// qrPath draws a text as a QR code: SVG path data in a box of size x size.
func qrPath(text string) (path string, size int, err error) {
	q, err := qrcode.New(text, qrcode.Medium)
	if err != nil {
		return "", 0, err
	}
	q.DisableBorder = true
	var b strings.Builder
	rows := q.Bitmap()
	for y, row := range rows {
		for x, dark := range row {
			if dark {
				fmt.Fprintf(&b, "M%d %dh1v1h-1z", x, y)
			}
		}
	}
	return b.String(), len(rows), nil
}
