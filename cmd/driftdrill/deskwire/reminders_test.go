//go:build !nodesk

package deskwire

import (
	"bytes"
	"context"
	"errors"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"driftdrill/audio"
	"driftdrill/audio/speech"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"
)

// withReminders is a wiring that keeps reminders in a folder.
func withReminders(t *testing.T, d trainer.Disk) *wiring {
	t.Helper()
	w := withFolders(t)
	w.reminders = &reminders{disk: d}
	return w
}

// A reminder that is set is told ten minutes before, in a window that is opened
// anew too, once; taken back it is not.
func TestRemindersOutliveTheWindow(t *testing.T) {
	d := trainer.Disk{Data: t.TempDir()}
	rises := time.Date(2026, 11, 25, 19, 0, 0, 0, time.UTC)
	pass := func(key string, after time.Duration) port.PassEntry {
		return port.PassEntry{Key: key, Bird: "LARK-1", AOS: rises.Add(after), LOS: rises.Add(after + 12*time.Minute), MaxElevationDeg: 56}
	}
	r := &reminders{disk: d}
	for _, e := range []port.PassEntry{pass("a", 0), pass("b", time.Hour), pass("c", 2*time.Hour)} {
		if err := r.set(e, true); err != nil {
			t.Fatal(err)
		}
	}
	if err := r.set(pass("b", time.Hour), false); err != nil || r.has("b") || !r.has("a") || !r.has("c") {
		t.Fatal(err, r.has("a"), r.has("b"), r.has("c"))
	}
	again := &reminders{disk: d}
	if told := again.due(rises.Add(-10 * time.Minute)); len(told) != 1 || !told[0].Chime || !strings.HasPrefix(told[0].Text, "LARK-1 rises in 10 minutes") {
		t.Errorf("told %+v", told)
	}
	third := &reminders{disk: d}
	if told := third.due(rises.Add(-9 * time.Minute)); len(told) != 0 || !third.has("a") {
		t.Errorf("told again after a restart: %+v", told)
	}
	if told := third.due(rises.Add(time.Hour)); len(told) != 0 || third.has("a") {
		t.Errorf("told %+v; kept: %v", told, third.has("a"))
	}
}

// What is due rings by the clock on the wall, whether the window looks or not,
// and the window shows it once.
func TestWhatRingsIsShownOnce(t *testing.T) {
	w := withReminders(t, trainer.Disk{Data: t.TempDir()})
	now := time.Now()
	e := port.PassEntry{Key: "a", Bird: "LARK-1", AOS: now.Add(5 * time.Minute), LOS: now.Add(15 * time.Minute), MaxElevationDeg: 40}
	if err := w.reminders.set(e, true); err != nil {
		t.Fatal(err)
	}
	w.ring(now)
	w.ring(now)
	if got := w.news(now); len(got) != 1 || !got[0].Spoken || got[0].Birds || !strings.HasPrefix(got[0].Text, "LARK-1 rises in 5 minutes") {
		t.Errorf("%+v", got)
	}
	if got := w.news(now); len(got) != 0 {
		t.Errorf("shown twice: %+v", got)
	}
}

// The chime is soft: heard through the announcer, the limiter with it, it stays
// below half of full scale, has no step at its start or end, and is no louder
// than the spoken voice, whose level is 0.1 RMS.
func TestChimeIsSoft(t *testing.T) {
	a := audio.NewAnnouncer()
	a.Say(speech.Spoken(slices.Clone(chime())))
	out := make([]float32, 2*audio.SampleRate*2)
	a.Fill(out)
	var peak, step, loudest float64
	for i := 2; i < len(out); i += 2 {
		peak = math.Max(peak, math.Abs(float64(out[i])))
		step = math.Max(step, math.Abs(float64(out[i]-out[i-2])))
	}
	for from := 0; from+4800 <= len(out); from += 4800 {
		var sum float64
		for i := from; i < from+4800; i += 2 {
			sum += float64(out[i]) * float64(out[i])
		}
		loudest = math.Max(loudest, math.Sqrt(sum/2400))
	}
	t.Logf("peak %.3f, greatest step %.4f, loudest 50 ms %.3f RMS", peak, step, loudest)
	if peak < 0.02 || peak > 0.5 || step > 0.06 || loudest > 0.2 {
		t.Errorf("peak %.3f, greatest step %.4f, loudest 50 ms %.3f RMS", peak, step, loudest)
	}
}

// fakeSky is a sky of made-up sources.
type fakeSky struct {
	all []trainer.Source
	sky trainer.Sky
	got []trainer.Refreshed
}

func (f *fakeSky) Kept() (trainer.Sky, error)                        { return f.sky, nil }
func (f *fakeSky) Sources(context.Context) ([]trainer.Source, error) { return f.all, nil }
func (f *fakeSky) Drop(string) error                                 { return nil }
func (f *fakeSky) Add(_ context.Context, place string) (string, error) {
	text, err := os.ReadFile(place)
	if err != nil {
		return "", err
	}
	sets, _ := orbit.ReadElements(bytes.NewReader(text), place)
	f.all = append(f.all, trainer.Source{Place: place, Sets: sets})
	f.sky.Sources = append(f.sky.Sources, place)
	return "", nil
}
func (f *fakeSky) Favour(bird string, catalog int, on bool) error {
	f.sky.Favour(bird, catalog, on)
	return nil
}
func (f *fakeSky) Refresh(context.Context, bool) ([]trainer.Refreshed, error) { return f.got, nil }

// The passes are those of all sources by the youngest elements; the sheet names
// the source, the page of the sky the age and its cost, and a favourite is one.
func TestManySources(t *testing.T) {
	sets, err := trainer.ReadBundledElements(trainer.BundledElements)
	if err != nil {
		t.Fatal(err)
	}
	old, young := sets[0], sets[0]
	old.Epoch, young.Epoch = time.Now().UTC().Add(-20*24*time.Hour), time.Now().UTC().Add(-5*time.Hour)
	unknown := sets[1]
	unknown.Name, unknown.Catalog, unknown.Epoch = "KNOT-5", 99910, young.Epoch
	sky := &fakeSky{all: []trainer.Source{{Place: "/home/q3fen/club.tle", Sets: append(sets[:0:0], old, unknown)}, {Place: "https://elements.example/birds.txt?key=1", Sets: append(sets[:0:0], young), Asked: time.Now()},
		{Place: "gone.txt", Err: errors.New("there is no such file")}}}
	w := withFolders(t)
	w.Sky = sky
	sky.Favour(old.Label(), old.Catalog, true)
	all, err := w.passes(t.Context(), port.PassQuery{Days: 2, AboveDeg: 5}, func(int, int) {})
	if err != nil || len(all) == 0 {
		t.Fatal(len(all), err)
	}
	seen := map[string]bool{}
	for _, p := range all {
		if seen[p.Bird] = true; p.Bird == old.Label() && (p.Source != "birds.txt" || p.Old != "" || !p.Favourite || !strings.Contains(p.Age, "Hz off")) || p.Bird == "KNOT-5" && (p.Source != "club.tle" || p.Favourite) {
			t.Errorf("%+v", p)
		}
	}
	if len(seen) != 2 {
		t.Errorf("passes of %v", seen)
	}
	for _, p := range all {
		if p.Bird != old.Label() {
			continue
		}
		setup, err := w.chosenPass(t.Context(), port.RunRequest{Drill: "first-hold", Pass: p.Key, Seed: 1})
		if err != nil || !strings.HasPrefix(setup.ElementsFrom, "own: birds.txt, epoch "+young.Epoch.Format("2006-01-02 15:04 UTC")) || !setup.Elements.Epoch.Equal(young.Epoch) {
			t.Errorf("flown: %v, %q", err, setup.ElementsFrom)
		}
		break
	}
	look, err := w.lookAtSky(t.Context())
	if err != nil || len(look.Birds) != 2 || len(look.Sources) != 3 || look.Sources[2].Fault == "" || !strings.HasPrefix(look.Sources[1].Says, "1 bird, 0.2 days old, asked ") {
		t.Fatalf("%v, %+v", err, look)
	}
	if b := look.Birds[0]; b.Also != "older in club.tle" || !b.Favourite || !b.Planned || b.Old || !strings.HasPrefix(b.Age, "0.2 days old, up to ") || !strings.HasSuffix(b.Age, " Hz off") {
		t.Errorf("%+v", b)
	}
	if b := look.Birds[1]; b.Planned || !strings.HasSuffix(b.Age, " s early or late") {
		t.Errorf("%+v", b)
	}
	if says, ok := w.checkElements(""); !ok || says != "no" && !strings.Contains(says, "program") && !strings.Contains(says, "source") {
		t.Errorf("%q", says)
	}
}

// What comes by itself is told once, and that the birds have changed.
func TestFreshElementsAreNews(t *testing.T) {
	w := withFolders(t)
	w.noteFresh([]trainer.Refreshed{{Place: "https://elements.example/birds.txt", Asked: true, Says: "nothing newer"}, {Place: "https://elements.example/a.txt", Asked: true, Changed: true, Says: "3 birds"}})
	got := w.news(time.Now())
	if len(got) != 1 || !got[0].Birds || got[0].Spoken || got[0].Text != "Younger elements have come from a.txt: 3 birds." {
		t.Errorf("%+v", got)
	}
	if again := w.news(time.Now()); len(again) != 0 {
		t.Errorf("told twice: %+v", again)
	}
}
