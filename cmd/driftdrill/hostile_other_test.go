//go:build !unix

package main

// measured is for the systems that tell what a process took.
func measured(string, []string) int { return 2 }
