package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
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

	cmd *cobra.Command // for warnings and standard input; nil where elements are the bundled ones
}

// homeSite is where the bundled passes are flown from: an invented hill.
var homeSite = orbit.Site{Name: "Quern Hill", LatDeg: 50, LonDeg: 8, AltM: 150}

// flags gives a command the options that say what is to be flown.
func (f *flight) flags(cmd *cobra.Command) {
	f.cmd = cmd
	fl := cmd.Flags()
	fl.StringVar(&f.drill, "drill", firstDrill, "drill: name, number or TOML `file`")
	fl.StringVar(&f.bird, "bird", "", "bird: name or TOML `file` (the drill's if left out)")
	fl.StringArrayVar(&f.elements, "elements", nil, "element `file`, or - for a pipe; may be given more than once (the bundled ones if left out)")
	fl.StringVar(&f.site, "site", "", "`place`: LAT,LON[,ALT_M], a locator, or a TOML site file (Quern Hill, 50,8,150, if left out)")
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
		if site, _, err = parseSite("--site", f.site); err != nil {
			return sim.Setup{}, err
		}
	}
	from := el.Epoch
	if f.from != "" || len(f.elements) > 0 {
		if from, err = parseTime("--from", f.from); err != nil {
			return sim.Setup{}, err
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

// passSearch is how far ahead a pass is looked for by its number, and
// passLength how far back one that is up at a time can have begun.
const (
	passSearch = 10 * 24 * time.Hour
	passLength = 3 * time.Hour
)

// choosePass finds a pass by its number after from or by a time at which it is up.
func choosePass(el orbit.Elements, site orbit.Site, from time.Time, which string) (orbit.Pass, error) {
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
		if err != nil {
			return nil, "", plainFileError(err)
		}
		return data, name, nil
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

// findElements returns the elements of the bird, from the files given or from
// the bundled set. One single set of one's own is taken whatever it is called.
func (f *flight) findElements(drill sim.Drill, bird sim.Bird) (orbit.Elements, error) {
	if len(f.elements) == 0 {
		sets, _, err := bundledElements(drill.Elements)
		if err != nil {
			return orbit.Elements{}, err
		}
		return elementsOf(sets, bird)
	}
	sets, err := (&source{elements: f.elements}).sets(f.cmd)
	if err != nil {
		return orbit.Elements{}, err
	}
	if len(sets) == 1 {
		return sets[0], nil
	}
	el, err := elementsOf(sets, bird)
	if err != nil {
		return orbit.Elements{}, fmt.Errorf("%s: %w", strings.Join(f.elements, ", "), err)
	}
	return el, nil
}

// bundledElements reads the bundled element file of one name and tells what it is called.
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
