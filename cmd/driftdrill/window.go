package main

import (
	"errors"

	"driftdrill/cmd/driftdrill/display"

	"github.com/spf13/cobra"
)

// noWindow tells in one line why no window can be opened; nil if one can.
func noWindow() error {
	if !hasDesk {
		return errors.New("this build has no window; `rehearse` needs none")
	}
	return display.Err()
}

// newDisplayCommand asks nothing of a person: `make play` uses it.
func newDisplayCommand() *cobra.Command {
	return &cobra.Command{
		Use:    "display",
		Short:  "Tell whether a window can be opened (exit status 0) or not (1)",
		Args:   cobra.NoArgs,
		Hidden: true,
		RunE:   func(*cobra.Command, []string) error { return noWindow() },
	}
}
