package trainer

import (
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"driftdrill/assets"
	"driftdrill/orbit"
	"driftdrill/sim"
)

// BundledElements is the name of the elements of the bundled birds.
const BundledElements = "demo"

// HomeSite is where the bundled passes are flown from: an invented hill.
var HomeSite = orbit.Site{Name: "Quern Hill", LatDeg: 50, LonDeg: 8, AltM: 150}

// Drills returns the drills in the program by their place in the course, those
// outside it first.
func Drills() ([]sim.Drill, error) {
	all, err := readAll("drills", sim.ParseDrill)
	slices.SortStableFunc(all, func(a, b sim.Drill) int { return a.Number - b.Number })
	return all, err
}

// readAll reads every file of a folder in the program.
func readAll[T any](folder string, parse func(data []byte, file string) (T, error)) ([]T, error) {
	files, err := fs.Glob(assets.FS, folder+"/*.toml")
	if err != nil {
		return nil, err
	}
	var all []T
	for _, f := range files {
		data, err := assets.FS.ReadFile(f)
		if err != nil {
			return nil, err
		}
		v, err := parse(data, path.Base(f))
		if err != nil {
			return nil, err
		}
		all = append(all, v)
	}
	return all, nil
}

// FindDrill returns a drill by its name in any case, by its number, or from a file.
func FindDrill(name string) (sim.Drill, error) {
	if number, err := strconv.Atoi(name); err == nil {
		all, err := Drills()
		if err != nil {
			return sim.Drill{}, err
		}
		for i := range all {
			if all[i].Number == number {
				return all[i], nil
			}
		}
	}
	data, file, err := fileOrBundled("drill", "drills", name)
	if err != nil {
		return sim.Drill{}, err
	}
	return sim.ParseDrill(data, file)
}

// fileOrBundled reads a file that a person named, or the one of that name in the program.
func fileOrBundled(what, folder, name string) (data []byte, file string, err error) {
	if IsFile(name) {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, "", PlainFileError(err)
		}
		return data, name, nil
	}
	names := Names(folder)
	for _, stem := range names {
		if strings.EqualFold(stem, name) {
			data, err := assets.FS.ReadFile(folder + "/" + stem + ".toml")
			return data, stem + ".toml", err
		}
	}
	return nil, "", noSuch(what, name, names)
}

// noSuch says that there is no bird or drill of a name, and what there is.
func noSuch(what, name string, names []string) error {
	there, meant := "; there are", Meant(name, names)
	if meant != "" {
		there = meant + " There are"
	}
	err := fmt.Errorf("no %s %q%s %s, or give a file ending in .toml", what, name, there, strings.Join(names, ", "))
	if what == "bird" && meant == "" {
		err = fmt.Errorf("%w: %s", err, ownPlan(name))
	}
	return err
}

// DrillText returns the file of a drill in the program, by its name in any case
// or by its number.
func DrillText(name string) ([]byte, error) {
	if IsFile(name) {
		return nil, fmt.Errorf("%s is a file; give the name of a drill", name)
	}
	if number, err := strconv.Atoi(name); err == nil {
		d, err := FindDrill(strconv.Itoa(number))
		if err != nil {
			return nil, err
		}
		name = d.Name
	}
	text, _, err := fileOrBundled("drill", "drills", name)
	return text, err
}

// IsFile tells a file from a name: names have no dots and no separators.
func IsFile(name string) bool {
	return strings.ContainsAny(name, "./") || strings.ContainsRune(name, filepath.Separator)
}

// ReadBundledElements reads the element file of one name in the program.
func ReadBundledElements(name string) ([]orbit.Elements, error) {
	files, err := fs.Glob(assets.FS, "elements/"+name+".*")
	if err != nil || len(files) == 0 {
		return nil, fmt.Errorf("there are no elements %q in the program; it has those named %s", name, BundledElements)
	}
	file, err := assets.FS.Open(files[0])
	if err != nil {
		return nil, err
	}
	defer file.Close()
	sets, problems := orbit.ReadElements(file, path.Base(files[0]))
	if len(problems) > 0 {
		return nil, problems[0]
	}
	return sets, nil
}

// ElementsOf finds the elements of a bird by its catalogue number, else by its name.
func ElementsOf(sets []orbit.Elements, plan sim.Bird) (orbit.Elements, error) {
	if plan.Catalog > 0 {
		if e, err := orbit.Find(sets, fmt.Sprintf("%05d", plan.Catalog)); err == nil && e.Catalog == plan.Catalog {
			return e, nil
		}
	}
	return orbit.Find(sets, plan.Name)
}
