//go:build !nodesk

package deskwire

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
)

// birds lists the birds for the desk.
func (w *wiring) birds() (all []port.Bird, broken []string) {
	known, faults := w.Flock.All()
	for _, k := range known {
		all = append(all, port.Bird{Bird: k.Bird, File: k.File})
	}
	for _, err := range faults {
		broken = append(broken, err.Error())
	}
	return all, broken
}

// keepBird puts a bird file among the operator's own birds.
func (w *wiring) keepBird(text []byte, replace bool) (where string, inTheWay bool, err error) {
	if w.Flock.Folder == "" {
		return "", false, errors.New("there is no folder for birds here")
	}
	k, err := w.Flock.Add(text, "the form", replace)
	if trainer.InTheWay(err) {
		return k.File, true, nil
	}
	return k.File, false, err
}

// takeFile takes a file that was dropped on the window: a bird among the
// operator's own, elements as one more of his sources, a drill to be flown, a
// recording of a voice for the next runs. It is told by what is in it.
func (w *wiring) takeFile(ctx context.Context, name string, data []byte) (port.Taken, error) {
	switch ext := strings.ToLower(filepath.Ext(name)); {
	case ext == ".toml" && bytes.Contains(data, []byte("[[transponder]]")):
		return w.takeBird(name, data)
	case ext == ".toml":
		return w.takeDrill(name, data)
	case ext == ".wav":
		return w.takeVoice(name, data)
	}
	return w.takeElements(ctx, name, data)
}

// put keeps a file that was dropped in the program's folder of a kind: the
// window is given its contents, not the place that it lies in.
func (w *wiring) put(kind, name string, data []byte) (string, error) {
	if w.Dropped == "" {
		return "", fmt.Errorf("%s: there is no folder to keep it in here", name)
	}
	place := filepath.Join(w.Dropped, kind, filepath.Base(name))
	return place, outfile.Write(place, data)
}

func (w *wiring) takeBird(name string, data []byte) (port.Taken, error) {
	if w.Flock.Folder == "" {
		return port.Taken{}, fmt.Errorf("%s: there is no folder for birds here", name)
	}
	k, err := w.Flock.Add(data, name, false)
	switch {
	case trainer.InTheWay(err):
		return port.Taken{}, fmt.Errorf("%s: you have %s already; change it on the page My birds, or take its file %s away first", name, k.Name, k.File)
	case err != nil:
		return port.Taken{}, err
	}
	return port.Taken{Says: k.Name + " is one of your birds now", Birds: true}, nil
}

func (w *wiring) takeDrill(name string, data []byte) (port.Taken, error) {
	d, err := sim.ParseDrill(data, name)
	if err != nil {
		return port.Taken{}, err
	}
	place, err := w.put("drills", name, data)
	title := d.Title
	if title == "" {
		title = d.Name
	}
	return port.Taken{Says: "The drill " + title, Drill: place}, err
}

func (w *wiring) takeVoice(name string, data []byte) (port.Taken, error) {
	own, err := audio.ReadVoice(bytes.NewReader(data), name)
	if err != nil {
		return port.Taken{}, err
	}
	w.mu.Lock()
	w.voice = trainer.OwnVoice{Name: "own", File: own}
	w.mu.Unlock()
	return port.Taken{Says: "You speak with " + name + " from the next run on"}, nil
}
