//go:build !nodesk

package deskwire

import (
	"context"
	"errors"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/scoring/recording"
)

// errNoFiles is told of everything that works on files by their names, which a
// browser gives to no page.
var errNoFiles = errors.New("a browser gives no files and folders to a page; the program on your own machine does this")

func measure(context.Context, string, recording.Options, port.Progress) (*recording.Result, time.Time, error) {
	return nil, time.Time{}, errNoFiles
}

func (*wiring) openRecording(context.Context, string, port.ReadAs, port.Progress) (*port.Recording, error) {
	return nil, errNoFiles
}

func (*wiring) ownDrills() string { return "" }

func (*wiring) takeOut(context.Context, string, port.Progress) (says, where string, err error) {
	return "", "", errNoFiles
}

func (*wiring) bringIn(context.Context, string, port.Progress) (string, error) { return "", errNoFiles }
