package trainer

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"driftdrill/assets"
	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/orbit"
	"driftdrill/sim"
)

// Flock is the birds that a person can fly: his own, bird files in a folder of
// his, and those in the program. Of two with the same name or catalogue number
// his own is the one. The folder is read anew each time, so that a file put
// there by hand is known at once.
type Flock struct {
	Folder string // "" = those in the program alone; it need not be there
	// Corrections returns what recordings and notes told of their oscillators; nil = nothing.
	Corrections func() []Correction
	// Station names the operator's station, whose corrections hold; nil = the usual one.
	Station func() string
}

// Known is a bird and where its file lies.
type Known struct {
	sim.Bird
	File   string  // "" = in the program, or ByHand
	ByHand *ByHand // the bands that were chosen in place of a plan; nil = it has a plan
}

// BirdFolder is where the operator's own birds lie.
func (d Disk) BirdFolder() string { return filepath.Join(d.Config, "birds") }

// Own reads the operator's own birds by the names of their files. Files that
// cannot be taken are told in one error each and leave the others alone.
func (f Flock) Own() (own []Known, broken []error) {
	for _, file := range f.files() {
		bird, err := readBird(file)
		if err != nil {
			broken = append(broken, err)
			continue
		}
		if same := slices.IndexFunc(own, func(k Known) bool { return sameBird(&k.Bird, &bird) }); same >= 0 {
			broken = append(broken, fmt.Errorf("%s: %s is in %s already, which is taken", file, bird.Name, filepath.Base(own[same].File)))
			continue
		}
		own = append(own, Known{Bird: bird, File: file})
	}
	return own, broken
}

// files lists the operator's own bird files.
func (f Flock) files() []string {
	if f.Folder == "" {
		return nil
	}
	entries, _ := os.ReadDir(f.Folder) // none where it is not there
	var files []string
	for _, e := range entries {
		if !e.IsDir() && strings.EqualFold(filepath.Ext(e.Name()), ".toml") {
			files = append(files, filepath.Join(f.Folder, e.Name()))
		}
	}
	return files
}

func readBird(file string) (sim.Bird, error) {
	data, err := os.ReadFile(file)
	if err != nil {
		return sim.Bird{}, PlainFileError(err)
	}
	return sim.ParseBird(data, file)
}

// sameBird tells whether two plans are of one bird: the same name, or catalogue number.
func sameBird(a, b *sim.Bird) bool {
	return strings.EqualFold(a.Name, b.Name) || a.Catalog != 0 && a.Catalog == b.Catalog
}

// All returns every bird, the operator's own first; broken as Own tells it.
func (f Flock) All() (all []Known, broken []error) {
	all, broken = f.Own()
	own := len(all)
	bundled, err := readAll("birds", sim.ParseBird)
	if err != nil {
		broken = append(broken, err)
	}
	for i := range bundled {
		if !slices.ContainsFunc(all[:own], func(k Known) bool { return sameBird(&k.Bird, &bundled[i]) }) {
			all = append(all, Known{Bird: bundled[i]})
		}
	}
	return all, broken
}

// Names lists what birds are called on a command line: by their files.
func (f Flock) Names() []string {
	var names []string
	for _, file := range f.files() {
		names = append(names, strings.ToLower(stemOf(file)))
	}
	for _, name := range Names("birds") {
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

func stemOf(file string) string { return strings.TrimSuffix(filepath.Base(file), filepath.Ext(file)) }

// Find returns a bird by its name, the name of its file or its catalogue number,
// in any case, or from a file that is named.
func (f Flock) Find(name string) (Known, error) {
	data, file, err := f.text(name)
	if err != nil {
		if k := f.findByHand(name); k != nil {
			return *k, nil
		}
		return Known{}, err
	}
	where := file
	if !IsFile(name) && !strings.Contains(file, string(filepath.Separator)) {
		where = ""
	}
	bird, err := sim.ParseBird(data, file)
	return Known{Bird: bird, File: where}, err
}

// findByHand finds a bird whose bands were chosen by hand; nil = there is none.
func (f Flock) findByHand(name string) *Known {
	number, _ := strconv.Atoi(name)
	all, _ := f.Plans()
	for i := range all {
		if k := &all[i]; k.ByHand != nil && (strings.EqualFold(k.Name, name) || number > 0 && k.Catalog == number) {
			return k
		}
	}
	return nil
}

// Text returns the file of a bird by its name.
func (f Flock) Text(name string) ([]byte, error) {
	if IsFile(name) {
		return nil, fmt.Errorf("%s is a file; give the name of a bird", name)
	}
	text, _, err := f.text(name)
	return text, err
}

// text finds the file of a bird: one that is named, one of the operator's own,
// or the one in the program.
func (f Flock) text(name string) (data []byte, file string, err error) {
	if IsFile(name) {
		return fileOrBundled("bird", "birds", name)
	}
	number, _ := strconv.Atoi(name)
	own, _ := f.Own()
	for _, k := range own {
		if strings.EqualFold(k.Name, name) || number > 0 && k.Catalog == number {
			data, err := os.ReadFile(k.File)
			return data, k.File, err
		}
	}
	for _, file := range f.files() { // by the name of its file, even where it cannot be read: then that is told
		if strings.EqualFold(stemOf(file), name) {
			data, err := os.ReadFile(file)
			return data, file, err
		}
	}
	for _, b := range bundledBirds() {
		if number > 0 && b.Catalog == number {
			name = b.Name
		}
	}
	for _, stem := range Names("birds") {
		if strings.EqualFold(stem, name) {
			data, err := assets.FS.ReadFile("birds/" + stem + ".toml")
			return data, stem + ".toml", err
		}
	}
	return nil, "", noSuch("bird", name, f.Names())
}

// bundledBirds returns the birds in the program.
func bundledBirds() []sim.Bird {
	birds, err := readAll("birds", sim.ParseBird)
	if err != nil {
		panic(err) // they are built in, and every test reads them
	}
	return birds
}

// PlanOf finds the bird file of a set of elements; nil = there is none.
func PlanOf(birds []Known, e orbit.Elements) *Known { return PlanNamed(birds, e.Name, e.Catalog) }

// PlanNamed finds a bird by its name or catalogue number; nil = there is none.
func PlanNamed(birds []Known, name string, catalog int) *Known {
	for i := range birds {
		if b := &birds[i]; b.Catalog != 0 && b.Catalog == catalog || strings.EqualFold(b.Name, name) {
			return b
		}
	}
	return nil
}

// UsualBird is the bird file whose transponder stands in for one that is not known.
const UsualBird = "fulmar-3"

// For returns the bird that a set of elements is of or, where nobody has its
// plan, a bird of its name with the most common transponder, and what a sheet
// says of where the plan is from.
func (f Flock) For(e orbit.Elements) (bird sim.Bird, from string, err error) {
	all, _ := f.Plans()
	if k := PlanOf(all, e); k != nil {
		return k.Bird, k.From(), nil
	}
	k, err := Flock{}.Find(UsualBird)
	if err != nil {
		return k.Bird, "", err
	}
	b := k.Bird
	from = standsIn(b.Name)
	b.Name, b.Catalog = e.Label(), e.Catalog
	b.Transponders = b.Transponders[:1]
	if b.Beacon != nil {
		beacon := *b.Beacon
		beacon.Text = "BIRD"
		b.Beacon = &beacon
	}
	return b, from, nil
}

// Where a bird or elements of a run are from, as its sheet says it.
const fromProgram = "bundled"

// From is what a sheet says of where a bird is from: nobody's folders, only the
// name of the file.
func (k *Known) From() string {
	if k.ByHand != nil {
		return "bands by hand: " + k.ByHand.Words()
	}
	if k.File == "" {
		return fromProgram
	}
	return "own: " + filepath.Base(k.File)
}

func standsIn(name string) string { return "no plan: the transponder of " + name + " stands in" }

// errThere is what errors of Add wrap where a file is in the way.
var errThere = errors.New("is there already")

// InTheWay tells whether Add refused because it would have overwritten a file.
func InTheWay(err error) bool { return errors.Is(err, errThere) }

// Add checks a bird file and puts a copy of it, byte by byte, into the
// operator's folder under the name of its bird. It overwrites a file only where
// it is told to. source names the text in messages.
func (f Flock) Add(text []byte, source string, replace bool) (Known, error) {
	bird, err := sim.ParseBird(text, source)
	if err != nil {
		return Known{}, err
	}
	stem := FileStem(bird.Name)
	if stem == "" {
		return Known{}, fmt.Errorf("%s: the name %q has no letter and no digit to call a file by", source, bird.Name)
	}
	own, _ := f.Own()
	for _, k := range own {
		if sameBird(&k.Bird, &bird) && !replace {
			return k, fmt.Errorf("%s %w: %s", k.Name, errThere, k.File)
		}
	}
	file := filepath.Join(f.Folder, stem+".toml")
	if _, err := os.Stat(file); !errors.Is(err, fs.ErrNotExist) && !replace {
		return Known{Bird: bird, File: file}, fmt.Errorf("%s %w", file, errThere)
	}
	if err := os.MkdirAll(f.Folder, 0o755); err != nil {
		return Known{}, PlainFileError(err)
	}
	if err := outfile.Write(file, text); err != nil {
		return Known{}, err
	}
	return Known{Bird: bird, File: file}, f.makeRoom(own, &bird, file)
}

// makeRoom puts files of the same bird under another name aside: they stay,
// under a name that nothing looks for.
func (f Flock) makeRoom(own []Known, bird *sim.Bird, file string) error {
	for _, k := range own {
		if sameBird(&k.Bird, bird) && k.File != file {
			if err := os.Rename(k.File, k.File+".replaced"); err != nil {
				return PlainFileError(err)
			}
		}
	}
	return nil
}

// FileStem is a name as a file is called by it: small letters, digits, hyphens.
func FileStem(name string) string {
	stem := strings.Map(func(r rune) rune {
		switch {
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case r >= '0' && r <= '9', r >= 'a' && r <= 'z':
			return r
		}
		return '-'
	}, name)
	return strings.Trim(stem, "-")
}
