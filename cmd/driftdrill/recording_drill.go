package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer/onair"
	"driftdrill/sim"

	"github.com/spf13/cobra"
)

// stretchOf returns the stretch to fly again: as asked for, or the minute
// round the worst moment.
func (r *recordingRequest) stretchOf(h *onair.Contact) (from, to float64, err error) {
	if r.stretch != "" {
		a, b, ok := strings.Cut(r.stretch, "-")
		from, errA := strconv.ParseFloat(strings.TrimSpace(a), 64)
		to, errB := strconv.ParseFloat(strings.TrimSpace(b), 64)
		if !ok || errA != nil || errB != nil || !(to-from >= onair.LeastS) || from < 0 || from >= h.Result.LengthS {
			return 0, 0, badInput("--stretch %s: give two times in seconds of the recording, at least 5 s apart, such as 120-180", r.stretch)
		}
		return from, math.Min(to, h.Result.LengthS), nil
	}
	all := h.Stretches()
	if len(all) == 0 {
		return 0, 0, usageError{fmt.Errorf("%w; give another with --stretch", onair.ErrNotKeyed)}
	}
	return all[0][0], all[0][1], nil
}

// makeDrill writes a drill that flies a stretch of the recording's pass again
// and says how to fly it.
func (r *recordingRequest) makeDrill(cmd *cobra.Command, h *onair.Contact) error {
	from, to, err := r.stretchOf(h)
	if err != nil {
		return err
	}
	text, err := h.DrillText(r.birds[0], r.stepHz, from, to)
	if err != nil {
		return usageError{fmt.Errorf("%w; give another with --stretch", err)}
	}
	if _, err := sim.ParseDrill([]byte(text), r.drill); err != nil {
		return fmt.Errorf("the drill cannot be flown: %w", err)
	}
	if err := outfile.WriteWith(r.drill, func(w io.Writer) error { _, err := io.WriteString(w, text); return err }); err != nil {
		return err
	}
	fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: %s to %s is in %s; fly it with\n  driftdrill fly --drill %s %s\n",
		onair.Clock(from), onair.Clock(to), r.drill, r.drill, r.passWords(h))
	return nil
}

// passWords are the options that lead to the pass again.
func (r *recordingRequest) passWords(h *onair.Contact) string {
	var b strings.Builder
	fmt.Fprintf(&b, "--bird %s", r.birds[0])
	for _, e := range r.elements {
		fmt.Fprintf(&b, " --elements %s", e)
	}
	fmt.Fprintf(&b, " --site %s --pass %s", r.site, h.Pass.Pass.TCA.UTC().Format(time.RFC3339))
	return b.String()
}
