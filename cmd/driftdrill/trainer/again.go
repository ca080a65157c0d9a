package trainer

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/orbit"
	"driftdrill/sim"
)

// Again is the pass that a drill of one's own was made from: beside the drill,
// so that the drill always leads to that pass, however old its elements grow.
type Again struct {
	Elements orbit.Elements `json:"elements"`
	Source   string         `json:"source"` // where they are from; "" = they are in the program
	Site     orbit.Site     `json:"site"`
	Pass     time.Time      `json:"pass_utc"` // a time at which it is up
}

// againFile is where the pass of a drill lies.
func againFile(drill string) string { return strings.TrimSuffix(drill, ".toml") + ".pass.json" }

// KeepAgain writes a drill and its pass into a folder and returns where the
// drill lies. One of the same name is replaced: it was made from the same stretch.
func KeepAgain(folder, stem string, drill []byte, a Again) (path string, err error) {
	path = filepath.Join(folder, FileStem(stem)+".toml")
	if _, err := sim.ParseDrill(drill, path); err != nil {
		return "", fmt.Errorf("the drill cannot be flown: %w", err)
	}
	text, err := json.MarshalIndent(a, "", "  ")
	if err != nil {
		return "", err
	}
	if err := outfile.Write(againFile(path), append(text, '\n')); err != nil {
		return "", err
	}
	return path, outfile.Write(path, drill)
}

// ReadAgain returns the pass that a drill was made from; ok is false where it
// was made from none.
func ReadAgain(drill string) (a Again, ok bool, err error) {
	if !IsFile(drill) {
		return a, false, nil
	}
	name := againFile(drill)
	text, err := readKept(name)
	if text == nil {
		return a, false, err
	}
	a, err = parseAgain(text, name)
	return a, err == nil, err
}

func parseAgain(text []byte, name string) (a Again, err error) {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&a); err != nil {
		return a, fmt.Errorf("%s cannot be read: %w; make the drill anew from its recording", name, err)
	}
	s := a.Site
	if !(math.Abs(s.LatDeg) <= 90 && math.Abs(s.LonDeg) <= 180 && math.Abs(s.AltM) < 1e5) || a.Pass.IsZero() {
		return a, fmt.Errorf("%s makes no sense (place %g, %g, pass of %s); make the drill anew from its recording", name, s.LatDeg, s.LonDeg, a.Pass.Format(time.RFC3339))
	}
	if _, err := orbit.NewPropagator(a.Elements); err != nil {
		return a, fmt.Errorf("%s: its elements cannot be used: %w; make the drill anew from its recording", name, err)
	}
	return a, nil
}

// Flight is the flight of that drill on that pass.
func (a *Again) Flight(drill string, birds Flock) Flight {
	return Flight{Drill: drill, Birds: birds, Elements: []orbit.Elements{a.Elements}, Source: a.Source, Site: &a.Site, Pass: a.Pass.UTC().Format(time.RFC3339)}
}

// OwnDrill is a drill file of one's own.
type OwnDrill struct {
	File string
	sim.Drill
	From string // the bird and the day of the pass that it was made from; "" = none
}

// OwnDrills reads the drills in a folder, the latest first; what cannot be read
// is left out, for whoever names it is told why.
func OwnDrills(folder string) []OwnDrill {
	entries, _ := os.ReadDir(folder) // none where it is not there
	var all []OwnDrill
	written := map[string]time.Time{}
	for _, e := range entries {
		file := filepath.Join(folder, e.Name())
		info, err := e.Info()
		if e.IsDir() || err != nil || !strings.EqualFold(filepath.Ext(file), ".toml") {
			continue
		}
		text, err := os.ReadFile(file)
		if err != nil {
			continue
		}
		d, err := sim.ParseDrill(text, file)
		if err != nil {
			continue
		}
		o := OwnDrill{File: file, Drill: d}
		if a, ok, _ := ReadAgain(file); ok {
			o.From = a.Elements.Label() + ", " + a.Pass.UTC().Format("2 Jan 2006")
			if a.Elements.Name != "" {
				o.From = a.Elements.Name + ", " + a.Pass.UTC().Format("2 Jan 2006")
			}
		}
		written[file] = info.ModTime()
		all = append(all, o)
	}
	slices.SortStableFunc(all, func(a, b OwnDrill) int { return written[b.File].Compare(written[a.File]) })
	return all
}
