//go:build !nodesk && cgo

package out

// #cgo pkg-config: alsa
// #cgo LDFLAGS: -ldl
// #include <alsa/asoundlib.h>
// #include <dlfcn.h>
//
// static void say_nothing(const char *file, int line, const char *function, int err, const char *fmt, ...) {}
// static void say_nothing_of(const char *text) {}
//
// static void hush(void) { snd_lib_error_set_handler(say_nothing); }
//
// typedef void (*set_function)(void (*)(const char *));
//
// static void hush_server(void) {
//	void *lib = dlopen("libjack.so.0", RTLD_LAZY);
//	if (!lib) return;
//	set_function set = (set_function)dlsym(lib, "jack_set_error_function");
//	if (set) set(say_nothing_of);
//	set = (set_function)dlsym(lib, "jack_set_info_function");
//	if (set) set(say_nothing_of);
// }
import "C"

import "sync"

// The system's sound library writes lines of its own to standard error while it
// looks for a device. What is wrong is told once, in plainError.
func init() { C.hush() }

// hushServers does the same for the sound server's library, where there is one,
// which the sound library asks when it finds no other device.
var hushServers = sync.OnceFunc(func() { C.hush_server() })
