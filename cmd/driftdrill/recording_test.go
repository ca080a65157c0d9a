package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
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
)

// flownRecording rehearses a drill by voice with a simulated hand and returns
// its sound, the microphone on the left and the receiver on the right, and
// what the run's own physics say.
func flownRecording(t *testing.T) (wav string, trace *scoring.Trace, start time.Time) {
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
	return wav, trace, sh.Setup.Start
}

// The way round: a run's sound, measured as a recording, gives the offsets
// that the run's own sheet has. The sound and the sheet are this program's
// own; other programs' recordings are measured in scoring/recording/verify.
func TestRecordingOfAFlownRun(t *testing.T) {
	if testing.Short() {
		t.Skip("renders and measures 40 s of sound")
	}
	wav, trace, start := flownRecording(t)
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
	near, all := 0, 0
	for _, row := range rows[1:] {
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

// Mistakes are answered in one line with exit status 2.
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
