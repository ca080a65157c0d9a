// Package cardpdf draws a dial card as one A4 page for the bag.
package cardpdf

import (
	"bytes"
	"fmt"
	"math"
	"strings"

	"driftdrill/sim/card"

	"codeberg.org/go-pdf/fpdf"
)

// The page is black on white with large upright figures: it is read at arm's
// length, in the sun, with one hand busy. Lengths are in millimetres.
const (
	pageMargin  = 11.0
	pageWidth   = 210.0
	pageHeight  = 297.0
	tableWidth  = 116.0
	sideLeft    = pageMargin + tableWidth + 7
	sideWidth   = pageWidth - pageMargin - sideLeft
	tableTop    = 62.0
	tableBottom = pageHeight - 49 // under it there is room for the log
	mostRow     = 8.6             // tallest row
)

// MostRows is how many rows fit on the page.
const MostRows = card.PageRows

// page is a dial card being drawn.
type page struct {
	*fpdf.Fpdf
	text func(string) string // UTF-8 to the font's own characters
	of   *card.Card
}

// New draws a card and returns the page as a PDF file, the same each time.
// creator is the program's name and version, for the file's properties.
func New(c *card.Card, creator string) ([]byte, error) {
	if len(c.Rows) > MostRows {
		return nil, fmt.Errorf("%d rows do not fit on one page (%d do); take a longer --step or a larger --every", len(c.Rows), MostRows)
	}
	p := &page{Fpdf: fpdf.New("P", "mm", "A4", ""), of: c}
	p.text = p.UnicodeTranslatorFromDescriptor("")
	p.SetTitle("Dial card "+c.Bird.Name, true)
	p.SetCreator(creator, true)
	p.SetCatalogSort(true) // fonts in the same order each time
	p.SetCreationDate(c.Pass.AOS)
	p.SetModificationDate(c.Pass.AOS)
	p.SetCatalogSort(true) // fonts and links in one order: the same card is the same file
	p.SetAutoPageBreak(false, 0)
	p.AddPage()
	p.head()
	p.rows()
	p.picture(sideLeft+sideWidth/2, tableTop+sideWidth/2+1, sideWidth/2-6.5)
	p.side(tableTop + sideWidth + 9)
	p.log(tableBottom + 5)
	p.foot()
	var b bytes.Buffer
	err := p.Output(&b)
	return b.Bytes(), err
}

// put writes text at a place; align as fpdf has it ("L", "R", "C").
func (p *page) put(x, y, width, height float64, style string, size float64, align, s string) {
	p.SetFont("Helvetica", style, size)
	p.SetXY(x, y)
	p.CellFormat(width, height, p.text(s), "", 0, align, false, 0, "")
}

// fit is put with the size lowered until the text has room.
func (p *page) fit(x, y, width, height float64, style string, size float64, align, s string) {
	for p.SetFont("Helvetica", style, size); p.GetStringWidth(p.text(s)) > width-2 && size > 6; p.SetFontSize(size) {
		size -= 0.25
	}
	p.put(x, y, width, height, style, size, align, s)
}

func (p *page) head() {
	c := p.of
	full := pageWidth - 2*pageMargin
	p.put(pageMargin, 9, 90, 12, "B", 32, "L", c.Bird.Name)
	p.fit(pageMargin+92, 9, full-92, 6, "B", 12, "R", c.DateLine())
	p.fit(pageMargin+92, 15, full-92, 6, "", 12, "R", card.SiteWords(c.Site))
	third := full / 3
	stops := [3][2]string{
		{"up " + card.ClockOfDay(c.Pass.AOS, c.Zone), fmt.Sprintf("from %.0f°", c.Pass.AOSAzimuthDeg)},
		{"top " + card.ClockOfDay(c.Pass.Max, c.Zone), fmt.Sprintf("%.0f° high", c.Pass.MaxElevationDeg)},
		{"down " + card.ClockOfDay(c.Pass.LOS, c.Zone), fmt.Sprintf("to %.0f°", c.Pass.LOSAzimuthDeg)},
	}
	for i, s := range stops {
		x := pageMargin + float64(i)*third
		p.fit(x, 24, third, 8, "B", 17, []string{"L", "C", "R"}[i], s[0])
		p.fit(x, 31, third, 6, "", 13, []string{"L", "C", "R"}[i], s[1])
	}
	p.SetFillColor(0, 0, 0)
	p.Rect(pageMargin, 40, full, 17, "F")
	p.SetTextColor(255, 255, 255)
	p.fit(pageMargin+3, 41.5, full-6, 8, "B", 19, "L", c.RuleLine())
	p.fit(pageMargin+3, 49, full-6, 6.5, "B", 13, "L", c.SidebandLine()+": "+c.StepLine())
	p.SetTextColor(0, 0, 0)
}

// rows draws the table: time, the dial or dials to set, azimuth and elevation.
func (p *page) rows() {
	c := p.of
	both := c.Rule == card.RuleBoth
	heads := []string{"time", c.Rule, "look to", "up", "Hz/s"}
	widths := []float64{28, 44, 17, 12, 15}
	if both {
		heads = []string{"time", "uplink", "downlink", "look to", "up"}
		widths = []float64{25, 33, 33, 14.5, 10.5}
	}
	height := min(mostRow, (tableBottom-tableTop)/float64(len(c.Rows)+1))
	size := p.rowSize(height*2.1, widths, both)
	x := pageMargin
	for i, h := range heads {
		p.fit(x, tableTop, widths[i], height, "B", min(11, size), "R", h)
		x += widths[i]
	}
	for k, r := range c.Rows {
		y := tableTop + height*float64(k+1)
		p.line(y, k)
		if r.Mark == "TCA" {
			p.SetFillColor(215, 215, 215)
			p.Rect(pageMargin, y, tableWidth, height, "F")
		}
		turned := r.UplinkHz
		if c.Rule == card.RuleDownlink {
			turned = r.DownlinkHz
		}
		cells := []string{card.ClockOfDay(r.At, c.Zone), card.Megahertz(turned, c.RadioStepHz),
			fmt.Sprintf("%.0f°", r.Look.AzimuthDeg), fmt.Sprintf("%.0f°", math.Abs(r.Look.ElevationDeg)), fmt.Sprintf("%.0f", math.Abs(r.RateHzS))}
		if both {
			cells = []string{cells[0], card.Megahertz(r.UplinkHz, c.RadioStepHz), card.Megahertz(r.DownlinkHz, c.RadioStepHz), cells[2], cells[3]}
		}
		x := pageMargin
		for i, s := range cells {
			style := ""
			if r.Mark != "" {
				style = "B"
			}
			if i == 1 || both && i == 2 {
				p.dial(x, y, widths[i], height, size, s)
			} else {
				p.fit(x, y, widths[i], height, style, size, "R", s)
			}
			x += widths[i]
		}
	}
	p.line(tableTop+height*float64(len(c.Rows)+1), 0)
}

// rowSize lowers a size until the widest value of every column has room.
func (p *page) rowSize(size float64, widths []float64, both bool) float64 {
	hz := card.Megahertz(435_888_880, p.of.RadioStepHz)
	widest := []string{"08:08:08", hz, "288°", "88°", "888"}
	if both {
		widest = []string{"08:08:08", hz, hz, "288°", "88°"}
	}
	for i, s := range widest {
		for p.SetFont("Helvetica", "B", size); p.GetStringWidth(p.text(s)) > widths[i]-2; p.SetFontSize(size) {
			size -= 0.25
		}
	}
	return size
}

// dial writes a frequency with the digits that move, from 10 kHz on, stronger.
func (p *page) dial(x, y, width, height, size float64, s string) {
	const steady = len("435.1")
	moving := p.text(s[steady:])
	p.SetFont("Helvetica", "B", size)
	room := p.GetStringWidth(moving)
	p.put(x, y, width, height, "B", size, "R", s[steady:])
	p.put(x, y, width-room, height, "", size, "R", s[:steady])
}

// line rules the table: a stronger line at each fifth row.
func (p *page) line(y float64, k int) {
	p.SetLineWidth(0.1)
	if k%5 == 0 {
		p.SetLineWidth(0.4)
	}
	p.Line(pageMargin, y, pageMargin+tableWidth, y)
}

// picture draws the sky as a compass shows it: north up, east right, the rim
// is the horizon and the middle is overhead.
func (p *page) picture(x, y, radius float64) {
	c := p.of
	p.SetDrawColor(0, 0, 0)
	p.SetLineWidth(0.5)
	p.Circle(x, y, radius, "D")
	p.SetLineWidth(0.15)
	for _, elevation := range []float64{30, 60} {
		p.Circle(x, y, radius*(1-elevation/90), "D")
	}
	p.Line(x-radius, y, x+radius, y)
	p.Line(x, y-radius, x, y+radius)
	for i, s := range []string{"N", "E", "S", "W"} {
		a := float64(i) * math.Pi / 2
		p.put(x+(radius+4.6)*math.Sin(a)-5, y-(radius+4.6)*math.Cos(a)-3, 10, 6, "B", 12, "C", s)
	}
	at := func(azimuth, elevation float64) (float64, float64) {
		r := radius * (1 - max(0, elevation)/90)
		sin, cos := math.Sincos(azimuth * math.Pi / 180)
		return x + r*sin, y - r*cos
	}
	p.SetLineWidth(1.1)
	for i := 1; i < len(c.Hill); i++ {
		x0, y0 := at(c.Hill[i-1].AzimuthDeg, c.Hill[i-1].ElevationDeg)
		x1, y1 := at(c.Hill[i].AzimuthDeg, c.Hill[i].ElevationDeg)
		p.Line(x0, y0, x1, y1)
	}
	p.arrow(at, len(c.Hill)/3)
	p.arrow(at, len(c.Hill)*2/3)
	p.SetFillColor(255, 255, 255)
	p.SetLineWidth(0.6)
	x0, y0 := at(c.Hill[0].AzimuthDeg, 0)
	p.Circle(x0, y0, 1.7, "FD")
	p.SetFillColor(0, 0, 0)
	x1, y1 := at(c.Hill[len(c.Hill)-1].AzimuthDeg, 0)
	p.Circle(x1, y1, 1.7, "FD")
	p.put(x-radius-5, y+radius+7, 2*radius+10, 5, "", 9.5, "C", "open dot: up, full dot: down; rings at 30° and 60°")
}

// arrow draws a head on the track at look i.
func (p *page) arrow(at func(azimuth, elevation float64) (float64, float64), i int) {
	c := p.of
	x0, y0 := at(c.Hill[i-1].AzimuthDeg, c.Hill[i-1].ElevationDeg)
	x1, y1 := at(c.Hill[i+1].AzimuthDeg, c.Hill[i+1].ElevationDeg)
	length := math.Hypot(x1-x0, y1-y0)
	if length == 0 {
		return
	}
	ux, uy := (x1-x0)/length, (y1-y0)/length
	const long, wide = 4.2, 1.9
	p.SetFillColor(0, 0, 0)
	p.Polygon([]fpdf.PointType{
		{X: x1 + ux*long/2, Y: y1 + uy*long/2},
		{X: x1 - ux*long/2 - uy*wide, Y: y1 - uy*long/2 + ux*wide},
		{X: x1 - ux*long/2 + uy*wide, Y: y1 - uy*long/2 - ux*wide},
	}, "F")
}

// side writes the facts and the list under the picture.
func (p *page) side(y float64) {
	c := p.of
	edges := c.EdgeLines()
	sumWords, sumHz := c.Sum()
	blocks := [][]string{
		{"Passband, MHz", edges[0], edges[1]},
		{"Check at TCA", sumWords, "= " + sumHz},
		{"To hold", c.Drift.Difficulty() + fmt.Sprintf(", up to %.0f Hz/s", c.Drift.PeakHzS), fmt.Sprintf("%.1f kHz in all", math.Abs(c.Drift.NetHz)/1e3)},
		{"Correction in the table", fmt.Sprintf("%+.0f Hz, steps of %.0f Hz", c.CorrectionHz, c.RadioStepHz)},
		{"Elements", c.Age.Words(), fmt.Sprintf("up to %.0f Hz off at TCA", c.AgeHz)},
	}
	if beacon := c.BeaconLine(); beacon != "" {
		rise, set, _ := strings.Cut(beacon, ", ")
		blocks = append(blocks, []string{"Beacon", rise, set})
	}
	for _, block := range blocks {
		p.fit(sideLeft, y, sideWidth, 5.4, "B", 11, "L", block[0])
		y += 4.9
		for _, s := range block[1:] {
			p.fit(sideLeft, y, sideWidth, 5.4, "", 12, "L", s)
			y += 4.9
		}
		y += 1.3
	}
	y += 0.8
	p.fit(sideLeft, y, sideWidth, 6, "B", 12, "L", "Before the pass")
	y += 6.2
	p.SetLineWidth(0.4)
	for _, s := range card.CheckList {
		p.Rect(sideLeft+1, y+0.9, 3.8, 3.8, "D")
		p.fit(sideLeft+6, y, sideWidth-6, 5.6, "", 11.5, "L", s)
		y += 5.6
	}
	p.fit(sideLeft, y+1, sideWidth, 6, "B", 12, "L", "Noted: correction ............ Hz")
}

// log leaves lines for what was worked, under the table.
func (p *page) log(y float64) {
	widths := [len(card.LogHeads)]float64{18, 32, 17, 24, 25}
	const high = 6.6
	p.put(pageMargin, y, tableWidth, 5, "B", 11, "L", "Log")
	y += 4.6
	x := pageMargin
	for i, head := range card.LogHeads {
		p.fit(x, y, widths[i], 4.6, "", 9.5, "L", head)
		x += widths[i]
	}
	y += 4.6
	p.SetLineWidth(0.2)
	for i := range card.LogLines + 1 {
		p.Line(pageMargin, y+float64(i)*high, pageMargin+tableWidth, y+float64(i)*high)
	}
	x = pageMargin
	for _, w := range append(widths[:], 0) {
		p.Line(x, y, x, y+card.LogLines*high)
		x += w
	}
}

func (p *page) foot() {
	p.fit(pageMargin, pageHeight-13, pageWidth-2*pageMargin, 5, "", 9, "C", card.Caution)
	if p.of.Source != "" {
		p.fit(pageMargin, pageHeight-9, pageWidth-2*pageMargin, 4, "", 8, "C", "Elements: "+p.of.Source)
	}
}
