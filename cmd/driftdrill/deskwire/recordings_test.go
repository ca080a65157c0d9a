//go:build !nodesk

package deskwire

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/cmd/driftdrill/trainer/onair"
	"driftdrill/scoring"
	"driftdrill/scoring/recording"
	"driftdrill/sim"
)

// soundOf writes a stereo WAV file of so many seconds at 8 kHz, whose left side
// counts its seconds.
func soundOf(t *testing.T, seconds int) string {
	t.Helper()
	var data bytes.Buffer
	for i := range seconds * 8000 {
		binary.Write(&data, binary.LittleEndian, [2]int16{int16(1000 * (i/8000 + 1)), -5})
	}
	var b bytes.Buffer
	b.WriteString("RIFF")
	binary.Write(&b, binary.LittleEndian, uint32(36+data.Len()))
	b.WriteString("WAVEfmt ")
	binary.Write(&b, binary.LittleEndian, []uint16{16, 0, 1, 2, 8000, 0, 32000, 0, 4, 16})
	b.WriteString("data")
	binary.Write(&b, binary.LittleEndian, uint32(data.Len()))
	b.Write(data.Bytes())
	path := filepath.Join(t.TempDir(), "pass.wav")
	if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// A stretch of a recording is read from where it was asked for, and played to
// where its sink has come.
func TestStretchOfARecording(t *testing.T) {
	path := soundOf(t, 5)
	left, right, rate, err := stretchOf(path, 3, 1)
	if err != nil || rate != 8000 || len(left) != 8000 || len(right) != 8000 {
		t.Fatalf("%d and %d samples at %d Hz, %v", len(left), len(right), rate, err)
	}
	if want := float32(4000) / 32768; left[0] != want || left[7999] != want || right[0] >= 0 {
		t.Errorf("left from %g to %g, right %g; the fourth second is %g", left[0], left[7999], right[0], want)
	}
	if left, _, _, err = stretchOf(path, 4.5, 8); err != nil || len(left) != 4000 {
		t.Errorf("at the end: %d samples, %v", len(left), err)
	}
	if _, _, _, err = stretchOf(path, 9, 1); err == nil {
		t.Error("something is heard beyond the end")
	}
	if _, _, _, err = stretchOf(filepath.Join(t.TempDir(), "none.wav"), 0, 1); err == nil {
		t.Error("something is heard of no file")
	}
}

// What was measured becomes a page, and where it was marked a debrief that
// cannot be flown again.
func TestOpenRecording(t *testing.T) {
	w := aWiring(t, port.Settings{})
	path := soundOf(t, 4)
	var r recording.Result
	w.measure = func(_ context.Context, file string, _ recording.Options, p port.Progress) (*recording.Result, time.Time, error) {
		p(4, 4)
		return &r, time.Time{}, nil
	}
	r = recording.Result{Method: recording.ByVoice, Mic: recording.Unknown, LengthS: 4, Notes: []recording.Note{{Code: "x", Text: "a note"}}}
	told := 0
	rec, err := w.openRecording(t.Context(), path, port.ReadAs{}, func(done, total int) { told = done + total })
	if err != nil || rec.Result != nil || len(rec.Notes) != 1 || told != 8 || rec.Again != nil || slices.Contains(rec.Keeps, port.KeepLog) {
		t.Fatalf("%+v, %v, told %d", rec, err, told)
	}
	measured, _ := flownAsRecorded(t)
	r = *measured
	rec, err = w.openRecording(t.Context(), path, port.ReadAs{}, func(int, int) {})
	if err != nil || rec.Result == nil || !rec.Result.Air || rec.Result.Marks.HoldIndex == 0 || rec.Result.Unsteered != nil {
		t.Fatalf("%+v, %v", rec, err)
	}
	stop, at, err := rec.Result.Replay(2*sim.TicksPerSecond, sim.TicksPerSecond)
	if err != nil {
		t.Fatal(err)
	}
	if now := at(); now < 2*sim.TicksPerSecond || now > 3*sim.TicksPerSecond {
		t.Errorf("it is played at %.2f s", now.Seconds())
	}
	stop()
}

// What the page asks for is what is measured with; CW is found by its sound, and
// is measured as such again once the pass is known.
func TestReadAs(t *testing.T) {
	w := aWiring(t, port.Settings{})
	var got []recording.Options
	w.measure = func(_ context.Context, _ string, opt recording.Options, _ port.Progress) (*recording.Result, time.Time, error) {
		got = append(got, opt)
		return &recording.Result{Method: recording.ByTone, Mic: recording.Unknown, LengthS: 600}, time.Time{}, nil
	}
	quiet := func(int, int) {}
	found := recording.Options{Mic: recording.Unknown}
	for _, c := range []struct {
		as   port.ReadAs
		want recording.Options
	}{
		{port.ReadAs{}, found},
		{port.ReadAs{Sent: port.SentVoice, Side: port.SideLeft, PitchHz: 600, Call: "Q3FEN"}, recording.Options{Mic: recording.Left}},
		{port.ReadAs{Alone: true, Side: port.SideRight}, recording.Options{Mic: recording.Right, Mono: true}},
		{port.ReadAs{Sent: port.SentCW, PitchHz: 600, Call: "Q3FEN"}, recording.Options{Mic: recording.Unknown, Tone: true, PitchHz: 600, Call: "Q3FEN"}},
	} {
		if _, err := w.openRecording(t.Context(), soundOf(t, 3), c.as, quiet); err != nil || !reflect.DeepEqual(got[len(got)-1], c.want) {
			t.Errorf("%+v is measured with %+v, %v", c.as, got[len(got)-1], err)
		}
	}
	cw := toneOf(t, 8, 650)
	rec, err := w.openRecording(t.Context(), cw, port.ReadAs{}, quiet)
	if last := got[len(got)-1]; err != nil || !last.Tone || rec.Notes[0] != heardCW {
		t.Fatalf("CW is measured with %+v, %v", last, err)
	}
	if _, err := w.openRecording(t.Context(), cw, port.ReadAs{Sent: port.SentVoice}, quiet); err != nil || got[len(got)-1].Tone {
		t.Error("a tone cannot be read as speech", err)
	}
	began := time.Date(2026, 11, 20, 11, 20, 0, 0, time.UTC)
	day, err := rec.Passes(t.Context(), began, false, quiet)
	if err != nil || len(day) == 0 {
		t.Fatal(err)
	}
	if _, err := rec.Lay(t.Context(), port.Laying{Key: day[0].Key, Transponder: 1, Began: began, Steering: port.SteerHand, DialsAtS: -1}, quiet); err != nil {
		t.Fatal(err)
	}
	if last := got[len(got)-1]; !last.Tone || last.RateHzS == nil {
		t.Errorf("with its pass it is measured with %+v", last)
	}
}

// toneOf writes a file of so many seconds of a tone.
func toneOf(t *testing.T, seconds int, hz float64) string {
	t.Helper()
	path := soundOf(t, seconds)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for i := range seconds * 8000 {
		binary.LittleEndian.PutUint16(b[44+4*i:], uint16(int16(8000*math.Sin(2*math.Pi*hz*float64(i)/8000))))
	}
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// ownErrorHz is what the oscillators of the run are off: the bird comes cold out
// of the Earth's shadow, for which its drill has set it right.
const ownErrorHz = 140

// flownAsRecorded is what a recording of a run would tell, from the run's own physics.
func flownAsRecorded(t *testing.T) (*recording.Result, sim.Setup) {
	t.Helper()
	f := trainer.Flight{Drill: "weak-and-fading", Seed: 5}
	setup, err := f.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	setup.Hand = "regular"
	setup.UnknownHz += ownErrorHz
	h, err := sim.NewHand("regular", setup.Seed, &setup)
	if err != nil {
		t.Fatal(err)
	}
	o, _, err := trainer.Rehearse(setup, h, (*trainer.HandedRun).Silently)
	if err != nil {
		t.Fatal(err)
	}
	r := &recording.Result{Method: recording.ByMicrophone, Mic: recording.Left}
	step := int(recording.RowS * sim.TicksPerSecond / float64(scoring.SampleTicks))
	for i := step / 2; i < len(o.Trace.Samples); i += step {
		s := &o.Trace.Samples[i]
		row := recording.Row{TimeS: s.Tick.Seconds(), OffsetHz: math.NaN(), SNRDB: 20, RateHzS: s.RateHzS, Keyed: s.Keyed}
		if s.Keyed {
			row.OffsetHz, row.Confidence = s.OffsetHz, 1
			if n := len(r.Overs); n == 0 || row.TimeS-r.Overs[n-1].ToS > 1 {
				r.Overs = append(r.Overs, recording.Over{FromS: row.TimeS})
			}
			r.Overs[len(r.Overs)-1].ToS = row.TimeS + recording.RowS
		}
		r.Rows = append(r.Rows, row)
		r.LengthS = row.TimeS + recording.RowS
	}
	return r, setup
}

// The whole way: the pass is found by the time and by the drift alone, laid
// beside, the oscillators told where the dials were noted, everything is kept,
// and a stretch becomes a drill of the same pass that the list has and a run
// can be prepared of. What is held against it is the run's setup.
func TestTheWholeWayOfARecording(t *testing.T) {
	w := aWiring(t, port.Settings{StepHz: 20})
	w.Kept, w.Dropped = t.TempDir(), t.TempDir()
	w.Flock = trainer.Flock{Corrections: func() []trainer.Correction { all, _ := w.Store.(trainer.Disk).Corrections(); return all }}
	w.Numbers = func(to io.Writer, r *recording.Result) error {
		_, err := fmt.Fprintf(to, "%d rows", len(r.Rows))
		return err
	}
	r, setup := flownAsRecorded(t)
	w.measure = func(context.Context, string, recording.Options, port.Progress) (*recording.Result, time.Time, error) {
		return r, setup.Start, nil
	}
	ctx, quiet := t.Context(), func(int, int) {}
	rec, err := w.openRecording(ctx, soundOf(t, 3), port.ReadAs{}, quiet)
	if err != nil || !rec.Began.Equal(setup.Start) {
		t.Fatal(rec, err)
	}
	up, err := rec.Passes(ctx, rec.Began, false, quiet)
	if err != nil || len(up) == 0 || !strings.HasPrefix(up[0].Words, "DIPPER-2 transponder 1") {
		t.Fatalf("up then: %+v, %v", up, err)
	}
	if _, err := rec.Passes(ctx, setup.Pass.LOS.Add(40*time.Minute), false, quiet); err == nil || !strings.Contains(err.Error(), "A day alone") {
		t.Errorf("nothing was up: %v", err)
	}
	day, err := rec.Passes(ctx, setup.Start.UTC().Truncate(24*time.Hour), true, quiet)
	if err != nil || len(day) == 0 {
		t.Fatal(err)
	}
	if d := day[0].Guessed.Sub(setup.Start).Abs(); d > 5*time.Second || !strings.Contains(day[0].Words, "DIPPER-2") || !strings.Contains(day[0].Why, "no other") {
		t.Errorf("by its drift: %+v, %v from the run's own clock", day[0], d)
	}
	laid, err := rec.Lay(ctx, port.Laying{Key: up[0].Key, Transponder: up[0].Transponder, Began: rec.Began, Steering: port.SteerHand, DialsAtS: -1}, quiet)
	if err != nil || laid.Correction != nil || len(laid.Result.Unsteered) == 0 || laid.Again == nil {
		t.Fatalf("%+v, %v", laid, err)
	}
	if facts := fmt.Sprint(laid.Facts); !strings.Contains(facts, "put that in with its pass") || strings.Contains(facts, "--") {
		t.Errorf("the facts speak of options: %s", facts)
	}
	laid = layWithDials(t, rec, up[0], &setup)
	if laid.Correction == nil || laid.Correction.Before != "none" {
		t.Fatalf("%+v", laid.Correction)
	}
	for what, want := range map[string]string{port.KeepPage: ".html", port.KeepNumbers: ".csv", port.KeepLog: "on the air", port.KeepCorrection: "Kept. DIPPER-2"} {
		says, err := laid.Keep(ctx, what)
		if err != nil || !strings.Contains(says, want) {
			t.Errorf("%s: %q, %v", what, says, err)
		}
	}
	all, err := w.Store.(trainer.Disk).Corrections()
	if err != nil || len(all) != 1 || math.Abs(all[0].ErrorHz-ownErrorHz) > math.Max(2*all[0].SDHz, 10) {
		t.Errorf("kept %+v, %v; the run's oscillators are %d Hz off", all, err, ownErrorHz)
	}
	if again := w.correctionOf(&onair.Contact{}); again != nil {
		t.Error("a correction of nothing")
	}
	if _, err := laid.Keep(ctx, "else"); err == nil {
		t.Error("kept as something else")
	}
	drill, title, err := laid.Again(laid.Stretches[0][0], laid.Stretches[0][1])
	if err != nil || !strings.HasPrefix(title, "Again: ") {
		t.Fatal(title, err)
	}
	list, err := w.drills(ctx, "")
	if err != nil || list[len(list)-1].Name != drill || !strings.Contains(list[len(list)-1].Title, "DIPPER-2") {
		t.Errorf("the last of the list is %+v, %v", list[len(list)-1], err)
	}
	once, _, err := w.prepare(ctx, port.RunRequest{Drill: drill})
	if err != nil || once.Pass.TCA.Sub(setup.Pass.TCA).Abs() > time.Second || once.Bird.Name != "DIPPER-2" {
		t.Errorf("flown again on %v of %s, %v", once.Pass.TCA, once.Bird.Name, err)
	}
	if math.Abs(once.Bird.Transponders[0].OscillatorHz-setup.Bird.Transponders[0].OscillatorHz-all[0].ErrorHz) > 1 {
		t.Error("it is flown without the correction")
	}
}

// layWithDials lays the pass with the dials as the run's hand had them at a moment.
func layWithDials(t *testing.T, rec *port.Recording, pass port.AirPass, setup *sim.Setup) *port.Recording {
	t.Helper()
	h, err := sim.NewHand("regular", setup.Seed, setup)
	if err != nil {
		t.Fatal(err)
	}
	o, _, err := trainer.Rehearse(*setup, h, (*trainer.HandedRun).Silently)
	if err != nil {
		t.Fatal(err)
	}
	for i := 40; i+40 < len(o.Trace.Samples); i++ {
		a, s, b := &o.Trace.Samples[i-20], &o.Trace.Samples[i], &o.Trace.Samples[i+20]
		if a.UplinkHz != b.UplinkHz || !a.Keyed || !b.Keyed {
			continue
		}
		laid, err := rec.Lay(t.Context(), port.Laying{Key: pass.Key, Transponder: pass.Transponder, Began: setup.Start, Steering: port.SteerHand,
			DialsAtS: s.Tick.Seconds(), UplinkHz: float64(s.UplinkHz), DownlinkHz: float64(setup.StartReceiveHz)}, func(int, int) {})
		if err != nil {
			t.Fatal(err)
		}
		return laid
	}
	t.Fatal("the hand never rested")
	return nil
}

// A run of a drill whose kept pass cannot be read is told why.
func TestAgainThatCannotBeRead(t *testing.T) {
	w := aWiring(t, port.Settings{})
	drill := filepath.Join(t.TempDir(), "again.toml")
	if err := os.WriteFile(strings.TrimSuffix(drill, ".toml")+".pass.json", []byte("{"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, _, err := w.prepare(t.Context(), port.RunRequest{Drill: drill}); err == nil || !strings.Contains(err.Error(), "anew") {
		t.Error(err)
	}
}
