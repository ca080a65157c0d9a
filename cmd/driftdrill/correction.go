package main

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/cmd/driftdrill/trainer/onair"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// newCorrectionCommand shows and forgets what recordings told of the oscillators.
func newCorrectionCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "correction",
		Short: "What your recordings and your own notes tell of the oscillators of bird and radios: list, note, forget, station",
		Long: `A recording of a pass can tell by how much your return lies off what the elements
say: the oscillators of the bird and of your radios together. ` + "`driftdrill recording\nFILE ... --keep-correction`" + ` keeps it. What you read from your own dial is noted by hand. From then on it is in the dial cards of that
bird, and in the dials with which its runs start. The last three are averaged.
Each transponder of a bird and each of your stations has corrections of its own.`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			return badInput("correction what? say list, note, forget or station")
		},
	}
	cmd.AddCommand(newCorrectionListCommand(), newCorrectionNoteCommand(), newCorrectionForgetCommand(), newCorrectionStationCommand())
	return cmd
}

func newCorrectionListCommand() *cobra.Command {
	var form string
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List the corrections that were kept, and what is in force",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			form, err := tableForm(cmd, form)
			if err != nil {
				return err
			}
			all, err := disk().Corrections()
			if err != nil {
				return usageError{err}
			}
			return printTable(cmd.OutOrStdout(), form, correctionTable(all))
		},
	}
	cmd.Flags().StringVar(&form, "out", "", outHelp)
	return cmd
}

// correctionTable has a row for each recording; what is in force, and how far
// the recordings differ, stands in each row of a bird.
func correctionTable(all []trainer.Correction) *table {
	t := &table{columns: []column{{"bird", "bird"}, {"transponder", ""}, {"station", "station"}, {"heard_utc", "heard"}, {"file", "file"},
		{"error_hz", "error Hz"}, {"sd_hz", "± Hz"}, {"in_force_hz", "in force Hz"}, {"in_force_of", "of passes"}, {"spread_hz", "spread Hz"}}}
	for _, c := range all {
		f, _ := trainer.Corrected(all, c.Bird, c.Transponder, c.Station)
		t.rows = append(t.rows, []cell{word(c.Bird), {value: c.Transponder}, word(c.Station), {stamp(c.Heard), clock(c.Heard, false)}, fromWhat(&c),
			signed(c.ErrorHz), fixed(c.SDHz, 1, 0), signed(f.ErrorHz), {value: f.Passes}, fixed(f.SpreadHz, 1, 0)})
	}
	return t
}

// fromWhat is the recording, or that there was none.
func fromWhat(c *trainer.Correction) cell {
	if c.ByHand() {
		return cell{"", "noted by hand"}
	}
	return word(c.File)
}

// signed is a number of hertz with its sign.
func signed(hz float64) cell { return cell{fixed(hz, 1, 0).value, fmt.Sprintf("%+.0f", hz)} }

func newCorrectionNoteCommand() *cobra.Command {
	n := noting{at: whichCorrections{transponder: 1}}
	cmd := &cobra.Command{
		Use:   "note BIRD HZ",
		Short: "Note by hand how far above the dial card your dial stood where you sounded true",
		Long: `On the air, tune yourself true and read the dial that you turn: HZ is by how much it
stands above the dial card, with - where it stands below. The rule says which dial
that is; left out, it is that of the higher band.`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 2 {
				return badInput("correction note needs a bird and hertz, like `driftdrill correction note LARK-1 640`")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return n.run(cmd, args[0], args[1]) },
	}
	cmd.Flags().StringVar(&n.rule, "rule", "", "the dial that you turn: uplink, downlink or both")
	cmd.Flags().IntVar(&n.at.transponder, "transponder", 1, "which transponder of the bird, counted from 1")
	stationFlag(cmd.Flags(), &n.at.station)
	return cmd
}

// noting is a correction that is noted by hand.
type noting struct {
	rule string
	at   whichCorrections
}

// run keeps the correction, and says what dial cards have from now on.
func (n *noting) run(cmd *cobra.Command, bird, dial string) error {
	known, err := flock().Find(bird)
	if err != nil {
		return usageError{err}
	}
	station, err := theStation(n.at.station)
	if err != nil {
		return err
	}
	if err := hasTransponder(&known.Bird, n.at.transponder); err != nil {
		return err
	}
	link := &known.Bird.Transponders[n.at.transponder-1]
	if n.rule == "" {
		n.rule = link.HandRule()
	}
	if err := oneOf("--rule", n.rule, "uplink", "downlink", "both"); err != nil {
		return err
	}
	hz, err := strconv.ParseFloat(dial, 64)
	if err != nil {
		return badInput("%s: give hertz, like 640 or -- -120", dial)
	}
	c := trainer.Noted(&known.Bird, n.at.transponder, n.rule, hz, time.Now())
	c.Station = station
	if err := disk().KeepCorrection(c); err != nil {
		return usageError{err}
	}
	all, err := disk().Corrections()
	if err != nil {
		return err
	}
	f, _ := trainer.Corrected(all, c.Bird, c.Transponder, station)
	fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: noted: with %s at %s your dial stands %+.0f Hz off the card, %s; its dial cards and runs have it from now on\n",
		c.Bird, trainer.StationWords(station), f.DialHz(link, n.rule), f.Source())
	return nil
}

func newCorrectionForgetCommand() *cobra.Command {
	var at whichCorrections
	cmd := &cobra.Command{
		Use:   "forget BIRD",
		Short: "Forget the corrections of a bird at the station",
		Args: func(_ *cobra.Command, birds []string) error {
			if len(birds) != 1 {
				return badInput("correction forget needs one bird, not %d", len(birds))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, birds []string) error {
			station, err := theStation(at.station)
			if err != nil {
				return err
			}
			if at.transponder < 0 {
				return badInput("--transponder %d: transponders are counted from 1", at.transponder)
			}
			n, err := disk().ForgetCorrections(birds[0], at.transponder, station)
			if err != nil {
				return usageError{err}
			}
			if n == 0 {
				return badInput("no such correction of %s was kept at %s; `driftdrill correction list` shows those that were", birds[0], trainer.StationWords(station))
			}
			fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: %d of %s at %s forgotten\n", n, birds[0], trainer.StationWords(station))
			return nil
		},
	}
	cmd.Flags().IntVar(&at.transponder, "transponder", 0, "which transponder alone, counted from 1 (all if left out)")
	stationFlag(cmd.Flags(), &at.station)
	return cmd
}

// whichCorrections are those of a transponder at a station.
type whichCorrections struct {
	transponder int
	station     string // "" = as the settings say
}

func stationFlag(fl *pflag.FlagSet, station *string) {
	fl.StringVar(station, "station", "", "`name` of your station, place and radios (as `driftdrill correction station` says if left out)")
}

// theStation is the one that was given, else that of the settings.
func theStation(given string) (string, error) {
	if given == "" {
		name, err := disk().Station()
		if err != nil {
			return "", usageError{err}
		}
		return name, nil
	}
	name, err := trainer.CheckStation(given)
	if err != nil {
		return "", badInput("--station: %w", err)
	}
	return name, nil
}

func newCorrectionStationCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "station [NAME]",
		Short: "Say at which station you are, or which there are: each has corrections of its own",
		Long: `A station is a place with its radios, like "hill, the small radio". Each has
corrections of its own. With a name this one is yours from now on, in the window
too; without one it lists those that there are. "` + trainer.UsualStation + `" is the one without a name.`,
		Args: func(_ *cobra.Command, names []string) error {
			if len(names) > 1 {
				return badInput("correction station needs one name, not %d: put it in quotes", len(names))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, names []string) error {
			d := disk()
			if len(names) == 1 {
				name, err := trainer.CheckStation(names[0])
				if err != nil {
					return usageError{err}
				}
				if err := d.UseStation(name); err != nil {
					return usageError{err}
				}
				fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: you are at %s now; dial cards and runs have its corrections\n", trainer.StationWords(name))
				return nil
			}
			at, err := theStation("")
			if err != nil {
				return err
			}
			all, err := d.Corrections()
			if err != nil {
				return usageError{err}
			}
			named, err := d.NamedStations()
			if err != nil {
				return usageError{err}
			}
			for _, name := range trainer.Stations(all, append(named, at)...) {
				mark := " "
				if strings.EqualFold(name, at) {
					mark = "*"
				}
				fmt.Fprintln(cmd.OutOrStdout(), mark, trainer.StationWords(name))
			}
			return nil
		},
	}
}

// keepCorrection keeps what a recording tells of the oscillators.
func (r *recordingRequest) keepCorrection(cmd *cobra.Command, h *onair.Contact) error {
	c, err := h.Correction(onair.CommandHints)
	if err != nil {
		return badInput("%s: %w", h.File, err)
	}
	if c.Station, err = theStation(r.station); err != nil {
		return err
	}
	if err := disk().KeepCorrection(c); err != nil {
		return err
	}
	all, err := disk().Corrections()
	if err != nil {
		return err
	}
	f, _ := trainer.Corrected(all, c.Bird, c.Transponder, c.Station)
	fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: kept: %s is off by %+.0f Hz at %s, %s; its dial cards and runs have it from now on\n", c.Bird, f.ErrorHz, trainer.StationWords(c.Station), f.Source())
	return nil
}
