package main

import "github.com/spf13/cobra"

// clubCommands are none: a browser serves nobody.
func clubCommands() []*cobra.Command { return nil }
