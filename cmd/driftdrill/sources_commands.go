package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"
	"driftdrill/sim/card"

	"github.com/spf13/cobra"
)

func newElementsSourcesCommand() *cobra.Command {
	var form string
	cmd := &cobra.Command{
		Use:   "sources",
		Short: "List your sources of elements, what they hold and when they were asked",
		Long: `Sources lists the files and addresses that your birds come from. Every command that
is given no --elements takes the youngest set of each bird from all of them, and so
does the window. Addresses are asked by "elements refresh", and by the window while
it is open, once a day at the most.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			form, err := tableForm(cmd, form)
			if err != nil {
				return err
			}
			all, err := mySky().Sources(cmd.Context())
			if err != nil {
				return usageError{err}
			}
			return printTable(cmd.OutOrStdout(), form, sourceTable(all, time.Now()))
		},
	}
	cmd.Flags().StringVar(&form, "out", "", outHelp)
	return cmd
}

func sourceTable(all []trainer.Source, now time.Time) *table {
	t := &table{columns: []column{{"source", "source"}, {"birds", "birds"}, {"youngest_days", "youngest, days"}, {"asked_utc", "asked"}, {"fault", "what is wrong"}}}
	for i := range all {
		s := &all[i]
		row := []cell{word(s.Place), {value: len(s.Sets)}, {}, {}, word(s.Says)}
		for k, e := range s.Sets {
			if age := now.Sub(e.Epoch).Hours() / 24; k == 0 || age < youngest(s.Sets[:k], now) {
				row[2] = fixed(age, 3, 1)
			}
		}
		if !s.Asked.IsZero() {
			row[3] = cell{stamp(s.Asked), clock(s.Asked, false)}
		}
		if s.Err != nil {
			row[4] = word(s.Err.Error())
		}
		t.rows = append(t.rows, row)
	}
	return t
}

// youngest is the least age of some sets, days.
func youngest(sets []orbit.Elements, now time.Time) float64 {
	least := math.Inf(1)
	for _, e := range sets {
		least = min(least, now.Sub(e.Epoch).Hours()/24)
	}
	return least
}

func newElementsAddCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "add FILE|URL..",
		Short: "Take files or addresses in among your sources of elements",
		Args:  cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, places []string) error {
			for _, place := range places {
				says, err := mySky().Add(cmd.Context(), place)
				if err != nil && trainer.IsURL(place) {
					return err
				}
				if err != nil {
					return usageError{err}
				}
				if _, err := fmt.Fprintln(cmd.OutOrStdout(), says); err != nil {
					return err
				}
			}
			return nil
		},
	}
}

func newElementsDropCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "drop FILE|URL..",
		Short: "Take files or addresses out of your sources; a file stays where it is",
		Args:  cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, places []string) error {
			for _, place := range places {
				if err := mySky().Drop(place); err != nil {
					return usageError{err}
				}
				if _, err := fmt.Fprintf(cmd.OutOrStdout(), "%s is no longer one of your sources\n", trainer.ShortSource(place)); err != nil {
					return err
				}
			}
			return nil
		},
	}
}

func newElementsRefreshCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "refresh",
		Short: "Ask the addresses among your sources for younger elements",
		Long: `Refresh asks each address for what is newer than what you have. One that was asked
less than two hours ago is left alone, or less than ten minutes ago where nothing
came of it, and so is one whose server asked to be. What cannot be read is not
taken: what you had stays.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			got, err := mySky().Refresh(cmd.Context(), true)
			if err != nil {
				return err
			}
			if len(got) == 0 {
				_, err := fmt.Fprintln(cmd.OutOrStdout(), "none of your sources is an address; `driftdrill elements add URL` takes one in")
				return err
			}
			failed := 0
			for _, r := range got {
				out := cmd.OutOrStdout()
				if r.Err != nil {
					failed++
					out = cmd.ErrOrStderr()
				}
				fmt.Fprintf(out, "%s: %s\n", trainer.ShortSource(r.Place), strings.TrimPrefix(r.Says, r.Place+": "))
			}
			if failed > 0 {
				return fmt.Errorf("%d of %d addresses gave nothing; what you had from them stays", failed, len(got))
			}
			return nil
		},
	}
}

func newElementsMineCommand() *cobra.Command {
	var form, site string
	cmd := &cobra.Command{
		Use:   "mine [--site PLACE]",
		Short: "List the birds of your sources: how old their elements are, and what that costs",
		Long: `Mine lists each bird once, with the youngest elements that any of your sources has.
What their age costs is by how many hertz your voice can be off at the top of its
next pass, where its plan is known, and by how many seconds the bird can be early
or late.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			form, err := tableForm(cmd, form)
			if err != nil {
				return err
			}
			place := trainer.HomeSite
			if site != "" {
				if place, _, err = parseSite("--site", site); err != nil {
					return err
				}
			}
			return printMine(cmd, form, place)
		},
	}
	cmd.Flags().StringVar(&form, "out", "", outHelp)
	cmd.Flags().StringVar(&site, "site", "", "`place`: LAT,LON[,ALT_M], a locator, or a TOML site file (Quern Hill, 50,8,150, if left out)")
	return cmd
}

func printMine(cmd *cobra.Command, form string, site orbit.Site) error {
	s := &source{}
	if _, err := s.sets(cmd); err != nil {
		return err
	}
	if s.bundled {
		return badInput("you have no sources yet; `driftdrill elements add FILE|URL` takes one in")
	}
	sky, err := mySky().Kept()
	if err != nil {
		return usageError{err}
	}
	plans, now := knownBirds(cmd), time.Now()
	t := &table{columns: []column{{"bird", "bird"}, {"catalog", "number"}, {"age_days", "age days"}, {"off_hz", "off Hz"}, {"late_s", "off s"},
		{"favourite", "favourite"}, {"source", "from"}, {"older_in", "older in"}}}
	for _, b := range s.sky {
		age := card.AgeOf(b.Elements, now, now)
		row := []cell{word(b.Label()), {value: b.Catalog}, fixed(now.Sub(b.Epoch).Hours()/24, 3, 1), {}, fixed(age.LateS(b.Elements), 2, 1), word(""), word(trainer.ShortSource(b.From)), word("")}
		if k := trainer.PlanOf(plans, b.Elements); k != nil {
			if hz, err := card.AgeErrorHz(card.Bird{Elements: b.Elements, Plan: &k.Bird}, site, age, now); err == nil {
				row[3] = fixed(hz, 1, 0)
			}
		}
		if sky.Likes(b.Elements) {
			row[5] = word("yes")
		}
		var also []string
		for _, place := range b.Also {
			also = append(also, trainer.ShortSource(place))
		}
		row[7] = word(strings.Join(also, ", "))
		t.rows = append(t.rows, row)
	}
	return printTable(cmd.OutOrStdout(), form, t)
}

func newElementsFavourCommand() *cobra.Command {
	var not bool
	cmd := &cobra.Command{
		Use:   "favour BIRD [--not]",
		Short: "Make a bird of your sources a favourite, or no longer one",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, catalog := nameInElements(cmd, args[0])
			if catalog == 0 {
				catalog, _ = strconv.Atoi(args[0])
			}
			if err := mySky().Favour(name, catalog, !not); err != nil {
				return usageError{err}
			}
			word := "is a favourite"
			if not {
				word = "is no longer a favourite"
			}
			_, err := fmt.Fprintf(cmd.OutOrStdout(), "%s %s\n", name, word)
			return err
		},
	}
	cmd.Flags().BoolVar(&not, "not", false, "take it back")
	return cmd
}
