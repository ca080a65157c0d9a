package trainer

import (
	"errors"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"driftdrill/orbit"
	"driftdrill/sim"
)

// FirstDrill is what is flown where nothing is asked for.
const FirstDrill = "first-hold"

// Flight says what is to be flown; what is left out is left to the drill.
type Flight struct {
	Drill    string                      // name, number or file
	Bird     string                      // name, number or file; "" = the drill's
	Birds    Flock                       // the birds that there are
	Elements []orbit.Elements            // one's own; none = the bundled ones of the drill
	SourceOf func(orbit.Elements) string // where those of one bird are from; nil = Source
	Source   string                      // where Elements are from, for messages
	Site     *orbit.Site                 // nil = Quern Hill
	From     time.Time                   // passes are looked for from then on; zero = the elements' epoch
	Pass     string                      // "" = the first that the drill asks for; "2" = the second after From; a time = the one that is up then
	Seed     uint64                      // 0 = the drill's own
	Program  string                      // name and version, for the run's sheet
	Options  bool                        // it was given by the options of a command, and mistakes name them
}

// Prepare reads everything that a flight names and finds its pass. Every error
// is a mistake in the flight.
func (f *Flight) Prepare() (sim.Setup, error) {
	s, err := f.find()
	s.Program = f.Program
	return s, err
}

// BirdFile returns the bird that is flown: the one that is named, or the drill's.
func (f *Flight) BirdFile() (sim.Bird, error) {
	c, err := f.files()
	return c.bird, err
}

// chosen is what a flight flies with.
type chosen struct {
	drill   sim.Drill
	bird    sim.Bird
	from    string // where the bird's plan is from, for the sheet
	standIn string // whose plan it is where it is not the bird's own; "" = it is
}

// files reads the drill and the bird. A drill in the program is flown on the
// bird in the program that it was made for. One set of one's own that comes
// without a bird flies with its own plan or, where there is none, with the drill's.
func (f *Flight) files() (c chosen, err error) {
	if c.drill, err = FindDrill(f.Drill); err != nil {
		return c, err
	}
	name, birds := c.drill.Bird, Flock{}
	if IsFile(f.Drill) {
		birds = f.Birds
	}
	if f.Bird != "" {
		name, birds = f.Bird, f.Birds
	}
	k, err := birds.Find(name)
	if err != nil {
		return c, err
	}
	c.bird, c.from = k.Bird, k.From()
	if f.Bird != "" {
		var words string
		c.bird, words = birds.corrected(k.Bird)
		c.from += words
	}
	if f.Bird != "" || len(f.Elements) != 1 {
		return c, nil
	}
	own := f.Elements[0]
	all, _ := f.Birds.Plans()
	if plan := PlanOf(all, own); plan != nil {
		c.drill.Transponder = min(c.drill.Transponder, len(plan.Transponders))
		var words string
		c.bird, words = f.Birds.corrected(plan.Bird)
		c.from = plan.From() + words
		return c, nil
	}
	c.standIn, c.from = k.Name, standsIn(k.Name)
	c.bird.Name, c.bird.Catalog = own.Label(), own.Catalog
	return c, nil
}

// StandIn says in a sentence that the bird flies with a plan that is not its
// own; "" = it does not.
func (f *Flight) StandIn() string {
	c, err := f.files()
	if err != nil || c.standIn == "" {
		return ""
	}
	return fmt.Sprintf("there is no plan of %s: it flies with the transponder of %s; %s", c.bird.Name, c.standIn, ownPlan(c.bird.Name))
}

// ownPlan says how a bird gets a plan of its own.
func ownPlan(name string) string {
	file := FileStem(name) + ".toml"
	return fmt.Sprintf("choose its bands with `driftdrill birds by-hand`, or begin one with `driftdrill birds print %s >%s`, put its own figures in, then `driftdrill birds add %s`", UsualBird, file, file)
}

func (f *Flight) find() (sim.Setup, error) {
	c, err := f.files()
	if err != nil {
		return sim.Setup{}, err
	}
	el, err := f.findElements(c.drill, c.bird)
	if err != nil {
		return sim.Setup{}, err
	}
	s, err := f.prepare(c, el)
	source := f.Source
	if f.SourceOf != nil {
		source = f.SourceOf(el)
	}
	if len(f.Elements) == 0 {
		source = ""
	}
	s.BirdFrom = c.from
	TellElements(&s, source)
	return s, err
}

func (f *Flight) prepare(c chosen, el orbit.Elements) (sim.Setup, error) {
	site, from := HomeSite, el.Epoch
	if f.Site != nil {
		site = *f.Site
	}
	if !f.From.IsZero() {
		from = f.From
	}
	if f.Pass == "" {
		s, err := sim.Prepare(c.drill, c.bird, el, site, from.UTC(), f.Seed)
		if errors.Is(err, sim.ErrOrbit) && f.Options {
			err = fmt.Errorf("%w; --pass 1 flies its first pass all the same", err)
		}
		return s, err
	}
	pass, err := ChoosePass(el, site, from.UTC(), f.Pass)
	if err != nil && f.Options {
		err = fmt.Errorf("--pass %s: %w", f.Pass, err)
	}
	if err != nil {
		return sim.Setup{}, err
	}
	return sim.PreparePass(c.drill, c.bird, el, site, pass, f.Seed)
}

// ElementsFrom is what a sheet says of where elements are from: the names of
// files and addresses, none of the folders that they lie in.
func ElementsFrom(source string) string {
	if source == "" {
		return fromProgram
	}
	var names []string
	for _, name := range strings.Split(source, ", ") {
		if IsURL(name) {
			name, _, _ = strings.Cut(name, "?")
		}
		names = append(names, path.Base(filepath.ToSlash(name)))
	}
	return "own: " + strings.Join(names, ", ")
}

// TellElements writes into a sheet's head whose elements a run flies and how old
// they are when its bird rises; source = "" are those in the program.
func TellElements(s *sim.Setup, source string) {
	s.ElementsFrom = ElementsFrom(source)
	if e := &s.Elements; !e.Epoch.IsZero() {
		s.ElementsFrom += fmt.Sprintf(", epoch %s, %.1f days old at AOS", e.Epoch.UTC().Format("2006-01-02 15:04 UTC"), s.Pass.AOS.Sub(e.Epoch).Hours()/24)
	}
}

// findElements returns the elements of the bird. One single set of one's own
// is taken whatever it is called.
func (f *Flight) findElements(drill sim.Drill, bird sim.Bird) (orbit.Elements, error) {
	if len(f.Elements) == 0 {
		sets, err := ReadBundledElements(drill.Elements)
		if err != nil {
			return orbit.Elements{}, err
		}
		return ElementsOf(sets, bird)
	}
	if len(f.Elements) == 1 {
		return f.Elements[0], nil
	}
	el, err := ElementsOf(f.Elements, bird)
	if err != nil {
		return orbit.Elements{}, fmt.Errorf("%s: %w", f.Source, err)
	}
	return el, nil
}

// passSearch is how far ahead a pass is looked for by its number, and
// passLength how far back one that is up at a time can have begun.
const (
	passSearch = 10 * 24 * time.Hour
	passLength = 3 * time.Hour
)

// ChoosePass finds a pass by its number after from, counted from 1, or by a
// time (RFC 3339) at which it is up.
func ChoosePass(el orbit.Elements, site orbit.Site, from time.Time, which string) (orbit.Pass, error) {
	at, err := time.Parse(time.RFC3339, which)
	isTime := err == nil
	number, err := strconv.Atoi(which)
	if !isTime && (err != nil || number < 1) {
		return orbit.Pass{}, errors.New("give a number from 1, or a time such as 2026-11-25T18:30:00Z")
	}
	if isTime {
		from = at.Add(-passLength)
	}
	p, err := orbit.NewPropagator(el)
	if err != nil {
		return orbit.Pass{}, err
	}
	passes, err := orbit.FindPasses(p, site, from, from.Add(passSearch), orbit.PassOptions{})
	if err != nil {
		return orbit.Pass{}, err
	}
	whole := slices.DeleteFunc(passes, func(p orbit.Pass) bool { return p.UpAtStart || p.UpAtStop })
	if !isTime {
		if number > len(whole) {
			return orbit.Pass{}, fmt.Errorf("%s makes %d whole passes within %.0f days of %s", el.Name, len(whole), passSearch.Hours()/24, from.Format(time.RFC3339))
		}
		return whole[number-1], nil
	}
	for _, pass := range whole {
		if pass.LOS.Before(at) {
			continue
		}
		if pass.AOS.After(at) {
			return orbit.Pass{}, fmt.Errorf("%s is not up over %.4f, %.4f then; its next pass begins at %s", el.Name, site.LatDeg, site.LonDeg,
				pass.AOS.UTC().Format(time.RFC3339))
		}
		return pass, nil
	}
	return orbit.Pass{}, fmt.Errorf("%s does not rise over %.4f, %.4f within %.0f days of that", el.Name, site.LatDeg, site.LonDeg, passSearch.Hours()/24)
}

// PrepareChosen prepares a drill on a pass that was chosen by hand: whatever
// height and transponder the drill asks for, those of the bird are flown.
func (f Flock) PrepareChosen(drill sim.Drill, el orbit.Elements, site orbit.Site, when string, seed uint64) (sim.Setup, error) {
	bird, from, err := f.For(el)
	if err != nil {
		return sim.Setup{}, err
	}
	pass, err := ChoosePass(el, site, el.Epoch, when)
	if err != nil {
		return sim.Setup{}, err
	}
	bird, words := f.corrected(bird)
	from += words
	drill.Transponder = min(drill.Transponder, len(bird.Transponders))
	drill.Pass.HeightKm = 0
	s, err := sim.PreparePass(drill, bird, el, site, pass, seed)
	s.BirdFrom = from
	return s, err
}

// ReadSite reads a place: "LAT,LON[,ALT_M]", a locator, or a TOML site file
// with a local horizon.
func ReadSite(text string) (orbit.Site, orbit.HorizonMask, error) {
	if !strings.HasSuffix(strings.ToLower(text), ".toml") {
		site, err := orbit.ParseSite(text)
		return site, nil, err
	}
	data, err := os.ReadFile(text)
	if err != nil {
		return orbit.Site{}, nil, PlainFileError(err)
	}
	return orbit.ParseSiteFile(data, text)
}

// IsURL tells an address from the name of a file.
func IsURL(name string) bool {
	return strings.HasPrefix(name, "http://") || strings.HasPrefix(name, "https://")
}
