// Command driftdrill is a place to practise holding zero beat on a linear
// amateur satellite. Run bare it opens the desk; otherwise its first argument
// says what to do.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"

	"driftdrill/orbit/legible"

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

// Exit statuses.
const (
	exitDone   = 0
	exitFailed = 1
	exitUsage  = 2 // bad usage or bad input
)

// buildCommands are commands that only some builds have.
var buildCommands []func() *cobra.Command

func newRootCommand() *cobra.Command {
	var desk deskOptions
	root := &cobra.Command{
		Use:   "driftdrill",
		Short: "Practise holding zero beat on a linear amateur satellite",
		Long: `driftdrill replays a real pass of a linear satellite, lets you hear your own
voice come back through a simulated transponder, gives you the knob, and tells
you how well you held zero beat.

Run bare it opens the desk. It transmits nothing: a licence is needed to
transmit, and local band plans and rules come first. Headphones: start low.`,
		Version:            version,
		Args:               cobra.NoArgs,
		SilenceUsage:       true,
		SilenceErrors:      true,
		DisableSuggestions: true,
		RunE:               func(cmd *cobra.Command, _ []string) error { return openDesk(cmd, nil, desk) },
	}
	root.Flags().StringVar(&desk.frameLog, "frame-log", "", "write the time of each frame to this `file`")
	desk.radioFlags(root.Flags())
	root.CompletionOptions.HiddenDefaultCmd = true
	root.SetVersionTemplate(versionText())
	root.AddCommand(
		newSkyCommand(),
		newPassesCommand(),
		newDialCommand(),
		newElementsCommand(),
		newPlaceCommand(),
		newDrillsCommand(),
		newBirdsCommand(),
		newCorrectionCommand(),
		newFlyCommand(),
		newRehearseCommand(),
		newDebriefCommand(),
		newLogbookCommand(),
		newRecordingCommand(),
		newClubCommand(),
		newSoundCheckCommand(),
		newRadioCommand(),
		newDisplayCommand(),
		newLicencesCommand(),
	)
	for _, more := range buildCommands {
		root.AddCommand(more())
	}
	complete(root)
	return root
}

// run carries out one command line and returns the exit status. Whatever goes
// wrong before a command has begun is a mistake in the command line.
func run(args []string, stdout, stderr io.Writer) int {
	root := newRootCommand()
	root.SetArgs(args)
	out := &heedful{to: stdout}
	stderr = &legible.Writer{To: stderr}
	root.SetOut(&legible.Writer{To: out})
	root.SetErr(stderr)
	begun := false
	root.PersistentPreRun = func(*cobra.Command, []string) { begun = true }
	cmd, err := root.ExecuteC()
	if err == nil || out.err != nil && !begun { // the command library tells no help that could not be written
		begun, err = true, out.err
	}
	var usage usageError
	switch {
	case err == nil:
		return exitDone
	case !begun:
		fmt.Fprintf(stderr, "driftdrill: %s; see `%s --help`\n", plainUsage(cmd, err), cmd.CommandPath())
		return exitUsage
	}
	fmt.Fprintln(stderr, "driftdrill:", err)
	if errors.As(err, &usage) {
		return exitUsage
	}
	return exitFailed
}

// heedful remembers the first error of what it writes to.
type heedful struct {
	to  io.Writer
	err error
}

func (w *heedful) Write(p []byte) (int, error) {
	n, err := w.to.Write(p)
	if err != nil && w.err == nil {
		w.err = err
	}
	return n, err
}

func main() {
	cobra.MousetrapHelpText = "" // a double click opens the desk
	os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
}
