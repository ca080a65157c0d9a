//go:build !nodesk && cgo

package out

// #cgo pkg-config: alsa
// #include <alsa/asoundlib.h>
//
// static void say_nothing(const char *file, int line, const char *function, int err, const char *fmt, ...) {}
//
// static int hush(void) { return snd_lib_error_set_handler(say_nothing); }
import "C"

// The system's sound library writes lines of its own to standard error while it
// looks for a device. What is wrong is told once, in plainError.
func init() { C.hush() }
