//go:build !nodesk

package screen

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"path"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// What is taken at once when files are dropped: our choice.
const (
	mostDropped      = 16
	mostDroppedBytes = 64 << 20
)

// drops takes files that are dropped on the window.
type drops struct{ job kit.Job[[]port.Taken] }

// update takes new files, and brings into effect what became of those before.
func (d *drops) update(a *App) {
	if sound := soundIn(a.In.Dropped); sound != "" && a.Cfg.OpenRecording != nil {
		openSound(a, sound)
	} else if files := a.In.Dropped; files != nil && a.Cfg.TakeFile != nil {
		take := a.Cfg.TakeFile
		d.job.Start(a.Window, func(ctx context.Context) ([]port.Taken, error) { return takeAll(ctx, files, take) })
	}
	r, ok := d.job.Poll()
	if !ok {
		return
	}
	var says []string
	for _, t := range r.Value {
		says = append(says, t.Says)
		if t.All && a.Set.Elements != "" {
			a.Set.Elements = ""
			a.Apply(a.Set)
			a.Save()
		}
		if t.Birds {
			a.BirdsChanged++
		}
	}
	if r.Err != nil {
		says = append(says, r.Err.Error())
	}
	a.Say(kit.Sentences(says...))
	for _, t := range r.Value {
		if _, page := a.Scenes.Top().(Origin); t.Drill != "" && page {
			a.Fly(port.RunRequest{Drill: t.Drill})
			return
		}
	}
	if n, ok := a.Scenes.Top().(Renewer); ok {
		n.Renew(a)
	}
}

// SoundTaker is a page that measures a sound file.
type SoundTaker interface{ TakeSound(a *App, file string) }

// openSound measures a recording that was dropped: on the page for it, wherever
// one is but in a run.
func openSound(a *App, file string) {
	top := a.Scenes.Top()
	if t, ok := top.(SoundTaker); ok {
		t.TakeSound(a, file)
	} else if _, page := top.(Origin); page {
		a.Scenes.Push(a, a.Routes.Recording(file))
	}
}

// soundIn is where the first sound file among those that were dropped lies; "" = there is none.
func soundIn(files fs.FS) string {
	if files == nil {
		return ""
	}
	entries, err := fs.ReadDir(files, ".")
	if err != nil {
		return ""
	}
	for _, e := range entries {
		switch strings.ToLower(path.Ext(e.Name())) {
		case ".wav", ".flac", ".mp3", ".ogg", ".oga":
			f, err := files.Open(e.Name())
			if err != nil {
				continue
			}
			defer f.Close()
			if named, ok := f.(interface{ Name() string }); ok { // a file of the system's
				return named.Name()
			}
		}
	}
	return ""
}

// Renewer is a page that shows birds or what follows from them, and looks anew
// when they have changed.
type Renewer interface{ Renew(a *App) }

// takeAll takes files one after another; the first that cannot be taken ends it.
func takeAll(ctx context.Context, files fs.FS, take func(context.Context, string, []byte) (port.Taken, error)) (taken []port.Taken, err error) {
	entries, err := fs.ReadDir(files, ".")
	if err != nil {
		return nil, fmt.Errorf("what was dropped cannot be read: %w", err)
	}
	for i, e := range entries {
		if i == mostDropped {
			return taken, fmt.Errorf("%d files at once are taken; drop the others again", mostDropped)
		}
		data, err := readDropped(files, e)
		if err != nil {
			return taken, err
		}
		t, err := take(ctx, path.Base(e.Name()), data)
		if err != nil {
			return taken, err
		}
		taken = append(taken, t)
	}
	return taken, nil
}

func readDropped(files fs.FS, e fs.DirEntry) ([]byte, error) {
	if e.IsDir() {
		return nil, fmt.Errorf("%s is a folder; drop the files in it", e.Name())
	}
	f, err := files.Open(e.Name())
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, mostDroppedBytes+1))
	if len(data) > mostDroppedBytes {
		return nil, fmt.Errorf("%s is larger than %d MB; name it in the settings or on the command line", e.Name(), mostDroppedBytes>>20)
	}
	return data, err
}
