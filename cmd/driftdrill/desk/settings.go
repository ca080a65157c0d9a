//go:build !nodesk

package desk

import "errors"

var errSoon = errors.New("not yet")

func newSettingsPage() Scene { return newTrouble("Settings", errSoon) }
