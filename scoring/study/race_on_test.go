//go:build race

package main

// raceOn says that the race detector slows everything down several times:
// tests that only count outcomes then count fewer.
const raceOn = true
