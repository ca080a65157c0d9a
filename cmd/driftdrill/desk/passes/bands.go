//go:build !nodesk

package passes

import (
	"strconv"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// band is an amateur band that satellites use. The middles lie within the
// segments of the amateur-satellite service (ITU Radio Regulations, article 5);
// where in them is our choice: a first guess, to be typed over.
type band struct {
	name string
	mhz  float64
}

var bandsOffered = []band{{"10 m", 29.4}, {"2 m", 145.9}, {"70 cm", 435.15}, {"23 cm", 1265}, {"13 cm", 2402}, {"3 cm", 10475}}

// bandsPage chooses uplink and downlink of a bird that nobody has the plan of.
type bandsPage struct {
	screen.Page
	bird     port.BandsByHand
	up, down kit.Choice
	ways     kit.Choice
	upMHz    kit.TextField
	downMHz  kit.TextField
	keep     kit.Button
	form     kit.Button
	scroll   kit.Scroller
	formed   bool // the form was opened from here: nothing is left to choose when one comes back
}

func newBandsPage(bird string, catalog int) *bandsPage {
	return &bandsPage{bird: port.BandsByHand{Bird: bird, Catalog: catalog, Inverting: true, UplinkHz: bandsOffered[2].mhz * 1e6, DownlinkHz: bandsOffered[1].mhz * 1e6}}
}

// IsOrigin implements Origin.
func (*bandsPage) IsOrigin() {}

// megahertz writes a frequency as it is typed.
func megahertz(hz float64) string { return strconv.FormatFloat(hz/1e6, 'f', 3, 64) }

// typedHz reads a frequency in megahertz.
func typedHz(text string) (hz float64, note string, ok bool) {
	v, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(text), ",", ".", 1), 64)
	switch {
	case err != nil || v != v:
		return 0, "a frequency looks like 145.950", false
	case v < 20.1 || v > 24999:
		return 0, "within 20 MHz and 25 GHz", false
	}
	return v * 1e6, "", true
}

// bandOf is the band nearest to a frequency, as a place in bandsOffered.
func bandOf(hz float64) int {
	best := 0
	for i, b := range bandsOffered {
		ratio := func(b band) float64 { return max(b.mhz*1e6/hz, hz/(b.mhz*1e6)) }
		if ratio(b) < ratio(bandsOffered[best]) {
			best = i
		}
	}
	return best
}

// Enter implements Scene.
func (p *bandsPage) Enter(a *screen.App) {
	if p.formed {
		p.formed = false
		a.Scenes.Pop(a)
		return
	}
	if a.Cfg.BandsByHand != nil {
		if b, there := a.Cfg.BandsByHand(p.bird.Bird, p.bird.Catalog); there {
			p.bird = b
		}
	}
	var names []string
	for _, b := range bandsOffered {
		names = append(names, b.name)
	}
	field := func(name, aloud string, hz float64) kit.TextField {
		return kit.TextField{Name: name, Aloud: aloud, Value: megahertz(hz), Max: 12, Check: func(v string) (string, bool) {
			_, note, ok := typedHz(v)
			return note, ok
		}}
	}
	p.upMHz = field("middle of the uplink, MHz", "middle of the uplink, megahertz", p.bird.UplinkHz)
	p.downMHz = field("middle of the downlink, MHz", "middle of the downlink, megahertz", p.bird.DownlinkHz)
	p.up = kit.Choice{Name: "uplink band", Words: names, At: bandOf(p.bird.UplinkHz), Changed: func(i int) { p.upMHz.Value = megahertz(bandsOffered[i].mhz * 1e6) }}
	p.down = kit.Choice{Name: "downlink band", Words: names, At: bandOf(p.bird.DownlinkHz), Changed: func(i int) { p.downMHz.Value = megahertz(bandsOffered[i].mhz * 1e6) }}
	p.ways = kit.Choice{Name: "it turns the band round", Words: []string{"inverting", "straight"}, At: kit.Count(!p.bird.Inverting)}
	p.keep = kit.Button{Text: "Fly it with these", Primary: true, Do: func() { p.take(a) }}
	p.form = kit.Button{Text: "Type in its whole plan", Do: func() {
		p.formed = true
		a.Scenes.Push(a, a.Routes.NewBird(p.bird.Bird, p.bird.Catalog))
	}}
	p.Open(a, "Bands of "+p.bird.Bird, "Chosen by hand, until its plan is typed in. The run's sheet says so. Look both middles up where its builders publish them.",
		&p.up, &p.upMHz, &p.down, &p.downMHz, &p.ways, &p.keep, &p.form)
}

// take keeps the bands, or says what is wrong where.
func (p *bandsPage) take(a *screen.App) {
	b := p.bird
	for _, f := range []struct {
		field *kit.TextField
		hz    *float64
	}{{&p.upMHz, &b.UplinkHz}, {&p.downMHz, &b.DownlinkHz}} {
		hz, note, ok := typedHz(f.field.Value)
		if !ok {
			focusOn(&p.Page, f.field)
			a.Say(kit.UpperStart(f.field.Aloud) + ": " + note + ".")
			return
		}
		*f.hz = hz
	}
	b.Inverting = p.ways.At == 0
	if err := a.Cfg.KeepBandsByHand(b); err != nil {
		a.Say("They cannot be taken: " + err.Error())
		return
	}
	a.BirdsChanged++
	a.Scenes.Pop(a)
	a.Say(b.Bird + " flies with bands chosen by hand.")
}

// Leave implements Scene.
func (p *bandsPage) Leave(*screen.App) {}

// Update implements Scene.
func (p *bandsPage) Update(a *screen.App) {
	t := a.Type
	body := p.Lay(a)
	p.scroll.Area = body
	col := kit.Box(body.X+6, body.Y+6-p.scroll.Offset, body.W-22, 0)
	wide := col.W/t.Size(kit.Body) >= 44
	col.Y = kit.SetRows(t, col, [][]kit.Widget{{&p.up, &p.upMHz}, {&p.down, &p.downMHz}, {&p.ways}}, wide, 26, 14) + 12
	y := kit.SetRows(t, col, [][]kit.Widget{{&p.keep, &p.form}}, wide, 26, 14)
	p.scroll.Height = y + p.scroll.Offset - body.Y
	p.UpdateScrolled(a, &p.scroll)
}

// Draw implements Scene.
func (p *bandsPage) Draw(a *screen.App, c *kit.Canvas) {
	p.DrawHead(c)
	last := len(p.Widgets) - 1
	p.scroll.Draw(a.Window, c, &p.Focus, p.Widgets[:last], nil)
	p.Back.Draw(a.Window, c, p.Focus.At == last && p.Focus.Visible)
}
