package report

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html/template"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"

	"driftdrill/scoring"
	"driftdrill/scoring/recording"
)

// Air is what a report of a recording from the air shows.
type Air struct {
	Name    string    // of the file
	Start   time.Time // of its first sample; zero where it is not known
	Bird    string    // "" where the pass is not known
	Result  *recording.Result
	Facts   [][]string                  // name and value
	Marks   *scoring.Marks              // nil where nothing is rated
	Trace   *scoring.Trace              // nil where nothing is rated
	Advice  scoring.Advice              // of the marks
	Worst   []scoring.Moment            // of the marks
	RateHzS func(timeS float64) float64 // predicted drift, corrected by the fit; nil where the pass is not known
	HeardHz func(timeS float64) float64 // its integral: by how much the pass moves the voice; nil where the pass is not known
}

// WriteAir writes the report of a recording.
func WriteAir(w io.Writer, a Air) error {
	c := content{Style: template.CSS(styleText), Head: "On the air", Sub: a.Name, Side: string(a.Result.Method)}
	if a.Bird != "" {
		c.Sub = a.Bird + " · " + c.Sub
	}
	if !a.Start.IsZero() {
		c.Sub += " · " + a.Start.UTC().Format("2006-01-02 15:04:05 UTC")
	}
	c.Title = "On the air: " + a.Name
	for _, n := range a.Result.Notes {
		c.Doubts = append(c.Doubts, n.Text)
	}
	if a.Marks != nil {
		c.Head = fmt.Sprintf("Held on the air: %.0f", a.Marks.HoldIndex)
		c.SideSub = "not rated among the drills"
		c.Card, c.CardText = a.Advice.Headline, a.Advice.Detail
	}
	offset := block{Title: "offset over the recording", Picture: template.HTML(airOffset(&a)), Note: "Gaps: it cannot be told. Shaded: your overs."}
	if a.HeardHz != nil {
		offset.Note += " Thin lines: where the pass would have taken your voice from the beginning of each over, had nobody turned a dial."
	}
	if len(a.Worst) > 0 {
		offset.Note += " " + worstNote(a.Worst)
	}
	c.Blocks = append(c.Blocks, offset, block{Title: "the receiver", Picture: template.HTML(airSpectrogram(&a)), Note: "300 to 2700 Hz, bright is loud."})
	if picture := airRates(&a); picture != "" {
		c.Blocks = append(c.Blocks, block{Title: "how fast the pass pulled", Picture: template.HTML(picture), Note: "Dots: measured between two turns of the knob. Line: predicted, moved by what the fit says."})
	}
	c.Blocks = append(c.Blocks, block{Title: "in figures", Rows: a.Facts, Words: true})
	c.Foot = "Measured from a recording. What a recording cannot know (other stations, the beacon, the passband) is not in these marks."
	return page.Execute(w, c)
}

// airEnd is the length of the time axis, seconds.
func (a *Air) airEnd() float64 { return math.Max(a.Result.LengthS, 1) }

// airOffset is the offset as it was measured, over what the pass alone would have made of it.
func airOffset(a *Air) string {
	const far = 1500.0
	end := a.airEnd()
	c := newChart("Offset over the recording: above the middle too high, below too low", wide, 360, timeFrame(34, 310), 0, end, -far, far)
	c.Y.Scale = spread{}
	for _, o := range a.Result.Overs {
		c.area(inkOver, o.FromS, math.Min(o.ToS, end), -far, far)
	}
	offsetScale(c, end)
	airAxis(c, end)
	c.line(pen(inkDim, 1.2), 0, 0, end, 0)
	c.word(lettering(inkInk, text.XRight), 0, 0, -besideFrame, -5, "true")
	airUnsteered(c, a)
	c.curve(pen(inkYours, 2), len(a.Result.Rows), func(i int) (float64, float64) {
		return a.Result.Rows[i].TimeS, a.Result.Rows[i].OffsetHz
	})
	numbered(c, a.Worst, far)
	return c.svg()
}

// AirPoint is an offset at a moment of a recording.
type AirPoint struct{ TimeS, Hz float64 }

// Unsteered is where the pass would have taken the own voice from the beginning
// of each over on, had nobody turned a dial; nothing where the pass is not known.
func (a *Air) Unsteered() (lines [][]AirPoint) {
	if a.HeardHz == nil {
		return nil
	}
	for _, o := range a.Result.Overs {
		from, e := math.NaN(), 0.0
		for i := range a.Result.Rows {
			if row := &a.Result.Rows[i]; row.Known() && row.TimeS >= o.FromS && row.TimeS < o.ToS {
				from, e = row.TimeS, row.OffsetHz
				break
			}
		}
		if math.IsNaN(from) {
			continue
		}
		const parts = 60
		begin := a.HeardHz(from)
		line := make([]AirPoint, 0, parts+1)
		for i := range parts + 1 {
			s := from + (o.ToS-from)*float64(i)/parts
			line = append(line, AirPoint{s, e + a.HeardHz(s) - begin})
		}
		lines = append(lines, line)
	}
	return lines
}

// airUnsteered draws the predicted drift, until it leaves the frame.
func airUnsteered(c *chart, a *Air) {
	for _, line := range a.Unsteered() {
		c.curve(pen(inkInk, 1.2, 6, 3), len(line), func(i int) (float64, float64) {
			if hz := line[i].Hz; hz > c.Y.Max || hz < c.Y.Min {
				return math.NaN(), 0
			}
			return line[i].TimeS, line[i].Hz
		})
	}
}

// airAxis marks minutes, or seconds of a short recording.
func airAxis(c *chart, end float64) {
	var ticks plot.ConstantTicks
	step := 10.0
	for _, s := range []float64{30, 60, 120, 300, 600, 1800, 3600} {
		if end/step > 12 {
			step = s
		}
	}
	for s := 0.0; s <= end; s += step {
		ticks = append(ticks, plot.Tick{Value: s, Label: fmt.Sprintf("%d:%02d", int(s)/60, int(s)%60)})
	}
	c.X.Tick.Marker = ticks
	c.rules()
}

// airRates is the drift between notches against the prediction.
func airRates(a *Air) string {
	top := 20.0
	end := a.airEnd()
	rows := a.Result.Rows
	if a.RateHzS == nil {
		return ""
	}
	for s := 0.0; s <= end; s += end / 200 {
		top = math.Max(top, 1.3*math.Abs(a.RateHzS(s)))
	}
	low := 0.0
	if a.RateHzS(end/2) < 0 {
		low, top = -top, 0
	}
	c := newChart("Drift rate, Hz a second", wide, 240, timeFrame(20, 190), 0, end, low, top)
	c.Y.Tick.Marker = plot.ConstantTicks{{Value: low, Label: fmt.Sprintf("%.0f", low)}, {Value: top, Label: fmt.Sprintf("%.0f", top)}}
	airAxis(c, end)
	for _, d := range recording.Drifts(rows) {
		if d.RateHzS >= low && d.RateHzS <= top {
			c.dot(inkMark, d.TimeS, d.RateHzS, 2)
		}
	}
	c.curve(pen(inkInk, 1.5), 400, func(i int) (float64, float64) {
		s := end * float64(i) / 399
		return s, a.RateHzS(s)
	})
	return c.svg()
}

// airSpectrogram is the receiver's sound as a picture within a frame.
func airSpectrogram(a *Air) string {
	s := a.Result.Spectrogram
	if s == nil || len(s.Columns) == 0 {
		return ""
	}
	var b bytes.Buffer
	if err := png.Encode(&b, spectrogramImage(s, 922, 160)); err != nil {
		return ""
	}
	return fmt.Sprintf(`<svg viewBox="0 0 1000 180" role="img" aria-label="Spectrogram of the receiver"><image x="78" y="6" width="912" height="160" preserveAspectRatio="none" href="data:image/png;base64,%s"/>`+
		`<text x="72" y="20" text-anchor="end" class="dim" fill="#a39680" font-size="14">%.0f Hz</text><text x="72" y="164" text-anchor="end" fill="#a39680" font-size="14">%.0f Hz</text></svg>`,
		base64.StdEncoding.EncodeToString(b.Bytes()), s.HighHz, s.LowHz)
}

// spectrogramImage draws a spectrogram between the quietest and the loudest
// that it holds but for the outermost hundredth.
func spectrogramImage(s *recording.Spectrogram, width, height int) image.Image {
	var count [256]int
	total := 0
	for _, c := range s.Columns {
		for _, v := range c {
			count[v]++
			total++
		}
	}
	low, high := shareOf(count[:], total, 0.2), shareOf(count[:], total, 0.995)
	img := image.NewPaletted(image.Rect(0, 0, width, height), warmth())
	bins := len(s.Columns[0])
	for x := range width {
		from := x * len(s.Columns) / width
		to := max(from+1, (x+1)*len(s.Columns)/width)
		for y := range height {
			bin := (height - 1 - y) * bins / height
			var top uint8
			for _, c := range s.Columns[from:min(to, len(s.Columns))] {
				top = max(top, c[bin])
			}
			v := float64(int(top)-low) / float64(max(1, high-low))
			img.SetColorIndex(x, y, uint8(63*math.Max(0, math.Min(1, v))))
		}
	}
	return img
}

// shareOf returns the value below which a share of all lies.
func shareOf(count []int, total int, share float64) int {
	sum := 0
	for v, n := range count {
		if sum += n; float64(sum) >= share*float64(total) {
			return v
		}
	}
	return len(count) - 1
}

// warmth is a palette from the page's dark ground over amber to paper.
func warmth() color.Palette {
	stops := [][3]float64{{0x14, 0x11, 0x0f}, {0x6b, 0x3f, 0x14}, {0xf0, 0xa2, 0x3c}, {0xea, 0xdf, 0xca}}
	var p color.Palette
	for i := range 64 {
		at := float64(i) / 63 * float64(len(stops)-1)
		k := min(int(at), len(stops)-2)
		f := at - float64(k)
		mix := func(c int) uint8 { return uint8(stops[k][c]*(1-f) + stops[k+1][c]*f) }
		p = append(p, color.RGBA{mix(0), mix(1), mix(2), 0xff})
	}
	return p
}
