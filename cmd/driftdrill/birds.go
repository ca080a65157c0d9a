package main

import (
	"fmt"
	"io"
	"os"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"

	"github.com/spf13/cobra"
)

// newBirdsCommand lists, prints, checks and adds birds.
func newBirdsCommand() *cobra.Command {
	cmd := newCatalogueCommand("birds", "bird", `Birds are satellites with their transponders. Those in the program are invented;
your own are TOML files in a folder beside your settings, and come before one in the
program of the same name or catalogue number. "birds list" lists them all and says
where they lie, "birds print NAME" prints the file of one, a beginning for a bird of
your own, "birds check FILE" reads one, "birds add FILE" puts a copy into your folder:

  driftdrill birds print lark-1 >mine.toml
  driftdrill birds add mine.toml`,
		catalogue{list: birdTable, names: birdNames, text: func(name string) ([]byte, error) { return flock().Text(name) }})
	cmd.Short = "List your own birds and those in the program, print, check or add one"
	cmd.AddCommand(newBirdsCheckCommand(), newBirdsAddCommand(), newBirdsByHandCommand())
	return cmd
}

func newBirdsCheckCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "check FILE..",
		Short: "Read bird files and say what they hold, or what is wrong and where",
		Args:  cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, files []string) error {
			for _, file := range files {
				data, err := readPlanFile(cmd, file)
				if err != nil {
					return err
				}
				bird, err := sim.ParseBird(data, file)
				if err != nil {
					return usageError{err}
				}
				if err := tellBird(cmd.OutOrStdout(), file, &bird); err != nil {
					return err
				}
			}
			return nil
		},
	}
}

func newBirdsAddCommand() *cobra.Command {
	var replace bool
	cmd := &cobra.Command{
		Use:   "add FILE..",
		Short: "Put copies of bird files among your own birds",
		Long: `Add reads bird files and puts a copy of each, as it stands, into the folder of your
own birds, under the name of its bird. A bird that is there already stays as it is
unless you say --replace.`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, files []string) error {
			for _, file := range files {
				data, err := readPlanFile(cmd, file)
				if err != nil {
					return err
				}
				k, err := flock().Add(data, file, replace)
				switch {
				case trainer.InTheWay(err):
					return badInput("%w; --replace puts this one in its place", err)
				case err != nil:
					return usageError{err}
				}
				if err := tellBird(cmd.OutOrStdout(), k.File, &k.Bird); err != nil {
					return err
				}
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&replace, "replace", false, "overwrite a bird of the same name or number")
	return cmd
}

// mostPlanBytes is more than a bird file can have.
const mostPlanBytes = 1<<20 + 1

// readPlanFile reads a bird file, or standard input for -.
func readPlanFile(cmd *cobra.Command, file string) ([]byte, error) {
	in := cmd.InOrStdin()
	if file != "-" {
		f, err := os.Open(file)
		if err != nil {
			return nil, usageError{trainer.PlainFileError(err)}
		}
		defer f.Close()
		in = f
	}
	data, err := io.ReadAll(io.LimitReader(in, mostPlanBytes))
	if err != nil {
		return nil, usageError{trainer.PlainFileError(err)}
	}
	return data, nil
}

// tellBird says in a line for each transponder what a bird file holds.
func tellBird(w io.Writer, file string, b *sim.Bird) error {
	for i := range b.Transponders {
		t := &b.Transponders[i]
		what := "sum"
		if !t.Inverting {
			what = "downlink less uplink"
		}
		if _, err := fmt.Fprintf(w, "%s: %s, transponder %d of %d: %s up %s, %s down %s, %s, %s %.3f MHz\n", file, b.Name, i+1, len(b.Transponders),
			edges(t.UplinkLowHz, t.UplinkHighHz), t.UplinkSideband, edges(t.DownlinkLowHz, t.DownlinkHighHz), t.DownlinkSideband, kind(t), what, t.Constant()/1e6); err != nil {
			return err
		}
	}
	return nil
}

// birdTable lists all birds; of own files that cannot be taken it tells why.
func birdTable(cmd *cobra.Command) (*table, error) {
	birds := knownBirds(cmd)
	t := &table{columns: []column{{"bird", "bird"}, {"catalog", "number"}, {"transponder", "transponder"}, {"uplink_mhz", "uplink MHz"},
		{"downlink_mhz", "downlink MHz"}, {"kind", "kind"}, {"about", ""}, {"file", "where"}}}
	for i := range birds {
		b := &birds[i]
		where := cell{text: "in the program"}
		if b.File != "" {
			where = word(b.File)
		}
		if b.ByHand != nil {
			where = word("bands by hand")
		}
		for k := range b.Transponders {
			tr := &b.Transponders[k]
			t.rows = append(t.rows, []cell{word(b.Name), {value: b.Catalog}, {value: k + 1}, word(edges(tr.UplinkLowHz, tr.UplinkHighHz)),
				word(edges(tr.DownlinkLowHz, tr.DownlinkHighHz)), word(kind(tr)), word(b.About), where})
		}
	}
	return t, nil
}

// knownBirds reads all birds; of own files that cannot be taken it tells why.
func knownBirds(cmd *cobra.Command) []trainer.Known {
	all, broken := flock().Plans()
	for _, err := range broken {
		fmt.Fprintln(cmd.ErrOrStderr(), "driftdrill: left out:", err)
	}
	return all
}

// edges writes a passband in megahertz.
func edges(low, high float64) string { return fmt.Sprintf("%.3f-%.3f", low/1e6, high/1e6) }

func kind(t *sim.Transponder) string {
	if t.Inverting {
		return "inverting"
	}
	return "straight"
}
