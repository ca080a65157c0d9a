//go:build nodesk

package main

import "github.com/spf13/cobra"

// hasDesk tells whether the window is in the program.
const hasDesk = false

func openDesk(*cobra.Command, *flightOfDesk, deskOptions) error { return noWindow() }
