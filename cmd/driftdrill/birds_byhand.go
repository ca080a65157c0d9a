package main

import (
	"fmt"
	"strconv"
	"strings"

	"driftdrill/cmd/driftdrill/trainer"

	"github.com/spf13/cobra"
)

// newBirdsByHandCommand chooses bands for a bird that nobody has the plan of.
func newBirdsByHandCommand() *cobra.Command {
	var up, down float64
	var straight, forget bool
	cmd := &cobra.Command{
		Use:   "by-hand BIRD --uplink MHZ --downlink MHZ [--straight]",
		Short: "Choose the bands of a bird that has no plan yet, or forget them",
		Long: `By-hand keeps two frequencies, the middles of uplink and downlink at the satellite,
for a bird of your elements that has no plan. It is flown with them, and the run's
sheet says so. As soon as you add a plan of that bird the plan is taken. BIRD is
its name or catalogue number in the elements. A passband is taken to be 40 kHz wide.

  driftdrill birds by-hand KNOT-5 --uplink 435.140 --downlink 145.930`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if forget {
				return forgetByHand(cmd, args[0])
			}
			if up == 0 || down == 0 {
				return badInput("which bands? give --uplink and --downlink in MHz, the middles of both passbands at the satellite")
			}
			b := trainer.ByHand{Name: args[0], UplinkHz: up * 1e6, DownlinkHz: down * 1e6, Inverting: !straight}
			b.Name, b.Catalog = nameInElements(cmd, args[0])
			if all, _ := flock().All(); trainer.PlanNamed(all, b.Name, b.Catalog) != nil {
				return badInput("%s has a plan already, which is taken: see `driftdrill birds list`", b.Name)
			}
			if err := flock().KeepByHand(b); err != nil {
				return usageError{err}
			}
			_, err := fmt.Fprintf(cmd.OutOrStdout(), "%s: %s, chosen by hand\n", b.Name, b.Words())
			return err
		},
	}
	fl := cmd.Flags()
	fl.Float64Var(&up, "uplink", 0, "middle of the uplink, `MHz`")
	fl.Float64Var(&down, "downlink", 0, "middle of the downlink, `MHz`")
	fl.BoolVar(&straight, "straight", false, "the transponder does not invert")
	fl.BoolVar(&forget, "forget", false, "forget the bands of this bird")
	return cmd
}

func forgetByHand(cmd *cobra.Command, name string) error {
	number, _ := strconv.Atoi(name)
	was, err := flock().ForgetByHand(name, number)
	switch {
	case err != nil:
		return usageError{err}
	case !was:
		return badInput("no bands were chosen by hand for %s", name)
	}
	_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s: bands forgotten\n", name)
	return err
}

// nameInElements finds what a bird is called in the usual elements; a bird that
// is not among them is called as it was typed.
func nameInElements(cmd *cobra.Command, name string) (string, int) {
	s := source{birds: []string{name}}
	if birds, err := s.load(cmd); err == nil && len(birds) == 1 {
		return birds[0].Elements.Label(), birds[0].Elements.Catalog
	}
	number, err := strconv.Atoi(strings.TrimSpace(name))
	if err != nil || number < 0 {
		number = 0
	}
	return name, number
}
