package main

import (
	"io"
	"strings"

	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"

	"github.com/spf13/cobra"
)

// inputs are the files that a flight reads, with the operator's voice.
func (f *flightOptions) inputs(voice string) []outfile.Named {
	var in []outfile.Named
	for _, n := range []outfile.Named{{What: "--drill", Path: f.drill}, {What: "--bird", Path: f.bird}, {What: "--site", Path: f.site}, {What: "--voice", Path: voice}} {
		if trainer.IsFile(n.Path) {
			in = append(in, n)
		}
	}
	for _, e := range f.elements {
		in = append(in, outfile.Named{What: "--elements", Path: e})
	}
	return in
}

// noClash refuses outputs that would overwrite an input or each other.
func noClash(inputs []outfile.Named, outputs ...outfile.Named) error {
	if err := outfile.Check(inputs, outputs); err != nil {
		return usageError{err}
	}
	return nil
}

// words is where a command tells a person what came of it: standard error
// where an output goes to standard output.
func words(cmd *cobra.Command, outputs ...outfile.Named) io.Writer {
	for _, o := range outputs {
		if o.Path == outfile.Stdout || strings.HasPrefix(o.Path, "/dev/stdout") {
			return cmd.ErrOrStderr()
		}
	}
	return cmd.OutOrStdout()
}
