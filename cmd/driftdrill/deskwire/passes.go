//go:build !nodesk

package deskwire

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"
	"driftdrill/sim"
	"driftdrill/sim/card"
)

// pages gives the desk what its pages need.
func (w *wiring) pages() port.Pages {
	p := port.Pages{
		Drills:        w.drills,
		Passes:        w.passes,
		Logbook:       w.logbook(),
		Birds:         w.birds,
		KeepBird:      w.keepBird,
		TakeFile:      w.takeFile,
		Left:          w.leftRuns,
		OpenLeft:      w.openLeft,
		DropLeft:      w.dropLeft,
		DiscardLeft:   w.trainer.DiscardLeft,
		CheckSite:     checkSite,
		CheckRadio:    new(radioProbes).check,
		RadioAddress:  radioAddress,
		CheckElements: w.checkElements,
		TestTone:      w.testTone,
		Speak:         w.speech.speak,
		Voice:         w.speech.name(),
		Voices:        w.speech.choices(),
		Built:         w.Config.Built,
		Licences:      w.Config.Licences,
		SetVoice:      w.speech.choose,
		OpenRecording: w.openRecording,
	}
	if w.VoiceFile != "" {
		p.OwnVoices, p.TakeVoice, p.HearVoice = w.ownVoices, w.takeOwnVoice, w.hearVoice
		if w.Hardware.NoMicrophone() == "" {
			p.RecordVoice = w.recordVoice
		}
	}
	if w.Kept != "" {
		p.TakeOut, p.BringIn = w.takeOut, w.bringIn
	}
	p.PassPages = w.passPages()
	p.CorrectionPages = w.correctionPages()
	return p
}

// checkSite says in words what a person typed as a place.
func checkSite(text string) (string, bool) {
	text = strings.TrimSpace(text)
	site := trainer.HomeSite
	if text != "" {
		var err error
		if site, _, err = trainer.ReadSite(text); err != nil {
			return err.Error(), false
		}
	}
	return siteWords(site), true
}

// siteWords is a place as people write it.
func siteWords(s orbit.Site) string {
	ns, ew := "N", "E"
	if s.LatDeg < 0 {
		ns = "S"
	}
	if s.LonDeg < 0 {
		ew = "W"
	}
	words := fmt.Sprintf("%.3f° %s, %.3f° %s, locator %s", abs(s.LatDeg), ns, abs(s.LonDeg), ew, s.Locator(6))
	if s.Name != "" && !strings.HasPrefix(strings.ToUpper(s.Locator(10)), strings.ToUpper(s.Name)) {
		words = s.Name + ", " + words
	}
	return words
}

func abs(x float64) float64 { return max(x, -x) }

// passes searches for the desk, bird by bird.
func (w *wiring) passes(ctx context.Context, q port.PassQuery, tell port.Progress) ([]port.PassEntry, error) {
	here := card.Place{Site: trainer.HomeSite}
	if text := strings.TrimSpace(q.Site); text != "" {
		var err error
		if here.Site, here.Mask, err = trainer.ReadSite(text); err != nil {
			return nil, err
		}
	}
	sets, err := w.skyBirds(ctx, q.Elements)
	if err != nil {
		return nil, err
	}
	from := time.Now().UTC()
	h := passHunt{
		search:   &card.Search{Here: here, From: from, To: from.Add(time.Duration(q.Days * 24 * float64(time.Hour))), Transponder: 1},
		aboveDeg: q.AboveDeg,
		sky:      w.keptSky(),
	}
	h.plans, _ = w.Flock.Plans()
	var fault error
	for i, bird := range sets {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		tell(i, len(sets))
		broken, err := h.add(bird)
		if err != nil {
			return nil, err
		}
		if broken != nil {
			fault = broken
		}
	}
	tell(len(sets), len(sets))
	if len(h.all) == 0 && fault != nil {
		return nil, fault
	}
	slices.SortStableFunc(h.all, func(a, b port.PassEntry) int { return a.AOS.Compare(b.AOS) })
	return h.all, nil
}

// passHunt is a search for the passes of many birds.
type passHunt struct {
	search   *card.Search
	aboveDeg float64
	sky      trainer.Sky
	plans    []trainer.Known
	all      []port.PassEntry
}

// add adds the passes of one bird; broken = its elements do not carry so far.
func (h *passHunt) add(bird trainer.SkyBird) (broken, err error) {
	e := bird.Elements
	b := card.Bird{Elements: e}
	known := trainer.PlanOf(h.plans, e)
	if known != nil {
		b.Plan = &known.Bird
	}
	found, err := h.search.One(b)
	if err != nil {
		broken = fmt.Errorf("%s: %w", e.Label(), err)
	}
	for _, p := range found {
		if p.UpAtStart || p.UpAtStop || p.MaxElevationDeg < h.aboveDeg {
			continue
		}
		entry, err := passEntry(b, h.search.Here.Site, p)
		if err != nil {
			return broken, err
		}
		entry.ByHand = known != nil && known.ByHand != nil
		entry.Favourite = h.sky.Likes(e)
		if bird.From != "" { // the bundled birds are nobody's and never grow old
			entry.Source = trainer.ShortSource(bird.From)
			entry.Old, entry.Age = oldWords(e, &p), ageWords(e, &p)
		}
		h.all = append(h.all, entry)
	}
	return broken, nil
}

// oldWords says what is wrong with the age of elements for a pass, and what it
// can cost; "" where it is as it should be.
func oldWords(e orbit.Elements, p *card.Found) string {
	age := card.AgeOf(e, p.AOS, p.LOS)
	if age.Plain() {
		return ""
	}
	how := fmt.Sprintf("%.0f days old", age.AfterDays)
	if age.Early() {
		how = fmt.Sprintf("made for %.0f days later, or the clock is wrong", math.Ceil(age.BeforeDays))
	}
	text := fmt.Sprintf("%s: up to %.0f s early or late", how, math.Ceil(age.LateS(e)))
	if p.Own {
		text += fmt.Sprintf(", up to %.0f Hz off", math.Ceil(p.Drift.PeakHzS*age.LateS(e)))
	}
	return text
}

// ageWords say how old elements are at a pass and what that can cost: in hertz
// where the drift is known, else in seconds.
func ageWords(e orbit.Elements, p *card.Found) string {
	age := card.AgeOf(e, p.AOS, p.LOS)
	if !p.Own {
		return fmt.Sprintf("%s, up to %.1f s early or late", age.Words(), math.Ceil(10*age.LateS(e))/10)
	}
	return fmt.Sprintf("%s, up to %.0f Hz off", age.Words(), math.Ceil(p.Drift.PeakHzS*age.LateS(e)))
}

// hillPoints is how many points the small hill of a pass has.
const hillPoints = 28

func passEntry(b card.Bird, site orbit.Site, p card.Found) (port.PassEntry, error) {
	bird, err := orbit.NewPropagator(b.Elements)
	if err != nil {
		return port.PassEntry{}, err
	}
	o := orbit.NewObserver(bird, site, 0)
	e := port.PassEntry{
		Key: passKey(b.Elements, p.Max), Bird: b.Elements.Label(), AOS: p.AOS, Top: p.Max, LOS: p.LOS,
		AOSAzimuthDeg: p.AOSAzimuthDeg, LOSAzimuthDeg: p.LOSAzimuthDeg, MaxElevationDeg: p.MaxElevationDeg,
		TopRateHzS: p.Drift.PeakHzS, DriftHz: p.Drift.NetHz, Bands: b.BandWords(), Difficulty: p.Difficulty(), NoPlan: !p.Own, Catalog: b.Elements.Catalog,
	}
	worth := p.Worth(p.Max.Local().Hour())
	e.Worth, e.WorthWhy = worth.Yes, worth.Why
	if link, own := b.Link(1); own {
		e.Rule = link.HandRule()
	}
	// Evenly in time, and close together round the culmination, where a high pass is sharp.
	span := p.LOS.Sub(p.AOS)
	at := make([]time.Duration, 0, hillPoints+9)
	for i := range hillPoints {
		at = append(at, time.Duration(i)*span/(hillPoints-1))
	}
	for _, s := range []int{-40, -20, -10, -5, 0, 5, 10, 20, 40} {
		if d := p.Max.Sub(p.AOS) + time.Duration(s)*time.Second; d > 0 && d < span {
			at = append(at, d)
		}
	}
	slices.Sort(at)
	e.Hill = make([]port.HillPoint, 0, len(at))
	for _, d := range at {
		look, err := o.Look(p.AOS.Add(d))
		if err != nil {
			return e, err
		}
		e.Hill = append(e.Hill, port.HillPoint{Tick: sim.Tick(d / sim.TickLength), ElevationDeg: look.ElevationDeg})
	}
	return e, nil
}

// passKey names a pass: the bird's catalogue number, or its name, and a time at which it is up.
func passKey(e orbit.Elements, at time.Time) string {
	bird := e.Name
	if e.Catalog > 0 {
		bird = fmt.Sprintf("%05d", e.Catalog)
	}
	return bird + "@" + at.UTC().Format(time.RFC3339)
}

// keyed finds what the key of a pass names: elements, the operator's place, and
// a time at which the bird is up.
func (w *wiring) keyed(ctx context.Context, key string) (bird trainer.SkyBird, site orbit.Site, when string, err error) {
	name, when, _ := strings.Cut(key, "@")
	set := w.set()
	birds, err := w.skyBirds(ctx, set.Elements)
	if err != nil {
		return bird, site, when, err
	}
	el, err := orbit.Find(setsOf(birds), name)
	if err != nil {
		return bird, site, when, err
	}
	for _, b := range birds {
		if b.Elements == el {
			bird = b
		}
	}
	site = trainer.HomeSite
	if set.Site != "" {
		site, _, err = trainer.ReadSite(set.Site)
	}
	return bird, site, when, err
}

// chosenPass prepares a run on a pass from the passes page.
func (w *wiring) chosenPass(ctx context.Context, r port.RunRequest) (sim.Setup, error) {
	drill, err := trainer.FindDrill(r.Drill)
	if err != nil {
		return sim.Setup{}, err
	}
	bird, site, when, err := w.keyed(ctx, r.Pass)
	if err != nil {
		return sim.Setup{}, err
	}
	s, err := w.Flock.PrepareChosen(drill, bird.Elements, site, when, r.Seed)
	s.Program = w.Program
	trainer.TellElements(&s, bird.From)
	return s, err
}

// leftRuns lists the runs that were cut short, the latest first.
func (w *wiring) leftRuns(context.Context) ([]port.LeftRun, error) {
	var left []port.LeftRun
	for _, l := range slices.Backward(w.trainer.LeftRuns(time.Now())) {
		setup := &l.Sheet.Setup
		left = append(left, port.LeftRun{Key: l.Name, Title: setup.Drill.Title + " on " + setup.Bird.Name, When: l.Begun, Flown: time.Duration(l.Sheet.End) * sim.TickLength})
	}
	return left, nil
}
