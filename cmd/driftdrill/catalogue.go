package main

import (
	"driftdrill/cmd/driftdrill/trainer"

	"github.com/spf13/cobra"
)

// newDrillsCommand lists and prints the drills in the program.
func newDrillsCommand() *cobra.Command {
	return newCatalogueCommand("drills", "drill", `Drills are the exercises of the course, and First hold. "drills list" lists them,
"drills print NAME" prints the file of one, a beginning for a drill of your own:

  driftdrill drills print first-hold >mine.toml
  driftdrill rehearse --drill mine.toml`, catalogue{
		list: func(*cobra.Command) (*table, error) { return drillTable() }, names: drillNames, text: trainer.DrillText})
}

// catalogue is what can be listed and printed.
type catalogue struct {
	list  func(*cobra.Command) (*table, error)
	names func() []string                   // for completion
	text  func(name string) ([]byte, error) // the file of one
}

// newCatalogueCommand lists and prints what lies in a folder of the program.
func newCatalogueCommand(folder, what, long string, all catalogue) *cobra.Command {
	cmd := &cobra.Command{
		Use:   folder,
		Short: "List the " + folder + " in the program, or print one as a beginning for your own",
		Long:  long,
		Args:  cobra.NoArgs,
		RunE:  func(*cobra.Command, []string) error { return badInput("%s what? say list or print", folder) },
	}
	var form string
	list := &cobra.Command{
		Use:   "list",
		Short: "List the " + folder,
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			form, err := tableForm(cmd, form)
			if err != nil {
				return err
			}
			t, err := all.list(cmd)
			if err != nil {
				return err
			}
			return printTable(cmd.OutOrStdout(), form, t)
		},
	}
	list.Flags().StringVar(&form, "out", "", outHelp)
	one := &cobra.Command{
		Use:   "print NAME",
		Short: "Print the file of a " + what,
		Args:  cobra.ExactArgs(1),
		ValidArgsFunction: func(_ *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
			if len(args) > 0 {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			return beginning(all.names(), begun), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			text, err := all.text(args[0])
			if err != nil {
				return usageError{err}
			}
			_, err = cmd.OutOrStdout().Write(text)
			return err
		},
	}
	cmd.AddCommand(list, one)
	return cmd
}

func drillTable() (*table, error) {
	drills, err := trainer.Drills()
	t := &table{columns: []column{{"number", "no."}, {"drill", "drill"}, {"title", "title"}, {"bird", "bird"}, {"turns", "you turn"}, {"goal", "goal"}}}
	for i := range drills {
		d := &drills[i]
		number := cell{}
		if d.Number > 0 {
			number.value = d.Number
		}
		t.rows = append(t.rows, []cell{number, word(d.Name), word(d.Title), word(d.Bird), word(d.Rule), word(d.Goal.Text)})
	}
	return t, err
}
