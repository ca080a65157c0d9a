package main

import (
	"fmt"
	"io"

	"driftdrill/assets/licences"

	"github.com/spf13/cobra"
)

// newLicencesCommand prints the licences of all that the program is made of.
func newLicencesCommand() *cobra.Command {
	var names bool
	cmd := &cobra.Command{
		Use:   "licences",
		Short: "Print the licence of this program and of everything built into it",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if !names {
				_, err := io.WriteString(cmd.OutOrStdout(), licences.Text)
				return err
			}
			for _, name := range licences.Names() {
				if _, err := fmt.Fprintln(cmd.OutOrStdout(), name); err != nil {
					return err
				}
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&names, "names", false, "only whose they are, without the texts")
	return cmd
}
