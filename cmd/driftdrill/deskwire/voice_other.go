//go:build !nodesk && !windows

package deskwire

import "os/exec"

// hideWindow is for Windows, where a program without a window opens one.
func hideWindow(*exec.Cmd) {}
