//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package trainer

import (
	"errors"
	"os"
	"syscall"
)

// hold marks a sheet as being written, until its file is closed or its program
// ends, however it ends. Where the file system cannot, its age has to tell.
func hold(f *os.File) { _ = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) }

// held tells whether a sheet is being written, by this program or another copy
// of it; known is false where that cannot be told.
func held(path string) (is, known bool) {
	f, err := os.Open(path)
	if err != nil {
		return false, false
	}
	defer f.Close()
	switch err := syscall.Flock(int(f.Fd()), syscall.LOCK_SH|syscall.LOCK_NB); {
	case err == nil:
		return false, true
	case errors.Is(err, syscall.EWOULDBLOCK):
		return true, true
	}
	return false, false
}
