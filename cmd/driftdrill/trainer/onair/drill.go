package onair

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"driftdrill/scoring/recording"
)

// againS is how long a stretch is where none was asked for, seconds.
const againS = 60.0

// LeastS is the shortest stretch that can be flown again, seconds.
const LeastS = 5.0

// ErrNotKeyed is told where nothing was keyed in a stretch.
var ErrNotKeyed = errors.New("nothing of the recording was keyed in that stretch")

// Stretches are the minutes round the worst moments, the costliest first; where
// nothing is marked the one round the first over. None = nothing was keyed.
func (c *Contact) Stretches() [][2]float64 {
	r := c.Result
	if len(r.Overs) == 0 {
		return nil
	}
	var all [][2]float64
	add := func(middle float64) {
		from := math.Max(0, math.Min(middle-againS/2, r.LengthS-againS))
		all = append(all, [2]float64{from, math.Min(from+againS, r.LengthS)})
	}
	for _, m := range c.Worst {
		add((m.From.Seconds() + m.To.Seconds()) / 2)
	}
	if len(all) == 0 {
		add((r.Overs[0].FromS + r.Overs[0].ToS) / 2)
	}
	return all
}

// DrillText is a drill file that flies a stretch of the pass again, talking and
// listening as it was keyed. bird is the bird's name as the drill names it.
func (c *Contact) DrillText(bird string, stepHz int, fromS, toS float64) (string, error) {
	if c.Pass == nil {
		return "", errors.New("a stretch can be flown again only with its pass")
	}
	lengths, first, found := turns(c.Result, fromS, toS)
	if !found {
		return "", ErrNotKeyed
	}
	talk, listen := 0.0, 0.0
	var list []string
	for i, s := range lengths {
		if i%2 == 0 {
			talk += s / float64((len(lengths)+1)/2)
		} else {
			listen += s / float64(len(lengths)/2)
		}
		list = append(list, fmt.Sprintf("%.1f", s))
	}
	side, offset := "high", offsetNear(c.Result, first)
	if offset < 0 {
		side = "low"
	}
	after := c.Start.Add(time.Duration((first - 1) * float64(time.Second))).Sub(c.Pass.Pass.AOS).Seconds()
	var b strings.Builder
	fmt.Fprintf(&b, "# Made from a recording: %s to %s of %s, talking as it was keyed there.\n", Clock(fromS), Clock(toS), strings.ReplaceAll(c.Name(), "\n", " "))
	fmt.Fprintf(&b, "name = \"again-%s-%.0f\"\ntitle = \"Again: %s to %s\"\n", c.Start.UTC().Format("20060102"), fromS, Clock(fromS), Clock(toS))
	fmt.Fprintf(&b, "brief = \"The stretch of your recording once more, talking and listening as you did.\"\n")
	fmt.Fprintf(&b, "coach = \"Here the pass asks for {rhythm}.\"\nkind = \"fly\"\nbird = %q\nelements = \"demo\"\n", bird)
	fmt.Fprintf(&b, "transponder = %d\nrule = \"uplink\"\nstep_hz = %d\nvoice = \"call\"\n\n", c.Pass.Number, nearestStep(stepHz))
	fmt.Fprintf(&b, "[pass]\npart = \"rise\"\nafter_s = %.1f\nlength_s = %.1f\n\n", math.Max(0, after), math.Max(10, toS-first+2))
	fmt.Fprintf(&b, "[start]\noffset_hz = [%.0f, %.0f]\nside = %q\nfound = true\nlead_s = 1.0\n\n", math.Abs(offset), math.Abs(offset), side)
	fmt.Fprintf(&b, "[plan]\ntalk_s = %.1f\nlisten_s = %.1f\novers = %d\nas_keyed_s = [%s]\n\n", math.Max(1, talk), listen, (len(lengths)+1)/2, strings.Join(list, ", "))
	b.WriteString("[aids]\nribbon = true\nstrip = true\n\n[noise]\nenvironment = \"rural\"\nsnr_db = 12.0\n\n")
	b.WriteString("[goal]\ntext = \"Hold it better than on the air\"\nmeasure = \"share_within_50hz\"\n")
	fmt.Fprintf(&b, "pass = %.2f\n", c.passMark())
	return b.String(), nil
}

// passMark is the share within 50 Hz that a drill asks for: that of the recording.
func (c *Contact) passMark() float64 {
	if c.Marks == nil {
		return 0.6
	}
	return math.Min(0.95, math.Max(0.3, c.Marks.ShareWithin50Hz))
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
