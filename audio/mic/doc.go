// Package mic captures the operator's microphone for a live own voice. It is in
// every build with cgo for Linux, macOS and Windows; the tag nomic leaves it
// out. Elsewhere Open says that there is none.
package mic
