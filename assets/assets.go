// Package assets holds what the program carries with it: birds, drills,
// demo elements and voices. All of it is invented; see README.md here.
package assets

import "embed"

// FS holds the folders birds, drills, elements and voices.
//
//go:embed all:birds all:drills all:elements all:voices
var FS embed.FS
