//go:build !nodesk

package deskwire

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"
	"driftdrill/sim/birdform"
	"driftdrill/sim/card"
)

// passPages gives the pages of passes what they need besides the passes.
func (w *wiring) passPages() port.PassPages {
	p := port.PassPages{
		WorthRule:       card.WorthRule,
		DialCard:        w.dialCard,
		BandsByHand:     w.bandsByHand,
		KeepBandsByHand: w.keepBandsByHand,
	}
	p.News = w.news
	if w.reminders != nil {
		p.Reminded, p.Remind = w.reminders.has, w.reminders.set
	}
	p.Sky = w.skyPages()
	if w.Kept != "" && w.CardPage != nil {
		p.KeepDialCard = w.keepDialCard
	}
	return p
}

// cardStep is the time between two rows of a card.
const cardStep = 30 * time.Second

// card works out the dial card of a pass with the correction that is kept for
// its bird.
func (w *wiring) card(ctx context.Context, key, rule string, number, rows int) (*card.Card, error) {
	bird, site, when, err := w.keyed(ctx, key)
	el := bird.Elements
	if err != nil {
		return nil, err
	}
	birds, _ := w.Flock.Plans()
	known := trainer.PlanOf(birds, el)
	if known == nil {
		return nil, errors.New("nobody knows the bands of " + el.Label() + ": type in its plan, or choose them by hand")
	}
	pass, err := trainer.ChoosePass(el, site, el.Epoch, when)
	if err != nil {
		return nil, err
	}
	p, err := orbit.NewPropagator(el)
	if err != nil {
		return nil, err
	}
	wish := card.Wish{Bird: known.Bird, Transponder: number, Site: site, Pass: pass, Observer: orbit.NewObserver(p, site, 0), Rule: rule,
		RadioStepHz: 10, Step: cardStep, FitRows: rows, Zone: time.UTC, Source: sourceWords(bird.From)}
	if number < 1 || number > len(wish.Bird.Transponders) {
		return nil, fmt.Errorf("%s has no transponder %d", wish.Bird.Name, number)
	}
	link := &wish.Bird.Transponders[number-1]
	if wish.Rule == "" {
		wish.Rule = link.HandRule()
	}
	if c, ok := w.Flock.Correction(wish.Bird.Name, wish.Transponder); ok {
		wish.CorrectionHz = math.Round(c.DialHz(link, wish.Rule))
	}
	return card.New(wish)
}

func (w *wiring) dialCard(ctx context.Context, key, rule string, number int) (*port.DialCard, error) {
	c, err := w.card(ctx, key, rule, number, 0)
	if err != nil {
		return nil, err
	}
	out := &port.DialCard{Bird: c.Bird.Name, Rule: c.Rule, Date: c.DateLine(), Log: card.LogHeads[:]}
	sumWords, sumHz := c.Sum()
	edges := c.EdgeLines()
	at := ""
	if name := w.set().Station; name != "" {
		at = ", at " + name
	}
	if links := c.Bird.Transponders; len(links) > 1 {
		for i := range links {
			out.Links = append(out.Links, birdform.Bands(&links[i]))
		}
	}
	out.Facts = [][2]string{
		{"turn", c.RuleLine()},
		{"to move", c.StepLine()},
		{"sidebands", c.SidebandLine()},
		{"passband", edges[0] + ", " + edges[1] + " MHz"},
		{"at TCA", sumWords + " = " + sumHz},
		{"correction", c.CorrectionWords() + at},
		{"elements", fmt.Sprintf("%s, up to %.0f Hz off at TCA, %s", c.Age.Words(), math.Ceil(c.AgeHz), c.Source)},
	}
	if beacon := c.BeaconLine(); beacon != "" {
		out.Facts = append(out.Facts, [2]string{"beacon", beacon})
	}
	for _, r := range c.Rows {
		row := port.DialRow{Clock: card.ClockOfDay(r.At, c.Zone), Uplink: card.Megahertz(r.UplinkHz, c.RadioStepHz), Downlink: card.Megahertz(r.DownlinkHz, c.RadioStepHz),
			Look: fmt.Sprintf("%.0f°, %.0f° up", r.Look.AzimuthDeg, math.Abs(r.Look.ElevationDeg)), Rate: fmt.Sprintf("%.0f Hz/s", math.Abs(r.RateHzS)), Mark: r.Mark}
		row.Spoken = fmt.Sprintf("%s %s: uplink %s, receive %s, look to %.0f degrees, %.0f up, %.0f hertz a second.", r.Mark, r.At.UTC().Format("15:04:05"),
			row.Uplink, row.Downlink, r.Look.AzimuthDeg, math.Abs(r.Look.ElevationDeg), math.Abs(r.RateHzS))
		row.Spoken = strings.TrimSpace(row.Spoken)
		out.Rows = append(out.Rows, row)
	}
	return out, nil
}

func (w *wiring) keepDialCard(ctx context.Context, key, rule string, number int) (string, error) {
	c, err := w.card(ctx, key, rule, number, card.PageRows)
	if err != nil {
		return "", err
	}
	page, err := w.CardPage(c, w.Program)
	if err != nil {
		return "", err
	}
	which := ""
	if number > 1 {
		which = fmt.Sprintf("-transponder-%d", number)
	}
	where := filepath.Join(w.Kept, fmt.Sprintf("dial-card-%s%s-%s.pdf", trainer.FileStem(c.Bird.Name), which, c.Pass.AOS.UTC().Format("20060102-1504")))
	return where, outfile.Write(where, page)
}

func (w *wiring) bandsByHand(bird string, catalog int) (port.BandsByHand, bool) {
	all, _ := w.Flock.BandsByHand() // one that cannot be read is told where one is kept
	for _, b := range all {
		if b.Of(bird, catalog) {
			return port.BandsByHand{Bird: b.Name, Catalog: b.Catalog, UplinkHz: b.UplinkHz, DownlinkHz: b.DownlinkHz, Inverting: b.Inverting}, true
		}
	}
	return port.BandsByHand{Bird: bird, Catalog: catalog, Inverting: true}, false
}

func (w *wiring) keepBandsByHand(b port.BandsByHand) error {
	return w.Flock.KeepByHand(trainer.ByHand{Name: b.Bird, Catalog: b.Catalog, UplinkHz: b.UplinkHz, DownlinkHz: b.DownlinkHz, Inverting: b.Inverting})
}
