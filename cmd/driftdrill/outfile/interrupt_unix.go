//go:build unix

package outfile

import "syscall"

func init() { interruptions = append(interruptions, syscall.SIGHUP) } // its terminal is closed
