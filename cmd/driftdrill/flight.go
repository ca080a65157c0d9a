package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"driftdrill/assets"
	"driftdrill/orbit"
	"driftdrill/sim"

	"github.com/spf13/cobra"
)

// firstDrill is what is flown where nothing is asked for.
const firstDrill = "first-hold"

// flight says in words what is to be flown; empty words leave it to the drill.
type flight struct {
	drill    string   // name, number or file
	bird     string   // name or file; "" = the drill's
	elements []string // files; none = the bundled set
	site     string   // "LAT,LON[,ALT_M]" or a locator; "" = Quern Hill
	from     string   // RFC 3339; "" = the epoch of bundled elements, now with others
	pass     string   // "" = the first that the drill asks for; "2" = the second after from; a time = the one that is up then
	seed     uint64   // 0 = the drill's own
}

// homeSite is where the bundled passes are flown from: an invented hill.
var homeSite = orbit.Site{Name: "Quern Hill", LatDeg: 50, LonDeg: 8, AltM: 150}

// flags gives a command the options that say what is to be flown.
func (f *flight) flags(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.drill, "drill", firstDrill, "drill: name, number or TOML `file`")
	fl.StringVar(&f.bird, "bird", "", "bird: name or TOML `file` (the drill's if left out)")
	fl.StringArrayVar(&f.elements, "elements", nil, "element `file`; may be given more than once (the bundled ones if left out)")
	fl.StringVar(&f.site, "site", "", "`LAT,LON[,ALT_M]` or locator (Quern Hill, 50,8,150, if left out)")
	fl.StringVar(&f.from, "from", "", "look for passes from this `time`, RFC 3339 (the epoch of bundled elements, now with others)")
	fl.StringVar(&f.pass, "pass", "", "`which` pass: 1 = the first after --from, or a time at which the bird is up (the first that suits the drill if left out)")
	fl.Uint64Var(&f.seed, "seed", 0, "`number` that decides all chance (the drill's own if 0)")
}

// prepare reads everything that a flight names and finds its pass. Every
// error is bad input.
func (f *flight) prepare() (sim.Setup, error) {
	s, err := f.find()
	if err != nil {
		return sim.Setup{}, usageError{err}
	}
	s.Program = "driftdrill " + version
	return s, nil
}

func (f *flight) find() (sim.Setup, error) {
	drill, err := findDrill(f.drill)
	if err != nil {
		return sim.Setup{}, err
	}
	birdName := f.bird
	if birdName == "" {
		birdName = drill.Bird
	}
	bird, err := findBird(birdName)
	if err != nil {
		return sim.Setup{}, err
	}
	el, err := f.findElements(drill, bird)
	if err != nil {
		return sim.Setup{}, err
	}
	site := homeSite
	if f.site != "" {
		if site, err = orbit.ParseSite(f.site); err != nil {
			return sim.Setup{}, fmt.Errorf("--site %s: %w", f.site, err)
		}
	}
	from := el.Epoch
	if len(f.elements) > 0 {
		from = time.Now()
	}
	if f.from != "" {
		if from, err = time.Parse(time.RFC3339, f.from); err != nil {
			return sim.Setup{}, fmt.Errorf("--from %s: a time looks like 2026-11-25T18:30:00Z", f.from)
		}
	}
	if f.pass == "" {
		return sim.Prepare(drill, bird, el, site, from.UTC(), f.seed)
	}
	pass, err := choosePass(el, site, from.UTC(), f.pass)
	if err != nil {
		return sim.Setup{}, fmt.Errorf("--pass %s: %w", f.pass, err)
	}
	return sim.PreparePass(drill, bird, el, site, pass, f.seed)
}

// passSearch is how far ahead a pass is looked for by its number.
const passSearch = 10 * 24 * time.Hour

// choosePass finds a pass by its number after from or by a time at which it is up.
func choosePass(el orbit.Elements, site orbit.Site, from time.Time, which string) (orbit.Pass, error) {
	p, err := orbit.NewPropagator(el)
	if err != nil {
		return orbit.Pass{}, err
	}
	if at, err := time.Parse(time.RFC3339, which); err == nil {
		passes, err := orbit.FindPasses(p, site, at.Add(-2*time.Hour), at.Add(2*time.Hour), orbit.PassOptions{})
		if err != nil {
			return orbit.Pass{}, err
		}
		for _, pass := range passes {
			if !pass.AOS.After(at) && !pass.LOS.Before(at) && !pass.UpAtStart && !pass.UpAtStop {
				return pass, nil
			}
		}
		return orbit.Pass{}, fmt.Errorf("%s is not up over %.4f, %.4f then", el.Name, site.LatDeg, site.LonDeg)
	}
	n, err := strconv.Atoi(which)
	if err != nil || n < 1 {
		return orbit.Pass{}, errors.New("give a number from 1, or a time such as 2026-11-25T18:30:00Z")
	}
	passes, err := orbit.FindPasses(p, site, from, from.Add(passSearch), orbit.PassOptions{})
	if err != nil {
		return orbit.Pass{}, err
	}
	for _, pass := range passes {
		if pass.UpAtStart || pass.UpAtStop {
			continue
		}
		if n--; n == 0 {
			return pass, nil
		}
	}
	return orbit.Pass{}, fmt.Errorf("there are only %s passes of %s within %.0f days of %s",
		strconv.Itoa(len(passes)), el.Name, passSearch.Hours()/24, from.Format(time.RFC3339))
}

// findDrill returns a drill by name, by number or from a file.
func findDrill(name string) (sim.Drill, error) {
	data, file, err := bundled("drill", "drills", name)
	if err != nil {
		return sim.Drill{}, err
	}
	return sim.ParseDrill(data, file)
}

// findBird returns a bird by name, in any case, or from a file.
func findBird(name string) (sim.Bird, error) {
	data, file, err := bundled("bird", "birds", name)
	if err != nil {
		return sim.Bird{}, err
	}
	return sim.ParseBird(data, file)
}

// bundled reads a file that a person named, or the bundled one of that name or number.
func bundled(what, folder, name string) (data []byte, file string, err error) {
	if isFile(name) {
		data, err := os.ReadFile(name)
		return data, name, err
	}
	number, _ := strconv.Atoi(name)
	files, err := fs.Glob(assets.FS, folder+"/*.toml")
	if err != nil {
		return nil, "", err
	}
	var names []string
	for _, f := range files {
		stem := strings.TrimSuffix(path.Base(f), ".toml")
		names = append(names, stem)
		if !strings.EqualFold(stem, name) && number == 0 {
			continue
		}
		data, err := assets.FS.ReadFile(f)
		if err != nil {
			return nil, "", err
		}
		if strings.EqualFold(stem, name) || folder == "drills" && drillNumber(data, f) == number {
			return data, path.Base(f), nil
		}
	}
	return nil, "", fmt.Errorf("no %s %q; there are %s, or give a file ending in .toml", what, name, strings.Join(names, ", "))
}

func drillNumber(data []byte, file string) int {
	d, err := sim.ParseDrill(data, file)
	if err != nil {
		return 0
	}
	return d.Number
}

// isFile tells a file from a name: names have no dots and no separators.
func isFile(name string) bool {
	return strings.ContainsAny(name, "./") || strings.ContainsRune(name, filepath.Separator)
}

// findElements returns the elements of the bird: those of its catalogue
// number or name, from the files given or from the bundled set.
func (f *flight) findElements(drill sim.Drill, bird sim.Bird) (orbit.Elements, error) {
	sets, where, err := f.elementSets(drill)
	if err != nil {
		return orbit.Elements{}, err
	}
	query := bird.Name
	if len(sets) == 1 && len(f.elements) > 0 {
		return sets[0], nil // one set in a file of one's own: whatever it is called
	}
	el, err := orbit.Find(sets, query)
	if err != nil {
		return orbit.Elements{}, fmt.Errorf("%s: %w", where, err)
	}
	return el, nil
}

// elementSets reads all sets of the files given. A set with a mistake stops it:
// what is flown should not depend on which lines could be read.
func (f *flight) elementSets(drill sim.Drill) (sets []orbit.Elements, where string, err error) {
	if len(f.elements) == 0 {
		return bundledElements(drill.Elements)
	}
	for _, name := range f.elements {
		file, err := os.Open(name)
		if err != nil {
			return nil, "", err
		}
		got, problems := orbit.ReadElements(file, name)
		file.Close()
		if len(problems) > 0 {
			return nil, "", problems[0]
		}
		if len(got) == 0 {
			return nil, "", fmt.Errorf("%s: no element sets in it", name)
		}
		sets = append(sets, got...)
	}
	return sets, strings.Join(f.elements, ", "), nil
}

// bundledElements reads the bundled element files of one name.
func bundledElements(name string) ([]orbit.Elements, string, error) {
	files, err := fs.Glob(assets.FS, "elements/"+name+".*")
	if err != nil || len(files) == 0 {
		return nil, "", fmt.Errorf("no bundled elements %q; give a file with --elements", name)
	}
	file, err := assets.FS.Open(files[0])
	if err != nil {
		return nil, "", err
	}
	defer file.Close()
	sets, problems := orbit.ReadElements(file, path.Base(files[0]))
	if len(problems) > 0 {
		return nil, "", problems[0]
	}
	return sets, path.Base(files[0]), nil
}
