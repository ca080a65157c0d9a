//go:build !nodesk

package screen_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// renewed is a page that counts how often it looks anew.
type renewed struct {
	*screen.Pick
	times int
}

func (r *renewed) Renew(*screen.App) { r.times++ }

// Files that are dropped on the window are taken one after another; what became
// of them comes into effect and is said, and what cannot be taken is said too.
func TestFilesDroppedOnTheWindow(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	s.App.Cfg.Pages = desktest.Pages()
	said := desktest.Hearing(s.Stage)
	saved := 0
	s.App.Set.Elements = "/home/q3fen/club.txt"
	s.App.Cfg.SaveSettings = func(port.Settings) error { saved++; return nil }
	s.App.Cfg.TakeFile = func(_ context.Context, name string, data []byte) (port.Taken, error) {
		if string(data) == "soup" {
			return port.Taken{}, errors.New(name + " is no file that can be taken here")
		}
		return port.Taken{Says: "Taken: " + name, Birds: true, All: true}, nil
	}
	page := &renewed{Pick: screen.NewPick("Whose?", []string{"mine", "yours"}, 0, func(int) {})}
	s.App.Scenes.Push(s.App, page)
	drop := func(files fstest.MapFS, until string) {
		t.Helper()
		s.Files = files
		s.App.In.Collect(1)
		s.App.Step()
		s.Files = nil
		for n := 0; n < 5000 && !strings.Contains(strings.Join(*said, " "), until); n++ {
			s.App.In.Collect(1)
			s.App.Step()
			time.Sleep(time.Millisecond)
		}
		if !strings.Contains(strings.Join(*said, " "), until) {
			t.Fatalf("said %q, not %q", *said, until)
		}
	}
	drop(fstest.MapFS{"birds.txt": {Data: []byte("1 99901")}}, "Taken: birds.txt.")
	if s.App.BirdsChanged != 1 || page.times != 1 || s.App.Set.Elements != "" || saved != 1 {
		t.Errorf("elements %q, saved %d times, birds changed %d times, looked anew %d times", s.App.Set.Elements, saved, s.App.BirdsChanged, page.times)
	}
	drop(fstest.MapFS{"a.txt": {Data: []byte("soup")}}, "a.txt is no file that can be taken here.")
	drop(fstest.MapFS{"folder/a.txt": {Data: []byte("soup")}}, "folder is a folder; drop the files in it.")
}
