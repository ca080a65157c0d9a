package main

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// plainUsage says in everyday words what is wrong with a command line, and
// what may have been meant.
func plainUsage(cmd *cobra.Command, err error) string {
	var missing *pflag.NotExistError
	var empty *pflag.ValueRequiredError
	var wrong *pflag.InvalidValueError
	switch {
	case errors.As(err, &missing):
		name := "--" + missing.GetSpecifiedName()
		if short := missing.GetSpecifiedShortnames(); short != "" {
			name = "-" + missing.GetSpecifiedName()
		}
		var all []string
		cmd.Flags().VisitAll(func(f *pflag.Flag) { all = append(all, "--"+f.Name) })
		return fmt.Sprintf("there is no option %s%s", name, trainer.Meant(name, all))
	case errors.As(err, &empty):
		return fmt.Sprintf("--%s needs a value", empty.GetFlag().Name)
	case errors.As(err, &wrong):
		why := wrong.Unwrap().Error()
		if strings.Contains(why, "strconv.") || strings.Contains(why, "parsing") {
			why = "that is not a number that it takes"
		}
		return fmt.Sprintf("--%s %q: %s", wrong.GetFlag().Name, wrong.GetValue(), why)
	}
	return plainArguments(cmd, err.Error())
}

var (
	unknownCommand = regexp.MustCompile(`^unknown command "(.*)" for "(.*)"`)
	argumentCount  = regexp.MustCompile(`(accepts|requires) .*received ([0-9]+)$`)
)

// plainArguments is plainUsage for the errors that come as text alone.
func plainArguments(cmd *cobra.Command, text string) string {
	if m := unknownCommand.FindStringSubmatch(text); m != nil {
		if !cmd.HasSubCommands() {
			return fmt.Sprintf("%q is one word too many", m[1])
		}
		var all []string
		for _, c := range cmd.Commands() {
			if !c.Hidden {
				all = append(all, c.Name())
			}
		}
		return fmt.Sprintf("there is no command %q%s", m[1], trainer.Meant(m[1], all))
	}
	if m := argumentCount.FindStringSubmatch(text); m != nil {
		return fmt.Sprintf("say `%s`; what you said has %s words after the name", strings.TrimSuffix(cmd.UseLine(), " [flags]"), m[2])
	}
	return text
}

// complete gives a command's options the values that a shell can offer.
func complete(cmd *cobra.Command) {
	for name, values := range map[string]func() []string{"drill": drillNames, "bird": birdNames, "hand": handNames} {
		if cmd.Flags().Lookup(name) == nil {
			continue
		}
		_ = cmd.RegisterFlagCompletionFunc(name, func(_ *cobra.Command, _ []string, begun string) ([]string, cobra.ShellCompDirective) {
			if strings.ContainsAny(begun, "./") {
				return nil, cobra.ShellCompDirectiveDefault // a file
			}
			return beginning(values(), begun), cobra.ShellCompDirectiveNoFileComp
		}) // fails only where it is there already
	}
	for _, c := range cmd.Commands() {
		complete(c)
	}
}

func beginning(values []string, begun string) []string {
	return slices.DeleteFunc(values, func(v string) bool { return !strings.HasPrefix(v, strings.ToLower(begun)) })
}

func drillNames() []string { return trainer.Names("drills") }

func birdNames() []string { return flock().Names() }

func handNames() []string { return sim.HandNames() }
