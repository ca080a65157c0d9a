package main

import (
	"fmt"
	"io"
	"time"

	"driftdrill/orbit"

	"github.com/spf13/cobra"
)

// skyRequest is what `sky` was asked for.
type skyRequest struct {
	source
	site, from, form string
	length, step     time.Duration
	ut1              float64
	local            bool
}

// mostSkyRows bounds a table: 115 days of seconds.
const mostSkyRows = 10_000_000

func newSkyCommand() *cobra.Command {
	var r skyRequest
	cmd := &cobra.Command{
		Use:   "sky --elements FILE --site PLACE [--bird BIRD] [--from TIME] [--for 15m] [--step 10s]",
		Short: "Tell where a bird stands in the sky and how fast it closes",
		Long: `Sky prints azimuth, elevation, range and range rate of one bird over a site, and
whether the Sun shines on it. Range rate is positive while the bird recedes.
No refraction, no light time; the shadow is the Earth's cone at half light.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return r.run(cmd) },
	}
	r.source.flags(cmd)
	fl := cmd.Flags()
	fl.StringVar(&r.site, "site", "", "`place`: LAT,LON[,ALT_M], a locator, or a TOML site file")
	fl.StringVar(&r.from, "from", "", "first `time`, RFC 3339 (now if left out)")
	spanVar(fl, &r.length, "for", 15*time.Minute, "how long, such as 90s, 15m or 24h")
	spanVar(fl, &r.step, "step", 10*time.Second, "time between rows")
	fl.Float64Var(&r.ut1, "ut1-utc", 0, "UT1-UTC in `seconds`")
	fl.StringVar(&r.form, "out", "", outHelp)
	fl.BoolVar(&r.local, "local", false, "local time in the text form")
	return cmd
}

func (r *skyRequest) run(cmd *cobra.Command) error {
	var err error
	if r.form, err = tableForm(cmd, r.form); err != nil {
		return err
	}
	site, _, err := parseSite("--site", r.site)
	if err != nil {
		return err
	}
	from, err := parseTime("--from", r.from)
	if err != nil {
		return err
	}
	switch {
	case r.step <= 0:
		return badInput("--step %s: must be above zero", r.step)
	case r.length < 0:
		return badInput("--for %s: must not be below zero", r.length)
	case r.length/r.step >= mostSkyRows:
		return badInput("--for %s --step %s: that is more than %d rows; take a longer step", r.length, r.step, mostSkyRows)
	case !(r.ut1 >= -1 && r.ut1 <= 1):
		return badInput("--ut1-utc %g: UT1-UTC stays within one second", r.ut1)
	}
	birds, err := r.load(cmd)
	if err != nil {
		return err
	}
	if len(birds) != 1 {
		var sets []orbit.Elements
		for _, b := range birds {
			sets = append(sets, b.Elements)
		}
		return badInput("sky shows one bird, but there are %s; pick one with --bird", orbit.ListBirds(sets))
	}
	bird, err := orbit.NewPropagator(birds[0].Elements)
	if err != nil {
		return usageError{err}
	}
	from = r.start(r.from, from, birds)
	warnOfAge(cmd.ErrOrStderr(), birds[0], site, from, from.Add(r.length))
	if err := printSky(cmd.OutOrStdout(), orbit.NewObserver(bird, site, r.ut1), from, r); err != nil {
		return err
	}
	return r.tellSource(cmd, r.form)
}

// printSky looks at each step; where the elements break down the rows end.
func printSky(w io.Writer, o *orbit.Observer, from time.Time, r *skyRequest) error {
	p := newTablePrinter(w, r.form, &table{columns: []column{
		{"utc", "time"}, {"azimuth_deg", "azimuth"}, {"elevation_deg", "elevation"},
		{"range_km", "range km"}, {"range_rate_km_s", "range rate km/s"}, {"sunlit", "sunlit"},
	}})
	var broken error
	for i := 0; time.Duration(i)*r.step <= r.length; i++ {
		at := from.Add(time.Duration(i) * r.step)
		look, position, err := o.LookTEME(at)
		if err != nil {
			broken = fmt.Errorf("the rows end before %s: %w", stamp(at), err)
			break
		}
		lit := orbit.Sunlit(position, at)
		if err := p.add([]cell{
			{stamp(at), clock(at, r.local)},
			fixed(look.AzimuthDeg, 6, 2), fixed(look.ElevationDeg, 6, 2),
			fixed(look.RangeKm, 6, 1), fixed(look.RangeRateKmS, 9, 4),
			{lit, yesNo(lit)},
		}); err != nil {
			return err
		}
	}
	if err := p.close(); err != nil {
		return err
	}
	return broken
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}
