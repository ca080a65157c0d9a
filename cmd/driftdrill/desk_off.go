//go:build nodesk

package main

import "github.com/spf13/cobra"

// hasDesk tells whether the window is in the program.
const hasDesk = false

func openDesk(_ *cobra.Command, _ *flyOptions, _ string) error { return noWindow() }
