//go:build !unix && !js

package logbook

func isFull(error) bool { return false }

func isReadOnly(error) bool { return false }
