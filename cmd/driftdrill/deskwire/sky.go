//go:build !nodesk

package deskwire

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"
	"driftdrill/sim/card"

	"github.com/adrg/xdg"
)

// Sky keeps the operator's sources of elements. It is safe from any goroutine.
type Sky interface {
	Kept() (trainer.Sky, error)
	// Sources reads every source; nothing is fetched.
	Sources(ctx context.Context) ([]trainer.Source, error)
	// Refresh asks addresses for what is newer, as often as is polite; asked =
	// the operator wants it now.
	Refresh(ctx context.Context, asked bool) ([]trainer.Refreshed, error)
	Add(ctx context.Context, place string) (says string, err error)
	Drop(place string) error
	Favour(bird string, catalog int, on bool) error
}

// keptSky is what is kept of the sky; what cannot be read is told where it is changed.
func (w *wiring) keptSky() trainer.Sky {
	if w.Sky == nil {
		return trainer.Sky{}
	}
	sky, _ := w.Sky.Kept()
	return sky
}

// sources are where elements come from that nobody chose for the passes alone:
// all sources of the operator's or, without any, the file of those that were
// fetched; none = those in the program.
func (w *wiring) sources(ctx context.Context) ([]trainer.Source, error) {
	if w.Sky != nil {
		return w.Sky.Sources(ctx)
	}
	if w.Fetched == "" {
		return nil, nil
	}
	if _, err := os.Stat(w.Fetched); err != nil {
		return nil, nil
	}
	return w.oneSource(ctx, w.Fetched)
}

// oneSource reads a file or an address that was chosen for the passes alone.
func (w *wiring) oneSource(ctx context.Context, source string) ([]trainer.Source, error) {
	if source == "-" {
		return nil, errors.New("give a file or an address")
	}
	sets, problems, err := w.ReadElements(ctx, atHome(source))
	switch {
	case err != nil:
		return nil, err
	case len(sets) == 0 && len(problems) > 0:
		return nil, problems[0]
	case len(sets) == 0:
		return nil, fmt.Errorf("%s: there are no elements in it", source)
	}
	return []trainer.Source{{Place: source, Sets: sets}}, nil
}

// skyBirds are the birds that the passes page works with: those of one file or
// address that was chosen for it, else of all sources. From = "" where they are
// those in the program.
func (w *wiring) skyBirds(ctx context.Context, chosen string) ([]trainer.SkyBird, error) {
	var all []trainer.Source
	var err error
	if chosen = strings.TrimSpace(chosen); chosen != "" {
		all, err = w.oneSource(ctx, chosen)
	} else {
		all, err = w.sources(ctx)
	}
	if err != nil {
		return nil, err
	}
	if len(all) == 0 {
		sets, err := trainer.ReadBundledElements(trainer.BundledElements)
		return trainer.MergeSky([]trainer.Source{{Sets: sets}}), err
	}
	birds := trainer.MergeSky(all)
	if len(birds) == 0 {
		return nil, fmt.Errorf("%s: %w", all[0].Short(), all[0].Err)
	}
	return birds, nil
}

// sourceOf is where the elements of a bird are from; "" = those in the program.
func (w *wiring) sourceOf(ctx context.Context, e orbit.Elements) string {
	birds, _ := w.skyBirds(ctx, w.set().Elements)
	for _, b := range birds {
		if b.Elements == e {
			return b.From
		}
	}
	return ""
}

func setsOf(birds []trainer.SkyBird) []orbit.Elements {
	sets := make([]orbit.Elements, len(birds))
	for i := range birds {
		sets[i] = birds[i].Elements
	}
	return sets
}

// sourceWords say where elements are from, on a card.
func sourceWords(from string) string {
	if from == "" {
		return "in the program, of invented birds"
	}
	return trainer.ShortSource(from)
}

// atHome puts the home folder in the place of a leading ~, as a shell does.
func atHome(name string) string {
	if rest, ok := strings.CutPrefix(name, "~/"); ok {
		return filepath.Join(xdg.Home, rest)
	}
	return name
}

// checkElements says what a source of elements is; a file is looked at when it
// is searched, not with each letter typed.
func (w *wiring) checkElements(text string) (string, bool) {
	text = strings.TrimSpace(text)
	switch {
	case text == "":
		return w.usualWords(), true
	case trainer.IsURL(text):
		return "fetched when you look for passes", true
	}
	if _, err := os.Stat(atHome(text)); err != nil {
		return "there is no such file", false
	}
	return "a file", true
}

// usualWords say in words what is looked at where nothing was chosen.
func (w *wiring) usualWords() string {
	fetched := false
	if _, err := os.Stat(w.Fetched); err == nil && w.Fetched != "" {
		fetched = true
	}
	switch n := len(w.keptSky().Sources); {
	case n > 1 || n == 1 && fetched:
		return "all your sources"
	case n == 1:
		return "your source"
	case fetched:
		return "those that were fetched"
	}
	return "the four birds in the program"
}

// skyPages gives the page of one's own sky what it needs.
func (w *wiring) skyPages() *port.SkyPages {
	if w.Sky == nil {
		return nil
	}
	return &port.SkyPages{Look: w.lookAtSky, Add: func(ctx context.Context, place string) (string, error) {
		return w.Sky.Add(ctx, atHome(strings.TrimSpace(place)))
	},
		Drop: w.Sky.Drop, Favour: w.Sky.Favour, Refresh: w.refreshSky}
}

// lookAtSky lists birds and sources as they are now.
func (w *wiring) lookAtSky(ctx context.Context) (*port.Sky, error) {
	all, err := w.Sky.Sources(ctx)
	if err != nil {
		return nil, err
	}
	sky, now := w.keptSky(), time.Now()
	plans, _ := w.Flock.Plans()
	site, err := w.site()
	if err != nil {
		return nil, err
	}
	out := &port.Sky{}
	for i := range all {
		out.Sources = append(out.Sources, skySource(&all[i], now, all[i].Place == w.Fetched))
	}
	for _, b := range trainer.MergeSky(all) {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		age := card.AgeOf(b.Elements, now, now)
		x := port.SkyBird{Name: b.Label(), Catalog: b.Catalog, From: trainer.ShortSource(b.From), Favourite: sky.Likes(b.Elements), Old: !age.Plain()}
		known := trainer.PlanOf(plans, b.Elements)
		x.Planned = known != nil
		x.Age = ageCost(&b, known, site, age, now)
		if len(b.Also) > 0 {
			names := make([]string, len(b.Also))
			for i, place := range b.Also {
				names[i] = trainer.ShortSource(place)
			}
			x.Also = "older in " + strings.Join(names, ", ")
		}
		out.Birds = append(out.Birds, x)
	}
	return out, nil
}

// site is the operator's place.
func (w *wiring) site() (orbit.Site, error) {
	set := w.set()
	if strings.TrimSpace(set.Site) == "" {
		return trainer.HomeSite, nil
	}
	site, _, err := trainer.ReadSite(strings.TrimSpace(set.Site))
	return site, err
}

// ageCost says how old elements are now and what that costs: hertz on the next
// pass of a bird whose plan is known, else seconds.
func ageCost(b *trainer.SkyBird, known *trainer.Known, site orbit.Site, age card.Age, now time.Time) string {
	if known != nil {
		if hz, err := card.AgeErrorHz(card.Bird{Elements: b.Elements, Plan: &known.Bird}, site, age, now); err == nil {
			return fmt.Sprintf("%s, up to %.0f Hz off", age.Words(), math.Ceil(hz))
		}
	}
	return fmt.Sprintf("%s, up to %.1f s early or late", age.Words(), math.Ceil(10*age.LateS(b.Elements))/10)
}

// skySource says of a source what it holds.
func skySource(s *trainer.Source, now time.Time, fixed bool) port.SkySource {
	out := port.SkySource{Place: s.Place, Short: s.Short(), Fixed: fixed}
	if n := len(s.Sets); n > 0 {
		youngest := s.Sets[0].Epoch
		for _, e := range s.Sets {
			if e.Epoch.After(youngest) {
				youngest = e.Epoch
			}
		}
		out.Says = fmt.Sprintf("%d birds, the youngest %.1f days old", n, max(0, now.Sub(youngest).Hours()/24))
		if n == 1 {
			out.Says = fmt.Sprintf("1 bird, %.1f days old", max(0, now.Sub(youngest).Hours()/24))
		}
	}
	if !s.Asked.IsZero() {
		out.Says = strings.TrimPrefix(out.Says+", asked "+s.Asked.Local().Format("2 Jan 15:04"), ", ")
	}
	out.Fault = s.Says
	if s.Err != nil {
		out.Fault = s.Err.Error()
	}
	return out
}

// refreshSky asks every address because the operator wants it, and says how it went.
func (w *wiring) refreshSky(ctx context.Context) (string, error) {
	got, err := w.Sky.Refresh(ctx, true)
	if err != nil {
		return "", err
	}
	if len(got) == 0 {
		return "None of your sources is an address: files are read anew each time.", nil
	}
	var says []string
	for _, r := range got {
		says = append(says, trainer.ShortSource(r.Place)+": "+r.Says)
	}
	return strings.Join(says, "; ") + ".", nil
}

// How often the program looks whether a source may be asked again: each is
// asked once a day at the most, whatever this is.
const (
	skyFirst = 2 * time.Second // after the start: the window comes first
	skyEvery = 10 * time.Minute
)

// keepSkyFresh asks the operator's addresses for newer elements while the
// program runs, until the function that it returns is called.
func (w *wiring) keepSkyFresh() (stop func()) {
	if w.Sky == nil {
		return func() {}
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() {
		defer close(done)
		for wait := skyFirst; ; wait = skyEvery {
			select {
			case <-ctx.Done():
				return
			case <-time.After(wait):
			}
			got, _ := w.Sky.Refresh(ctx, false) // what failed stands on the page of the sky
			w.noteFresh(got)
		}
	}()
	return func() { cancel(); <-done }
}

// noteFresh keeps what refreshing brought until the window asks for news.
func (w *wiring) noteFresh(got []trainer.Refreshed) {
	for _, r := range got {
		if r.Changed {
			w.bring(port.News{Text: "Younger elements have come from " + trainer.ShortSource(r.Place) + ": " + r.Says + ".", Birds: true})
		}
	}
}
