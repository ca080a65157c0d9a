package main

import (
	"errors"
	"fmt"
	"net"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"time"

	"driftdrill/cmd/driftdrill/club"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/sim"

	"github.com/spf13/cobra"
)

// clubOptions are the options of a club night.
type clubOptions struct {
	night, addr, data, code, trainer string
}

func newClubCommand() *cobra.Command {
	var o clubOptions
	cmd := &cobra.Command{
		Use:   "club --night FILE",
		Short: "Serve a club night: everybody flies the same pass",
		Long: `Club serves one evening to the browsers and programs of a club: members join by
the code on the wall, fly the pass of the night file while the trainer has a
heat open, and send their run sheets; each is recomputed from its commands. The
wall at /wall shows who flies and, after a heat is closed, who held it best.

It answers on this machine alone unless --addr says otherwise. Ctrl-C ends it;
started again with the same night file it goes on where it was.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return o.serve(cmd) },
	}
	fl := cmd.Flags()
	fl.StringVar(&o.night, "night", "", "night `file`, TOML: what is flown")
	fl.StringVar(&o.addr, "addr", "127.0.0.1:8437", "`address` and port to answer on; 0.0.0.0:8437 lets the network in")
	fl.StringVar(&o.data, "data", "", "`folder` of the night book (the program's own if left out)")
	fl.StringVar(&o.code, "code", "", "members' join `code` (drawn if left out)")
	fl.StringVar(&o.trainer, "trainer-code", "", "trainer's `code` (drawn if left out)")
	return cmd
}

// serve runs the night until it is interrupted.
func (o *clubOptions) serve(cmd *cobra.Command) error {
	cfg, err := o.config(cmd)
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", o.addr)
	if err != nil {
		return badInput("--addr %s: %w", o.addr, err)
	}
	local, _ := l.Addr().(*net.TCPAddr) // what Listen gives for tcp
	cfg.Address = "http://" + shownAddress(local)
	server, err := club.New(cfg)
	if err != nil {
		return errors.Join(err, l.Close())
	}
	out := cmd.OutOrStdout()
	fmt.Fprintf(out, "%s\n\n  members   %s/   code  %s\n  wall      %s/wall\n  trainer   %s/trainer   code  %s\n\n", cfg.Night.Name, cfg.Address, cfg.Code,
		cfg.Address, cfg.Address, cfg.Trainer)
	if local == nil || !local.IP.IsLoopback() {
		fmt.Fprintln(cmd.ErrOrStderr(), "driftdrill: every machine on this network can reach this server, over plain HTTP; use it on a network that you trust, and end it after the evening")
	}
	ctx, stop := signal.NotifyContext(cmd.Context(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	err = server.Serve(ctx, l)
	return errors.Join(err, server.Close())
}

// config reads the night file and prepares everything that the server needs.
func (o *clubOptions) config(cmd *cobra.Command) (club.Config, error) {
	if o.night == "" {
		return club.Config{}, badInput("club needs --night FILE: what is flown")
	}
	data, err := os.ReadFile(o.night)
	if err != nil {
		return club.Config{}, usageError{trainer.PlainFileError(err)}
	}
	night, err := club.ParseNight(data, o.night)
	if err != nil {
		return club.Config{}, usageError{err}
	}
	cfg := club.Config{Night: night, Data: o.data, Code: o.code, Trainer: o.trainer, Next: nextOf, Program: program}
	if cfg.Data == "" {
		cfg.Data = filepath.Join(dataFolder(), "club")
	}
	if err := o.drawCodes(&cfg); err != nil {
		return cfg, err
	}
	fly, drill, err := nightFlight(cmd, &night, data, o.night)
	cfg.Fly, cfg.StepFree = fly, drill.StepFree
	return cfg, err
}

func (o *clubOptions) drawCodes(cfg *club.Config) (err error) {
	if cfg.Code == "" {
		if cfg.Code, err = club.NewCode(1); err != nil {
			return err
		}
	}
	if cfg.Trainer == "" {
		cfg.Trainer, err = club.NewCode(3)
	}
	return err
}

// nightFlight turns a night file into a flight for each seed. Files that it
// names lie beside it.
func nightFlight(cmd *cobra.Command, n *club.Night, data []byte, file string) (func(seed uint64) (sim.Setup, error), sim.Drill, error) {
	beside := func(name string) string {
		if name == "" || !trainer.IsFile(name) || filepath.IsAbs(name) {
			return name
		}
		return filepath.Join(filepath.Dir(file), name)
	}
	o := flightOptions{drill: beside(n.Drill), bird: beside(n.Bird), site: n.Place, from: n.From, pass: n.Pass}
	if n.Elements != "" {
		o.elements = []string{beside(n.Elements)}
	}
	drill, err := trainer.FindDrill(o.drill)
	if err != nil {
		return nil, drill, usageError{sim.FaultAt(data, file, "drill", "%v", err)}
	}
	if drill.Kind != "fly" || drill.Rule == "computer" {
		return nil, drill, usageError{sim.FaultAt(data, file, "drill", "%s leaves nothing to a hand that could be compared; take one that is flown by hand", drill.Name)}
	}
	f, err := o.read(cmd)
	if err != nil {
		return nil, drill, usageError{fmt.Errorf("%s: %w", file, err)}
	}
	return func(seed uint64) (sim.Setup, error) {
		g := f
		g.Seed = seed
		s, err := g.Prepare()
		if err != nil {
			return s, usageError{fmt.Errorf("%s: %w", file, err)}
		}
		return s, nil
	}, drill, nil
}

// shownAddress is where members find the server: its own address, or where it
// listens everywhere the first one of this machine that others can reach.
func shownAddress(a *net.TCPAddr) string {
	if a == nil || !a.IP.IsUnspecified() {
		return a.String()
	}
	found, _ := net.InterfaceAddrs() // none is as good as an error
	for _, f := range found {
		if n, ok := f.(*net.IPNet); ok && n.IP.To4() != nil && n.IP.IsGlobalUnicast() {
			return fmt.Sprintf("%s:%d", n.IP, a.Port)
		}
	}
	return fmt.Sprintf("127.0.0.1:%d", a.Port)
}

// nextOf is what a member practises next, from the bundled drills.
func nextOf(tried []scoring.Tried, skill *scoring.Skill, now time.Time) (scoring.Suggestion, bool) {
	drills, err := trainer.Drills()
	if err != nil {
		return scoring.Suggestion{}, false
	}
	return scoring.Next(drills, tried, skill, now)
}
