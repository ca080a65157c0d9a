package assets

import (
	"embed"
	"io/fs"
)

// FS holds the folders birds, drills and elements. Voices are fetched when
// they are needed; see Sounds.
//
//go:embed all:birds all:drills all:elements
var FS embed.FS

// Sounds holds the recorded voices. In a browser the program says at its
// start where they come from.
var Sounds fs.FS
