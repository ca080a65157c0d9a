package main

import (
	"fmt"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"

	"github.com/spf13/cobra"
)

// newDrillsCommand lists and prints the drills in the program.
func newDrillsCommand() *cobra.Command {
	return newCatalogueCommand("drills", "drill", `Drills are the exercises of the course, and First hold. "drills list" lists them,
"drills print NAME" prints the file of one, a beginning for a drill of your own:

  driftdrill drills print first-hold >mine.toml
  driftdrill rehearse --drill mine.toml`, drillTable)
}

// newBirdsCommand lists and prints the birds in the program.
func newBirdsCommand() *cobra.Command {
	return newCatalogueCommand("birds", "bird", `Birds are the invented satellites that the drills are flown on. "birds list" lists
them, "birds print NAME" prints the file of one, a beginning for a bird of your own:

  driftdrill birds print lark-1 >mine.toml
  driftdrill dial --bird mine.toml --elements mine.tle --site 50,8`, birdTable)
}

// newCatalogueCommand lists and prints what lies in a folder of the program.
func newCatalogueCommand(folder, what, long string, list func() (*table, error)) *cobra.Command {
	cmd := &cobra.Command{
		Use:   folder,
		Short: "List the " + folder + " in the program, or print one as a beginning for your own",
		Long:  long,
		Args:  cobra.NoArgs,
		RunE:  func(*cobra.Command, []string) error { return badInput("%s what? say list or print", folder) },
	}
	var form string
	all := &cobra.Command{
		Use:   "list",
		Short: "List the " + folder,
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			form, err := tableForm(cmd, form)
			if err != nil {
				return err
			}
			t, err := list()
			if err != nil {
				return err
			}
			return printTable(cmd.OutOrStdout(), form, t)
		},
	}
	all.Flags().StringVar(&form, "out", "", outHelp)
	one := &cobra.Command{
		Use:   "print NAME",
		Short: "Print the file of a " + what,
		Args:  cobra.ExactArgs(1),
		ValidArgsFunction: func(_ *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
			if len(args) > 0 {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			return beginning(trainer.Names(folder), begun), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			text, err := trainer.BundledText(what, folder, args[0])
			if err != nil {
				return usageError{err}
			}
			_, err = cmd.OutOrStdout().Write(text)
			return err
		},
	}
	cmd.AddCommand(all, one)
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

func birdTable() (*table, error) {
	birds, err := trainer.Birds()
	t := &table{columns: []column{{"bird", "bird"}, {"catalog", "number"}, {"transponder", "transponder"}, {"uplink_mhz", "uplink MHz"},
		{"downlink_mhz", "downlink MHz"}, {"kind", "kind"}, {"about", ""}}}
	for i := range birds {
		b := &birds[i]
		for k := range b.Transponders {
			tr := &b.Transponders[k]
			t.rows = append(t.rows, []cell{word(b.Name), {value: b.Catalog}, {value: k + 1}, word(edges(tr.UplinkLowHz, tr.UplinkHighHz)),
				word(edges(tr.DownlinkLowHz, tr.DownlinkHighHz)), word(kind(tr)), word(b.About)})
		}
	}
	return t, err
}

// edges writes a passband in megahertz.
func edges(low, high float64) string { return fmt.Sprintf("%.3f-%.3f", low/1e6, high/1e6) }

func kind(t *sim.Transponder) string {
	if t.Inverting {
		return "inverting"
	}
	return "straight"
}
