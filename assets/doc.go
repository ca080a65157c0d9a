// Package assets holds what the program carries with it: birds, drills,
// demo elements and voices. All of it is invented; see README.md here.
package assets
