package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/scoring/recording"
	"driftdrill/sim"

	"github.com/spf13/cobra"
)

// againS is how long a stretch is where none was asked for, seconds.
const againS = 60.0

// stretchOf returns the stretch to fly again: as asked for, or the minute
// round the worst moment.
func (r *recordingRequest) stretchOf(h *heard) (from, to float64, err error) {
	if r.stretch != "" {
		a, b, ok := strings.Cut(r.stretch, "-")
		from, errA := strconv.ParseFloat(strings.TrimSpace(a), 64)
		to, errB := strconv.ParseFloat(strings.TrimSpace(b), 64)
		if !ok || errA != nil || errB != nil || !(to-from >= 5) || from < 0 || from >= h.result.LengthS {
			return 0, 0, badInput("--stretch %s: give two times in seconds of the recording, at least 5 s apart, such as 120-180", r.stretch)
		}
		return from, math.Min(to, h.result.LengthS), nil
	}
	if len(h.result.Overs) == 0 {
		return 0, 0, usageError{errNoDrill}
	}
	middle := (h.result.Overs[0].FromS + h.result.Overs[0].ToS) / 2
	if len(h.worst) > 0 {
		middle = (h.worst[0].From.Seconds() + h.worst[0].To.Seconds()) / 2
	}
	from = math.Max(0, math.Min(middle-againS/2, h.result.LengthS-againS))
	return from, math.Min(from+againS, h.result.LengthS), nil
}

// makeDrill writes a drill that flies a stretch of the recording's pass again
// and says how to fly it.
func (r *recordingRequest) makeDrill(cmd *cobra.Command, h *heard) error {
	from, to, err := r.stretchOf(h)
	if err != nil {
		return err
	}
	text, err := r.drillText(h, from, to)
	if err != nil {
		return usageError{err}
	}
	if _, err := sim.ParseDrill([]byte(text), r.drill); err != nil {
		return fmt.Errorf("the drill cannot be flown: %w", err)
	}
	if err := outfile.WriteWith(r.drill, func(w io.Writer) error { _, err := io.WriteString(w, text); return err }); err != nil {
		return err
	}
	fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: %s to %s is in %s; fly it with\n  driftdrill fly --drill %s %s\n",
		minutesOf(from), minutesOf(to), r.drill, r.drill, r.passWords(h))
	return nil
}

// passWords are the options that lead to the pass again.
func (r *recordingRequest) passWords(h *heard) string {
	var b strings.Builder
	fmt.Fprintf(&b, "--bird %s", r.birds[0])
	for _, e := range r.elements {
		fmt.Fprintf(&b, " --elements %s", e)
	}
	fmt.Fprintf(&b, " --site %s --pass %s", r.site, h.pass.pass.TCA.UTC().Format(time.RFC3339))
	return b.String()
}

// drillText words the drill.
func (r *recordingRequest) drillText(h *heard, from, to float64) (string, error) {
	lengths, first, found := turns(h.result, from, to)
	if !found {
		return "", errNoDrill
	}
	talk, listen := 0.0, 0.0
	for i, s := range lengths {
		if i%2 == 0 {
			talk += s / float64((len(lengths)+1)/2)
		} else {
			listen += s / float64(len(lengths)/2)
		}
	}
	side, offset := "high", offsetNear(h.result, first)
	if offset < 0 {
		side = "low"
	}
	after := h.start.Add(time.Duration((first - 1) * float64(time.Second))).Sub(h.pass.pass.AOS).Seconds()
	var list []string
	for _, s := range lengths {
		list = append(list, fmt.Sprintf("%.1f", s))
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# Made from a recording: %s to %s of %s, talking as it was keyed there.\n", minutesOf(from), minutesOf(to), strings.ReplaceAll(baseName(h.file), "\n", " "))
	fmt.Fprintf(&b, "name = \"again-%s-%.0f\"\ntitle = \"Again: %s to %s\"\n", h.start.UTC().Format("20060102"), from, minutesOf(from), minutesOf(to))
	fmt.Fprintf(&b, "brief = \"The stretch of your recording once more, talking and listening as you did.\"\n")
	fmt.Fprintf(&b, "coach = \"Here the pass asks for {rhythm}.\"\nkind = \"fly\"\nbird = %q\nelements = \"demo\"\n", r.birds[0])
	fmt.Fprintf(&b, "transponder = %d\nrule = \"uplink\"\nstep_hz = %d\nvoice = \"call\"\n\n", r.transponder, nearestStep(r.stepHz))
	fmt.Fprintf(&b, "[pass]\npart = \"rise\"\nafter_s = %.1f\nlength_s = %.1f\n\n", math.Max(0, after), math.Max(10, to-first+2))
	fmt.Fprintf(&b, "[start]\noffset_hz = [%.0f, %.0f]\nside = %q\nfound = true\nlead_s = 1.0\n\n", math.Abs(offset), math.Abs(offset), side)
	fmt.Fprintf(&b, "[plan]\ntalk_s = %.1f\nlisten_s = %.1f\novers = %d\nas_keyed_s = [%s]\n\n", math.Max(1, talk), listen, (len(lengths)+1)/2, strings.Join(list, ", "))
	b.WriteString("[aids]\nribbon = true\nstrip = true\n\n[noise]\nenvironment = \"rural\"\nsnr_db = 12.0\n\n")
	b.WriteString("[goal]\ntext = \"Hold it better than on the air\"\nmeasure = \"share_within_50hz\"\n")
	pass := 0.6
	if h.marks != nil {
		pass = math.Min(0.95, math.Max(0.3, h.marks.ShareWithin50Hz))
	}
	fmt.Fprintf(&b, "pass = %.2f\n", pass)
	return b.String(), nil
}

// turns returns the lengths of talking and listening by turns, from the first
// over in the stretch on, and when that begins.
func turns(r *recording.Result, from, to float64) (lengths []float64, first float64, found bool) {
	last := 0.0
	for _, o := range r.Overs {
		a, b := math.Max(o.FromS, from), math.Min(o.ToS, to)
		if b-a < 1 {
			continue
		}
		if !found {
			first, found = a, true
		} else {
			lengths = append(lengths, math.Max(0.5, a-last))
		}
		lengths = append(lengths, b-a)
		last = b
	}
	return lengths, first, found
}

// offsetNear is the first offset that is known from a time on.
func offsetNear(r *recording.Result, fromS float64) float64 {
	for i := range r.Rows {
		if row := &r.Rows[i]; row.TimeS >= fromS && row.Known() {
			return math.Max(-5000, math.Min(5000, row.OffsetHz))
		}
	}
	return 0
}

// nearestStep is the knob's step that a drill knows.
func nearestStep(hz int) int {
	best := 20
	for _, s := range []int{10, 20, 50, 100} {
		if math.Abs(float64(s-hz)) < math.Abs(float64(best-hz)) {
			best = s
		}
	}
	return best
}
