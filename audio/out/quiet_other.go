//go:build !linux && !nodesk

package out

// quietly does work; elsewhere the sound libraries are quiet by themselves.
func quietly(work func()) { work() }
