package main

import (
	"errors"
	"fmt"
	"os"

	"github.com/spf13/cobra"
)

// usageError is a mistake in what was asked for or in an input: exit status 2.
type usageError struct{ err error }

func (e usageError) Error() string { return e.err.Error() }
func (e usageError) Unwrap() error { return e.err }

// badInput returns a usageError with a formatted message.
func badInput(format string, args ...any) error {
	return usageError{fmt.Errorf(format, args...)}
}

func newRootCommand() *cobra.Command {
	root := &cobra.Command{
		Use:           "driftdrill",
		Short:         "Practise holding zero beat on a linear amateur satellite",
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	return root
}

// exitStatus says what the shell is told: 0 done, 1 failed, 2 bad usage or bad input.
func exitStatus(err error) int {
	var usage usageError
	switch {
	case err == nil:
		return 0
	case errors.As(err, &usage):
		return 2
	}
	return 1
}

func main() {
	err := newRootCommand().Execute()
	if err != nil {
		fmt.Fprintln(os.Stderr, "driftdrill:", err)
	}
	os.Exit(exitStatus(err))
}
