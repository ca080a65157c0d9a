//go:build manual

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

func init() { buildCommands = append(buildCommands, newManualCommand) }

// manualParts write more of what a release needs into a folder: the icons, in
// builds with the window.
var manualParts []func(folder string) error

// newManualCommand writes man pages and shell completions from the tree of
// commands. Only the build of a release has it.
func newManualCommand() *cobra.Command {
	return &cobra.Command{
		Use:    "manual FOLDER",
		Hidden: true,
		Args:   cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := writeManual(cmd.Root(), args[0]); err != nil {
				return err
			}
			for _, write := range manualParts {
				if err := write(args[0]); err != nil {
					return err
				}
			}
			return nil
		},
	}
}

// writeManual fills folder/man1 and folder/completions. The pages are dated by
// SOURCE_DATE_EPOCH (s since 1970).
func writeManual(root *cobra.Command, folder string) error {
	epoch, err := strconv.ParseInt(os.Getenv("SOURCE_DATE_EPOCH"), 10, 64)
	if err != nil {
		return fmt.Errorf("SOURCE_DATE_EPOCH: %w", err)
	}
	date := time.Unix(epoch, 0).UTC()
	root.DisableAutoGenTag = true
	man, completions := filepath.Join(folder, "man1"), filepath.Join(folder, "completions")
	for _, dir := range []string{man, completions} {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return err
		}
	}
	header := &doc.GenManHeader{Title: "DRIFTDRILL", Section: "1", Date: &date, Source: "driftdrill " + version, Manual: "driftdrill"}
	if err := doc.GenManTree(root, header, man); err != nil {
		return err
	}
	if err := root.GenBashCompletionFileV2(filepath.Join(completions, "driftdrill"), true); err != nil {
		return err
	}
	if err := root.GenZshCompletionFile(filepath.Join(completions, "_driftdrill")); err != nil {
		return err
	}
	return root.GenFishCompletionFile(filepath.Join(completions, "driftdrill.fish"), true)
}
