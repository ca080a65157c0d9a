//go:build !nodesk

package screen_test

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// Who leaves a run comes back to the pages from which it was begun, all of them and in
// their order, but not to what only asked something; a run that follows on a run keeps
// them. The voice that was chosen for runs flies along, unless another is asked for.
func TestBackToWhereTheRunBegan(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	var flown []port.RunRequest
	run := screen.NewPick("a run", []string{"x"}, 0, func(int) {})
	s.App.Routes.Run = func(r port.RunRequest) screen.Scene { flown = append(flown, r); return run }
	first, second := &newsPage{}, &newsPage{}
	s.App.Scenes.Push(s.App, first)
	s.App.Scenes.Push(s.App, second)
	s.App.Scenes.Push(s.App, screen.NewPick("Which?", []string{"x"}, 0, func(int) {}))
	s.App.RunVoice = "call"
	s.App.Fly(port.RunRequest{Drill: "a"})
	s.App.Fly(port.RunRequest{Drill: "b", Voice: "own"})
	if len(flown) != 2 || flown[0].Voice != "call" || flown[1].Voice != "own" || s.App.Scenes.Depth() != 1 {
		t.Fatalf("flown %+v, %d scenes", flown, s.App.Scenes.Depth())
	}
	s.App.GoBack()
	if all := s.App.Scenes.All(); len(all) != 2 || all[0] != screen.Scene(first) || all[1] != screen.Scene(second) {
		t.Errorf("back at %v", all)
	}
	s = desktest.NewSeat(t, nil)
	s.App.Scenes.Push(s.App, run)
	s.App.GoBack()
	if s.App.Scenes.Depth() != 1 || s.App.Scenes.Top() == screen.Scene(run) {
		t.Error("without a page it does not lead to the first one")
	}
}

// The voice for the runs to come is chosen among those that there are; its button names
// it, and is off where there is no choice.
func TestVoiceForTheRuns(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	if b := screen.VoiceButton(s.App); !b.Off {
		t.Error("there is a choice of nothing")
	}
	s.App.Cfg.OwnVoices = desktest.OwnVoices
	s.App.Scenes.Push(s.App, &newsPage{})
	for i, want := range []struct{ name, text string }{{"", "Your voice"}, {"tone", "Your voice: a tone"}, {"call", "Your voice: a spoken call"}} {
		screen.VoiceButton(s.App).Do()
		p := s.App.Scenes.Top().(*screen.Pick)
		if p.List.Say(0) != "as the settings say" || p.List.Count != 4 {
			t.Errorf("offered: %d, the first %q", p.List.Count, p.List.Say(0))
		}
		p.List.Open(i)
		b := screen.VoiceButton(s.App)
		if s.App.RunVoice != want.name || b.Text != want.text {
			t.Errorf("choice %d: %q, the button says %q", i, s.App.RunVoice, b.Text)
		}
		b.Do()
		if p := s.App.Scenes.Top().(*screen.Pick); p.List.At != i {
			t.Errorf("asked again, it is at %d", p.List.At)
		}
		s.App.Scenes.Pop(s.App)
	}
}

// hunted has a hunt answer with entries.
func hunted(t *testing.T, a *screen.App, h *screen.PassHunt) {
	t.Helper()
	for n := 0; !h.Poll(); n++ {
		if n > 5000 {
			t.Fatal("no answer")
		}
		time.Sleep(time.Millisecond)
	}
}

// What was found holds for ten minutes, for the same place and elements, until birds
// change or another search is begun.
func TestPassesStayFresh(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	now := desktest.Now
	var fail error
	s.App.Cfg.Pages = desktest.Pages()
	s.App.Cfg.Now = func() time.Time { return now }
	s.App.Cfg.Passes = func(_ context.Context, _ port.PassQuery, p port.Progress) ([]port.PassEntry, error) {
		p(3, 7)
		return []port.PassEntry{{Bird: "LARK-1"}}, fail
	}
	var h screen.PassHunt
	begin := func() {
		h.Begin(s.App, port.PassQuery{Site: s.App.Set.Site, Elements: s.App.Set.Elements})
		if h.Fresh(s.App) {
			t.Error("it is fresh before it has answered")
		}
		hunted(t, s.App, &h)
	}
	begin()
	if !h.Fresh(s.App) || h.Done.Load() != 3 || h.Total.Load() != 7 || len(h.Found) != 1 || h.Poll() {
		t.Errorf("fresh %t, %d of %d, %d found", h.Fresh(s.App), h.Done.Load(), h.Total.Load(), len(h.Found))
	}
	for what, change := range map[string]func(){
		"place": func() { s.App.Set.Site = "JN59" }, "elements": func() { s.App.Set.Elements = "club.txt" }, "birds": func() { s.App.BirdsChanged++ }, "time": func() { now = now.Add(10 * time.Minute) },
	} {
		begin()
		if change(); h.Fresh(s.App) {
			t.Errorf("it holds though the %s has changed", what)
		}
	}
	begin()
	if now = now.Add(10*time.Minute - time.Second); !h.Fresh(s.App) {
		t.Error("it does not hold for ten minutes")
	}
	fail = errors.New("no elements")
	begin()
	if h.Fresh(s.App) || h.Has || h.Err == nil {
		t.Error("nothing that was found is fresh")
	}
	fail = nil
	if begin(); h.Err != nil || !h.Has {
		t.Errorf("after one that failed: %v", h.Err)
	}
	h.Begin(s.App, port.PassQuery{})
	if h.Stop(); h.Fresh(s.App) {
		t.Error("a search that was stopped has found something")
	}
}

// Birds without a plan come once each among those without, and among all only where
// that is wished; favourites alone where they are.
func TestPassesOfBirdsWithoutPlan(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	s.App.Cfg.Passes = func(context.Context, port.PassQuery, port.Progress) ([]port.PassEntry, error) {
		return []port.PassEntry{{Key: "a", Bird: "LARK-1", Favourite: true}, {Key: "b", Bird: "X", NoPlan: true}, {Key: "c", Bird: "X", NoPlan: true}, {Key: "d", Bird: "X", Catalog: 7, NoPlan: true, Favourite: true}}, nil
	}
	var h screen.PassHunt
	h.Begin(s.App, port.PassQuery{})
	hunted(t, s.App, &h)
	keys := func(all []port.PassEntry) (s string) {
		for _, e := range all {
			s += e.Key
		}
		return s
	}
	for _, c := range []struct {
		all, liked bool
		want       string
	}{{false, false, "a bd"}, {true, false, "abcd bd"}, {false, true, "a d"}, {true, true, "ad d"}} {
		if h.Choose(c.all, c.liked); keys(h.Found)+" "+keys(h.Without) != c.want {
			t.Errorf("all %t, favourites %t: %s %s, want %s", c.all, c.liked, keys(h.Found), keys(h.Without), c.want)
		}
	}
}

// A reminder is shown in a run too, where nothing else is told; without words nothing is.
func TestNewsInARun(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	said := desktest.Hearing(s.Stage)
	run := screen.NewPick("a run", []string{"x"}, 0, func(int) {})
	s.App.Scenes.Push(s.App, run)
	*said = nil
	s.App.Cfg.News = func(time.Time) []port.News {
		return []port.News{{Text: "Younger elements have come."}, {Birds: true}}
	}
	for range 60 {
		s.App.Frame++
		s.App.Step()
	}
	if len(*said) > 0 || s.App.BirdsChanged != 2 {
		t.Errorf("said %q, birds changed %d times", *said, s.App.BirdsChanged)
	}
	s.App.Scenes.Push(s.App, &newsPage{})
	*said = nil
	s.App.Cfg.News = func(time.Time) []port.News { return []port.News{{}} }
	for range 60 {
		s.App.Frame++
		s.App.Step()
	}
	if len(*said) > 0 {
		t.Errorf("said %q of nothing", *said)
	}
}

// Settings that cannot be kept are told; where nobody keeps them nothing is said.
func TestSettingsThatCannotBeKept(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	said := desktest.Hearing(s)
	s.App.Save()
	s.App.Cfg.SaveSettings = func(port.Settings) error { return errors.New("the disk is full") }
	s.App.Save()
	if len(*said) != 1 || (*said)[0] != "Settings are not saved: the disk is full" {
		t.Errorf("said %q", *said)
	}
	s.App.SpeakAgain()
	if len(*said) != 2 || (*said)[1] != (*said)[0] {
		t.Errorf("said again: %q", *said)
	}
	s.App.Scenes.Push(s.App, &telling{})
	*said = nil
	if s.App.SpeakAgain(); strings.Join(*said, " ") != "There are three left." {
		t.Errorf("where it can tell more: %q", *said)
	}
}

// telling is a page that has more to say than its last words.
type telling struct{ newsPage }

func (*telling) TellNow(*screen.App) string { return "There are three left." }

// named is a file of the system's, in what was dropped.
type named struct {
	fs.FS
	where string
}

type namedFile struct {
	fs.File
	where string
}

func (f namedFile) Name() string { return f.where }

func (n named) Open(name string) (fs.File, error) {
	f, err := n.FS.Open(name)
	if name == "." {
		return f, err
	}
	return namedFile{f, n.where}, err
}

// recorded is a page that measures sound files.
type recorded struct {
	newsPage
	files []string
}

func (r *recorded) TakeSound(_ *screen.App, file string) { r.files = append(r.files, file) }

// drop drops files on the window, and waits for what is said of them, if anything.
func drop(s *desktest.Seat, files fs.FS, said *[]string) string {
	*said = nil
	s.Files = files
	s.App.In.Collect(1)
	s.App.Step()
	s.Files = nil
	for n := 0; n < 5000 && said != nil && len(*said) == 0; n++ {
		s.App.In.Collect(1)
		s.App.Step()
		time.Sleep(time.Millisecond)
	}
	return strings.Join(*said, " ")
}

// A sound file that is dropped is measured: by the page for it, or on one that is
// opened for it, but not in a run. Any ending that is sound will do.
func TestSoundIsDropped(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	s.App.Cfg.Pages = desktest.Pages()
	var opened []string
	s.App.Routes.Recording = func(file string) screen.Scene { opened = append(opened, file); return &recorded{} }
	put := func(name string) {
		s.Files = named{fstest.MapFS{name: {Data: []byte("x")}}, "/home/q3fen/" + name}
		s.App.In.Collect(1)
		s.App.Step()
		s.Files = nil
		s.App.In.Collect(1)
	}
	s.App.Scenes.Push(s.App, screen.NewPick("a run", []string{"x"}, 0, func(int) {}))
	if put("pass.wav"); len(opened) > 0 {
		t.Error("a run is left for a recording")
	}
	s.App.Scenes.Replace(s.App, &newsPage{})
	if put("pass.WAV"); len(opened) != 1 || opened[0] != "/home/q3fen/pass.WAV" || s.App.Scenes.Depth() != 2 {
		t.Errorf("opened %q", opened)
	}
	r := &recorded{}
	s.App.Scenes.Replace(s.App, r)
	for _, name := range []string{"a.flac", "b.mp3", "c.ogg", "d.oga", "e.wav", "f.txt"} {
		put(name)
	}
	if got := strings.Join(r.files, " "); got != "/home/q3fen/a.flac /home/q3fen/b.mp3 /home/q3fen/c.ogg /home/q3fen/d.oga /home/q3fen/e.wav" {
		t.Errorf("measured %q", got)
	}
}

// So many files are taken at once and no more, none that is too large; a drill that is
// dropped on a page is flown.
func TestManyFilesAreDropped(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	s.App.Cfg.Pages = desktest.Pages()
	said := desktest.Hearing(s.Stage)
	taken := 0
	s.App.Cfg.TakeFile = func(_ context.Context, name string, _ []byte) (port.Taken, error) {
		taken++
		return port.Taken{Drill: map[bool]string{true: name}[name == "mine.toml"], Says: "Taken"}, nil
	}
	s.App.Scenes.Push(s.App, &newsPage{})
	many := fstest.MapFS{}
	for i := range 17 {
		many[fmt.Sprintf("%02d.txt", i)] = &fstest.MapFile{Data: []byte("x")}
	}
	if got := drop(s, many, said); taken != 16 || !strings.HasSuffix(got, "16 files at once are taken; drop the others again.") {
		t.Errorf("taken %d, said %q", taken, got)
	}
	delete(many, "16.txt")
	if got := drop(s, many, said); taken != 32 || strings.Contains(got, "drop the others") {
		t.Errorf("taken %d, said %q", taken, got)
	}
	var flown port.RunRequest
	s.App.Routes.Run = func(r port.RunRequest) screen.Scene {
		flown = r
		return screen.NewPick("a run", []string{"x"}, 0, func(int) {})
	}
	drop(s, fstest.MapFS{"mine.toml": {Data: []byte("x")}}, said)
	if flown.Drill != "mine.toml" {
		t.Errorf("flown: %+v", flown)
	}
	flown = port.RunRequest{}
	drop(s, fstest.MapFS{"mine.toml": {Data: []byte("x")}}, said)
	if flown.Drill != "" {
		t.Error("a drill takes the place of a run")
	}
}

// The tone is begun and ended by one button, which says so; levels reach it while it
// sounds; without sound it is said why, and the button is as before.
func TestToneTest(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	said := desktest.Hearing(s)
	var fail error
	begun, ended := make(chan bool, 4), make(chan bool, 4)
	var levels []port.Levels
	s.App.Cfg.TestTone = func(port.Settings) (func(), func(port.Levels), error) {
		begun <- true
		return func() { ended <- true }, func(l port.Levels) { levels = append(levels, l) }, fail
	}
	var tone screen.ToneTest
	b := tone.Button(s.App)
	tone.Levels(port.Levels{MasterDB: -3}) // nobody hears it
	b.Do()
	<-begun
	for n := 0; n < 5000 && len(levels) == 0; n++ {
		tone.Poll(s.App)
		tone.Levels(port.Levels{MasterDB: -5})
		time.Sleep(time.Millisecond)
	}
	if b.Text != "Stop the tone" || len(levels) != 1 || levels[0].MasterDB != -5 {
		t.Errorf("while it sounds: %q, levels %v", b.Text, levels)
	}
	b.Do()
	<-ended
	if b.Text != "Play the test tone" || b.Hint != "it starts softly; headphones on" || len(*said) != 1 || (*said)[0] != "The tone has ended." {
		t.Errorf("after it: %q, said %q", b.Text, *said)
	}
	if tone.Levels(port.Levels{}); len(levels) != 1 {
		t.Error("a tone that has ended hears levels")
	}
	fail, *said = errors.New("no device"), nil
	b.Do()
	<-begun
	for n := 0; n < 5000 && len(*said) == 0; n++ {
		tone.Poll(s.App)
		time.Sleep(time.Millisecond)
	}
	if b.Text != "Play the test tone" || strings.Join(*said, " ") != "There is no sound: no device" {
		t.Errorf("without sound: %q, said %q", b.Text, *said)
	}
}

// A page says where one is when it comes on, leads back by Escape, and shows what has
// the keys once it was opened by them.
func TestPageLeadsBack(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	said := desktest.Hearing(s.Stage)
	s.App.Scenes.Push(s.App, &newsPage{})
	*said = nil
	s.App.Cfg.OwnVoices = desktest.OwnVoices
	p := &headed{title: "A page", under: "with a line"}
	s.App.Scenes.Push(s.App, p)
	if got := strings.Join(*said, " "); got != "A page. With a line. Your voice." && got != "A page. with a line. Your voice." || !p.Focus.Visible || len(p.Widgets) != 2 {
		t.Errorf("said %q", got)
	}
	s.Update(1)
	s.Press(t, "key:Escape")
	if s.App.Scenes.Depth() != 1 {
		t.Error("Escape does not lead back")
	}
	s.App.In.Contacts = []kit.Contact{{ID: -1, Down: true, Pressed: true}}
	q := &headed{title: "A page"}
	q.Focus.At = 7
	q.Enter(s.App)
	if q.Focus.Visible || q.Focus.At != 1 {
		t.Errorf("opened by the mouse: the keys show at %d", q.Focus.At)
	}
}
