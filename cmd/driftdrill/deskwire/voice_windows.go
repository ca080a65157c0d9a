//go:build !nodesk

package deskwire

import (
	"os/exec"
	"syscall"
)

// hideWindow keeps a console window from popping up (CREATE_NO_WINDOW of the
// Windows interface).
func hideWindow(cmd *exec.Cmd) {
	cmd.SysProcAttr = &syscall.SysProcAttr{HideWindow: true, CreationFlags: 0x08000000}
}
