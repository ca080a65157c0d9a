package birdform_test

import (
	"io/fs"
	"strings"
	"testing"

	"driftdrill/assets"
	"driftdrill/sim"
	"driftdrill/sim/birdform"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func typed(edges ...string) *birdform.Form {
	f := birdform.New("RUFF-8", 99918)
	t := &f.Transponders[0]
	t.UpLow, t.UpHigh, t.DownLow, t.DownHigh = edges[0], edges[1], edges[2], edges[3]
	return f
}

// What is said beside a field, at the figures of bird files (README of bird
// files in assets/FILES.md): both passbands equally wide, a voice's width at least.
func TestNotes(t *testing.T) {
	for name, c := range map[string]struct {
		form  *birdform.Form
		field birdform.Field
		want  string
		ok    bool
	}{
		"the width":              {typed("435.130", "435.170", "", ""), birdform.UpHigh, "40 kHz wide", true},
		"a comma":                {typed("435,130", "435,170", "", ""), birdform.UpHigh, "40 kHz wide", true},
		"the fourth edge":        {typed("435.130", "435.170", "145.880", ""), birdform.DownHigh, "145.920, from the others", true},
		"the first edge":         {typed("", "435.170", "145.880", "145.920"), birdform.UpLow, "435.130, from the others", true},
		"two are missing":        {typed("435.130", "435.170", "", ""), birdform.DownHigh, "", false},
		"upside down":            {typed("435.170", "435.130", "", ""), birdform.UpHigh, "must lie above", false},
		"too narrow":             {typed("435.1300", "435.1320", "", ""), birdform.UpHigh, "2.0 kHz wide; a voice takes 2.7", false},
		"widths that differ":     {typed("435.130", "435.170", "145.880", "145.910"), birdform.DownHigh, "30 kHz wide, the uplink 40 kHz: 145.920?", false},
		"kilohertz":              {typed("435130", "435.170", "", ""), birdform.UpLow, "in megahertz", false},
		"letters":                {typed("435.13o", "", "", ""), birdform.UpLow, "looks like 145.950", false},
		"no name":                {birdform.New(" ", 0), birdform.Name, "needs a name", false},
		"a name of signs":        {birdform.New("--", 0), birdform.Name, "letter or a digit", false},
		"no number":              {birdform.New("RUFF-8", 0), birdform.Catalog, "found by the name", true},
		"no beacon":              {birdform.New("RUFF-8", 0), birdform.Beacon, "none", true},
		"a number, and no digit": {&birdform.Form{Name: "RUFF-8", Catalog: "9991B"}, birdform.Catalog, "nine digits", false},
	} {
		if note, ok := c.form.Note(c.field, 0); !strings.Contains(note, c.want) || ok != c.ok || c.want == "" && note != "" {
			t.Errorf("%s: %q, %v", name, note, ok)
		}
	}
}

// The sum of an inverting transponder and the words of its users, as the trade
// has them: LSB up and USB down, the higher band turned (common practice, no
// published source). 435.130 + 145.920 = 581.050.
func TestWhatFollows(t *testing.T) {
	f := typed("435.130", "435.170", "145.880", "")
	plan, ok := f.Plan(0)
	got := []string{birdform.Turn(&plan), birdform.Sidebands(&plan), birdform.Sum(&plan), birdform.Bands(&plan)}
	want := []string{"Turn the uplink, 70 cm", "Uplink LSB, downlink USB.", "Sum 581.050 MHz: 1 kHz up on the receiver is 1 kHz down on the uplink.", "70 cm up, 2 m down, inverting"}
	if diff := cmp.Diff(want, got); diff != "" || !ok {
		t.Errorf("%v\n%s", ok, diff)
	}
	f = typed("145.940", "145.970", "435.610", "435.640")
	f.Transponders[0].Inverting = false
	plan, ok = f.Plan(0)
	got = []string{birdform.Turn(&plan), birdform.Sidebands(&plan), birdform.Sum(&plan)}
	want = []string{"Turn the receive dial, 70 cm", "Uplink USB, downlink USB.", "Downlink less uplink 289.670 MHz: 1 kHz up on the receiver is 1 kHz up on the uplink."}
	if diff := cmp.Diff(want, got); diff != "" || !ok {
		t.Errorf("%v\n%s", ok, diff)
	}
}

// A bird that is opened in the form and kept unchanged is the same bird, with
// all that the form does not show.
func TestNothingIsLostByEditing(t *testing.T) {
	files, _ := fs.Glob(assets.FS, "birds/*.toml")
	for _, file := range files {
		data, err := assets.FS.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		want, err := sim.ParseBird(data, file)
		if err != nil {
			t.Fatal(err)
		}
		text, err := birdform.Of(want).File()
		if err != nil {
			t.Fatal(err)
		}
		got, err := sim.ParseBird(text, file)
		if err != nil {
			t.Fatal(err)
		}
		for i := range got.Transponders {
			for _, b := range []*sim.Bird{&want, &got} {
				b.Transponders[i].SumHz, b.Transponders[i].DifferenceHz = 0, 0 // worked out anew
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s:\n%s", file, diff)
		}
	}
	if len(files) < 4 {
		t.Errorf("only %d birds", len(files))
	}
}

// Whatever is typed: where the form has nothing against it, the file that it
// makes is taken by the reader of bird files and says what was typed.
func TestWhatTheFormTakesIsABird(t *testing.T) {
	taken := 0
	rapid.Check(t, func(r *rapid.T) {
		f := birdform.New(rapid.StringMatching(`[A-Za-z0-9 \-"\\]{0,44}`).Draw(r, "name"), rapid.IntRange(0, 2_000_000_000).Draw(r, "number"))
		for range rapid.IntRange(0, 3).Draw(r, "more") {
			f.Add()
		}
		for i := range f.Transponders {
			up := rapid.IntRange(29_000, 30_000).Draw(r, "up")
			down := rapid.IntRange(145_000, 146_000).Draw(r, "down")
			width := rapid.IntRange(1, 90).Draw(r, "width")
			tr := &f.Transponders[i]
			tr.Inverting = rapid.Bool().Draw(r, "inverting")
			tr.UpLow, tr.UpHigh, tr.DownLow, tr.DownHigh = khz(up), khz(up+width), khz(down), khz(down+width)
			if rapid.Bool().Draw(r, "leave out") {
				*f.Text(rapid.SampledFrom([]birdform.Field{birdform.UpLow, birdform.UpHigh, birdform.DownLow, birdform.DownHigh}).Draw(r, "field"), i) = rapid.SampledFrom([]string{"", "x", "29"}).Draw(r, "text")
			}
		}
		f.Beacon = rapid.SampledFrom([]string{"", "145.9", "x", "145,987"}).Draw(r, "beacon")
		f.Linear = rapid.Bool().Draw(r, "linear")
		f.InEclipse = rapid.SampledFrom([]string{"on", "low", "off"}).Draw(r, "eclipse")
		if _, _, _, wrong := f.Wrong(); wrong {
			return
		}
		taken++
		text, err := f.File()
		if err != nil {
			r.Fatal(err)
		}
		b, err := sim.ParseBird(text, "typed.toml")
		if err != nil {
			r.Fatalf("%v\n%s", err, text)
		}
		if b.Name != strings.TrimSpace(f.Name) || len(b.Transponders) != len(f.Transponders) || b.Power.InEclipse != f.InEclipse || (b.Beacon != nil) != (f.Beacon != "") {
			r.Fatalf("%+v\n%s", f, text)
		}
	})
	if taken == 0 {
		t.Error("none was taken")
	}
}

func khz(k int) string { return birdform.MHz(float64(k) * 1000) }

func TestTransponders(t *testing.T) {
	f := birdform.New("RUFF-8", 0)
	f.Remove(0)
	if len(f.Transponders) != 1 {
		t.Error("the last transponder is gone")
	}
	for f.Add() {
		if len(f.Transponders) > 64 {
			t.Fatal("more than a bird file takes")
		}
	}
	f.Remove(1)
	if !f.Add() {
		t.Error("no room after one was taken out")
	}
}
