package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/sim"
	"driftdrill/testdata/race"

	"github.com/adrg/xdg"
)

// flownRecording rehearses a drill by voice with a simulated hand and returns
// its sound, the microphone on the left and the receiver on the right, and
// what the run's own physics say.
func flownRecording(t *testing.T) (wav string, trace *scoring.Trace, setup sim.Setup) {
	t.Helper()
	dir := t.TempDir()
	drill := strings.Replace(bundledFile(t, "drills/slow-climb-voice.toml"), "length_s = 300", "length_s = 40", 1)
	file := filepath.Join(dir, "short.toml")
	if err := os.WriteFile(file, []byte(drill), 0o644); err != nil {
		t.Fatal(err)
	}
	wav = filepath.Join(dir, "air.wav")
	sheet := filepath.Join(dir, "air.jsonl")
	var out, trouble bytes.Buffer
	if code := run([]string{"rehearse", "--drill", file, "--hand", "regular", "--wav", wav, "--wav-holds", "mic", "--sheet", sheet}, &out, &trouble); code != exitDone {
		t.Fatal(trouble.String())
	}
	f, err := os.Open(sheet)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	sh, err := sim.ReadSheet(f, sheet)
	if err != nil {
		t.Fatal(err)
	}
	if trace, err = scoring.TraceOf(sh); err != nil {
		t.Fatal(err)
	}
	return wav, trace, sh.Setup
}

// The way round: a run's sound, measured as a recording, gives the offsets
// that the run's own sheet has. The sound and the sheet are this program's
// own; other programs' recordings are measured in scoring/recording/verify.
func TestRecordingOfAFlownRun(t *testing.T) {
	if testing.Short() || race.On {
		t.Skip("renders and measures 40 s of sound")
	}
	wav, trace, setup := flownRecording(t)
	start := setup.Start
	dir := t.TempDir()
	drill, page := filepath.Join(dir, "again.toml"), filepath.Join(dir, "air.html")
	book := filepath.Join(dir, "book.sqlite")
	args := []string{"recording", wav, "--bird", "fulmar-3", "--site", "50,8,150", "--start", start.Format(time.RFC3339Nano)}
	var out, trouble bytes.Buffer
	if code := run(append(args, "--out", "csv", "--make-drill", drill, "--stretch", "5-35", "--report", page), &out, &trouble); code != exitDone {
		t.Fatal(trouble.String())
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(rows[0], ","); got != "time_s,offset_hz,confidence,snr_db,keyed" {
		t.Fatalf("columns %s", got)
	}
	rowsAreTheSheets(t, rows[1:], trace)
	madeOfTheRecording(t, drill, page)
	out.Reset()
	if code := run(append(args, "--out", "json", "--log", "--operator", "Dipper", "--logbook", book), &out, &trouble); code != exitDone {
		t.Fatal(trouble.String())
	}
	var object struct {
		Microphone string           `json:"microphone"`
		Marks      *scoring.Marks   `json:"marks"`
		Rows       []map[string]any `json:"rows"`
	}
	if err := json.Unmarshal(out.Bytes(), &object); err != nil || object.Microphone != "left" || object.Marks == nil || len(object.Rows) != len(rows)-1 {
		t.Errorf("%v; microphone %q, %d rows", err, object.Microphone, len(object.Rows))
	}
	out.Reset()
	if code := run([]string{"logbook", "air", "--logbook", book, "--out", "csv"}, &out, &trouble); code != exitDone || strings.Count(out.String(), "\n") != 2 || !strings.Contains(out.String(), "Dipper,FULMAR-3,air.wav") {
		t.Errorf("logbook: %q %q", out.String(), trouble.String())
	}
}

// rowsAreTheSheets checks the offset against time with what the run's sheet has.
func rowsAreTheSheets(t *testing.T, rows [][]string, trace *scoring.Trace) {
	t.Helper()
	near, all := 0, 0
	for _, row := range rows {
		at, err := strconv.ParseFloat(row[0], 64)
		if err != nil {
			t.Fatal(err)
		}
		i := int(at * sim.TicksPerSecond / float64(scoring.SampleTicks))
		if row[1] == "" || i+4 >= len(trace.Samples) || i < 4 || trace.Samples[i-4].UplinkHz != trace.Samples[i+4].UplinkHz {
			continue
		}
		hz, err := strconv.ParseFloat(row[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		all++
		if math.Abs(hz-trace.Samples[i].OffsetHz) <= 5 {
			near++
		}
	}
	if all < 50 || float64(near) < 0.95*float64(all) {
		t.Errorf("%d of %d rows within 5 Hz of the sheet", near, all)
	}
}

// madeOfTheRecording checks the drill and the page that were made of it.
func madeOfTheRecording(t *testing.T, drill, page string) {
	t.Helper()
	text, err := os.ReadFile(drill)
	if err != nil {
		t.Fatal(err)
	}
	d, err := sim.ParseDrill(text, drill)
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Plan.AsKeyedS) == 0 || d.Pass.Part != "rise" {
		t.Errorf("drill %+v %+v", d.Plan, d.Pass)
	}
	flight := trainer.Flight{Drill: drill}
	if _, err := flight.Prepare(); err != nil {
		t.Error(err)
	}
	if html, err := os.ReadFile(page); err != nil || !bytes.Contains(html, []byte("Held on the air")) || !bytes.Contains(html, []byte("data:image/png;base64,")) {
		t.Errorf("report of %d bytes, %v", len(html), err)
	}
}

// What the oscillators of a run are off, which nothing in it tells the
// operator, comes out of its sound where both dials were noted at one moment;
// it is kept, stands in the dial card and the list, and is forgotten again.
func TestCorrectionFromARecording(t *testing.T) {
	if testing.Short() || race.On {
		t.Skip("renders and measures 40 s of sound")
	}
	old := xdg.DataHome
	xdg.DataHome = t.TempDir()
	t.Cleanup(func() { xdg.DataHome = old })
	wav, trace, setup := flownRecording(t)
	noted := 0
	for i := 40; i+40 < len(trace.Samples); i++ {
		if trace.Samples[i-20].UplinkHz == trace.Samples[i+20].UplinkHz && trace.Samples[i-20].Keyed && trace.Samples[i+20].Keyed {
			noted = i
		}
	}
	said := func(want int, args ...string) string {
		t.Helper()
		var out, trouble bytes.Buffer
		if code := run(args, &out, &trouble); code != want {
			t.Fatalf("%v: exit status %d, %s", args, code, trouble.String())
		}
		return out.String() + trouble.String()
	}
	pass := []string{"--bird", "fulmar-3", "--site", "50,8,150"}
	args := append([]string{"recording", wav, "--start", setup.Start.Format(time.RFC3339Nano), "--keep-correction"}, pass...)
	if text := said(exitUsage, args...); !strings.Contains(text, "turning by ear hides the oscillators") {
		t.Errorf("by ear alone: %q", text)
	}
	said(exitDone, append(args, "--dials-at", fmt.Sprint(trace.Samples[noted].Tick.Seconds()), "--uplink", fmt.Sprint(trace.Samples[noted].UplinkHz),
		"--downlink", fmt.Sprint(setup.StartReceiveHz))...)
	all, err := disk().Corrections()
	if err != nil || len(all) != 1 || math.Abs(all[0].ErrorHz-setup.UnknownHz) > math.Max(2*all[0].SDHz, 10) {
		t.Fatalf("kept %+v, %v; the run's oscillators are %+.0f Hz off", all, err, setup.UnknownHz)
	}
	hz := strconv.Itoa(int(math.Round(all[0].ErrorHz)))
	if text := said(exitDone, append([]string{"dial", "--rule", "uplink", "--out", "json"}, pass...)...); !strings.Contains(text, `"correction_hz": `+hz+"}") {
		t.Errorf("the card in JSON has no correction of %s: %.600s", hz, text)
	}
	if text := said(exitDone, append([]string{"dial", "--rule", "uplink", "--out", "text"}, pass...)...); !strings.Contains(text, fmt.Sprintf("Correction %+.0f Hz on the uplink", all[0].ErrorHz)) {
		t.Errorf("the card: %.600s", text)
	}
	if text := said(exitDone, "correction", "list", "--out", "csv"); !strings.Contains(text, "FULMAR-3,1,,") || strings.Count(text, "\n") != 2 {
		t.Errorf("list: %q", text)
	}
	said(exitDone, "correction", "forget", "fulmar-3")
	said(exitUsage, "correction", "forget", "fulmar-3")
	if text := said(exitDone, append([]string{"dial", "--out", "text"}, pass...)...); !strings.Contains(text, "Correction +0 Hz") {
		t.Errorf("forgotten, and still in the card: %.600s", text)
	}
}

// Mistakes are answered in one line with exit status 2.
// CW that is measured as speech is noticed, speech and CW measured as what it is
// are not remarked on. The sounds are this program's own.
func TestRecordingOfCWIsNoticed(t *testing.T) {
	if testing.Short() || race.On {
		t.Skip("renders and measures 90 s of sound")
	}
	for _, c := range []struct {
		drill  string
		args   []string
		notice bool
	}{{"first-hold-cw", nil, true}, {"first-hold-cw", []string{"--cw"}, false}, {"slow-climb-voice", nil, false}} {
		file := strings.Replace(bundledFile(t, "drills/"+c.drill+".toml"), "length_s = 300", "length_s = 30", 1)
		wav := filepath.Join(t.TempDir(), "air.wav")
		if code, _, trouble := command(t, "rehearse", "--drill", writeInput(t, "short.toml", file), "--hand", "regular", "--wav", wav, "--wav-holds", "mic"); code != exitDone {
			t.Fatal(trouble)
		}
		code, _, trouble := command(t, append([]string{"recording", wav, "--out", "csv"}, c.args...)...)
		if code != exitDone || strings.Contains(trouble, "sounds like CW") != c.notice {
			t.Errorf("%s %v: status %d, %q", c.drill, c.args, code, trouble)
		}
	}
}

func TestRecordingBadInput(t *testing.T) {
	letter := writeInput(t, "letter.wav", "Dear recorder, this is no sound at all.")
	empty := writeInput(t, "empty.flac", "")
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{}, "one sound file"},
		{[]string{"nowhere.wav"}, "there is no file nowhere.wav"},
		{[]string{letter}, "is not sound that is read here"},
		{[]string{empty}, "is empty"},
		{[]string{letter, "--mic", "top"}, "--mic top"},
		{[]string{letter, "--steering", "feet"}, "--steering feet"},
		{[]string{letter, "--pitch", "9"}, "--pitch 9"},
		{[]string{letter, "--step", "0"}, "--step 0"},
		{[]string{letter, "--make-drill", "x.toml"}, "--make-drill needs the pass"},
		{[]string{letter, "--keep-correction"}, "--keep-correction needs the pass"},
		{[]string{letter, "--dials-at", "5"}, "--dials-at needs a moment"},
		{[]string{letter, "--report", letter}, "same file"},
	} {
		var out, trouble bytes.Buffer
		if code := run(append([]string{"recording"}, c.args...), &out, &trouble); code != exitUsage {
			t.Errorf("%v: exit status %d", c.args, code)
		}
		if text := trouble.String(); !strings.Contains(text, c.want) || strings.Count(text, "\n") != 1 {
			t.Errorf("%v: %q, want %q", c.args, text, c.want)
		}
	}
}
