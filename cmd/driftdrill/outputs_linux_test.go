package main

import "syscall"

func limit(most uint64) {
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: most, Max: most}); err != nil {
		panic(err)
	}
}
