package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"sync"
	"time"

	"driftdrill/cmd/driftdrill/radio"

	"github.com/spf13/cobra"
)

// radioCaution stands before everything else that has to do with a radio.
const radioCaution = "caution: transmitter off, dummy load in place of the antenna, microphone unplugged. This program only reads the dial: it never keys and never tunes."

func newRadioCommand() *cobra.Command {
	cmd := &cobra.Command{Use: "radio", Short: "Your own radio's dial, read over the network", Args: cobra.NoArgs, RunE: func(*cobra.Command, []string) error { return badInput("radio what? say check") }}
	cmd.AddCommand(newRadioCheckCommand())
	return cmd
}

// radioCheckOptions are the flags of radio check.
type radioCheckOptions struct {
	at, form string
	length   time.Duration
}

func newRadioCheckCommand() *cobra.Command {
	var o radioCheckOptions
	cmd := &cobra.Command{
		Use:   "check",
		Short: "Tell what a radio's dial says through the rig-control daemon",
		Long: "Asks the rig-control daemon (rigctld) at an address for the radio's name, frequency\n" +
			"and mode, and nothing else, up to 30 times a second, and tells how fast it answers.\n" +
			"Turn the dial meanwhile: it tells how far, and the smallest step that it has seen.",
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return o.run(cmd) },
	}
	fl := cmd.Flags()
	fl.StringVar(&o.at, "at", "localhost:"+radio.DefaultPort, "`address` of the daemon, HOST:PORT")
	spanVar(fl, &o.length, "for", 3*time.Second, "`how long` to listen, from 1s to 10m")
	fl.StringVar(&o.form, "out", "", outHelp)
	return cmd
}

func (o *radioCheckOptions) run(cmd *cobra.Command) error {
	address, err := radio.Address(o.at)
	if err != nil {
		return badInput("--at: %w", err)
	}
	if o.length < time.Second || o.length > 10*time.Minute {
		return badInput("--for %v: from 1s to 10m", o.length)
	}
	form, err := tableForm(cmd, o.form)
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(cmd.Context(), os.Interrupt)
	defer stop()
	fmt.Fprintln(cmd.ErrOrStderr(), radioCaution)
	found, err := checkRadio(ctx, address, o.length)
	if err != nil {
		return fmt.Errorf("radio at %s: %w", address, err)
	}
	if err := printTable(cmd.OutOrStdout(), form, found.table()); err != nil {
		return err
	}
	found.advise(cmd.ErrOrStderr())
	return nil
}

// radioFound is what a radio's dial said for some time.
type radioFound struct {
	address string
	state   radio.State
	length  time.Duration
	delays  []time.Duration // from request to answer, sorted
	moved   int64           // hertz, without sign
	stepHz  int64           // the largest that all movements are whole multiples of; 0 = none was seen
}

// radioEar hears a radio's readings.
type radioEar struct {
	mu    sync.Mutex
	found radioFound
	last  int64
	began time.Time
	lost  bool
	first chan struct{} // closed at the first reading
	over  chan struct{} // closed at a loss
}

// hear takes a reading; the radio's goroutine calls it.
func (r *radioEar) hear(e radio.Event) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if e.Hz == 0 {
		if !r.lost {
			r.lost = true
			close(r.over)
		}
		return
	}
	if r.last == 0 {
		r.began = time.Now()
		close(r.first)
	}
	if by := max(e.Hz-r.last, r.last-e.Hz); r.last != 0 && by != 0 {
		r.found.moved += by
		r.found.stepHz = commonStep(r.found.stepHz, by)
	}
	r.last = e.Hz
	r.found.delays = append(r.found.delays, e.Delay)
}

// commonStep is the greatest common divisor.
func commonStep(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// checkRadio listens to a radio for so long from its first reading on.
func checkRadio(ctx context.Context, address string, length time.Duration) (radioFound, error) {
	r := &radioEar{first: make(chan struct{}), over: make(chan struct{})}
	w := radio.Watch(address)
	defer w.Close()
	leave := w.Follow(r.hear)
	for waiting := true; waiting; {
		select {
		case <-r.first:
			waiting = false
		case <-ctx.Done():
			return radioFound{}, ctx.Err()
		case <-time.After(20 * time.Millisecond):
			if err := w.State().Trouble; err != nil {
				return radioFound{}, err
			}
		}
	}
	select {
	case <-time.After(length):
	case <-ctx.Done():
	case <-r.over:
		return radioFound{}, fmt.Errorf("it was lost while it was read: %w", w.State().Trouble)
	}
	leave()
	r.mu.Lock()
	defer r.mu.Unlock()
	r.found.address, r.found.state, r.found.length = address, w.State(), time.Since(r.began)
	slices.Sort(r.found.delays)
	return r.found, nil
}

// table is one row.
func (f *radioFound) table() *table {
	ms := func(d time.Duration) cell { return fixed(d.Seconds()*1000, 3, 1) }
	step := cell{nil, "not turned"}
	if f.stepHz > 0 {
		step = cell{f.stepHz, ""}
	}
	hz := f.state.Hz
	return &table{
		columns: []column{{"at", "at"}, {"name", "name"}, {"frequency_hz", "MHz"}, {"mode", "mode"}, {"passband_hz", "filter Hz"}, {"readings", "readings"},
			{"readings_per_s", "a second"}, {"delay_median_ms", "median ms"}, {"delay_worst_ms", "worst ms"}, {"moved_hz", "turned Hz"}, {"step_hz", "step Hz"}},
		rows: [][]cell{{word(f.address), word(f.state.Name), {hz, fmt.Sprintf("%d.%03d %03d", hz/1e6, hz/1e3%1e3, hz%1e3)}, word(f.state.Mode.Name), {f.state.Mode.PassbandHz, ""},
			{len(f.delays), ""}, fixed(float64(len(f.delays))/f.length.Seconds(), 2, 1), ms(f.delays[len(f.delays)/2]), ms(f.delays[len(f.delays)-1]),
			{f.moved, ""}, step}},
	}
}

// remembered tells that most answers came from the daemon's memory: at once,
// while now and then one had to wait for the radio.
func (f *radioFound) remembered() bool {
	n := len(f.delays)
	return n >= 10 && f.delays[n*3/4] < 2*time.Millisecond && f.delays[n-1] > 8*time.Millisecond
}

// advise says what would make the dial quicker.
func (f *radioFound) advise(w io.Writer) {
	if f.remembered() {
		fmt.Fprintln(w, "most answers come from the daemon's memory, which it renews twice a second: start it with -C cache_timeout=0 and a turn is seen at once")
	}
}
