//go:build !js

package assets

import (
	"embed"
	"io/fs"
)

// FS holds the folders birds, drills, elements and voices.
//
//go:embed all:birds all:drills all:elements all:voices
var FS embed.FS

// Sounds holds the folder voices.
var Sounds fs.FS = FS
