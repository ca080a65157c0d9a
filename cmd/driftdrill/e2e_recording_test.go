//go:build e2e && linux

package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"driftdrill/audio/soundfile"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// TestEndToEndRecording brings a recording home: it is opened in the window,
// its worst moment is heard in what the sound server plays, its pass is laid
// beside it with the dials as they were noted, the correction is kept, and its
// worst minute is flown again; all by keys, knowing where one is by what is said
// aloud alone. The recording is a run's sound, and what is held against it is
// the run's setup.
func TestEndToEndRecording(t *testing.T) {
	s := newStage(t)
	l, wav, flown := s.bringsHome()
	app, window := l.opens()
	l.hears("Start page")
	l.opensRecording(wav)
	s.picture("air-1-measured")
	l.asks("Return", "Held")
	worstIsHeard(l, wav)
	l.asks("Escape", "A recording from the air")
	l.laysPassBeside(flown)
	s.picture("air-2-laid")
	l.goTo("shift+Tab", "See and hear it")
	l.asks("Return", "Held")
	s.picture("air-3-debrief")
	l.asks("Escape", "A recording from the air")

	l.goTo("Tab", "Keep")
	l.asks("Return", "Keep this recording")
	l.asks("Return", "It lies here: ")
	l.goTo("Tab", "Keep the numbers")
	l.asks("Return", "It lies here: ")
	l.goTo("Tab", "Keep in the logbook")
	l.asks("Return", "in the logbook, on the air")
	if said := l.asks("Tab", "Keep as my correction"); !strings.Contains(said, "until now none") {
		t.Errorf("the correction is offered as %q", said)
	}
	l.asks("Return", "Kept. FULMAR-3 is off by")
	s.picture("air-4-kept")
	l.asks("Escape", "A recording from the air")

	l.goTo("shift+Tab", "Fly a stretch again")
	l.asks("Return", "Fly a stretch again")
	l.goTo("Tab", "Fly it now")
	s.picture("air-5-stretch")
	l.asks("Return", "Again: ")
	l.hears("Your over")
	l.do("keydown space")
	time.Sleep(3 * time.Second)
	l.press("Up", "Up")
	s.picture("air-6-flying")
	l.do("keyup space")
	l.asks("Escape", "Paused")
	l.asks("Down", "End the run")
	l.asks("Return", "Held")
	l.asks("Escape", "A recording from the air")
	l.closeWindow(window)
	app.endedWell()
	whatWasKept(s, flown)
}

// bringsHome prepares a person who goes by what is said, and a recording.
func (s *stage) bringsHome() (l *listenerByWords, wav string, flown *sim.Sheet) {
	s.t.Helper()
	s.settings(port.Settings{EarsOnly: true, Welcomed: true, StepHz: 20, Levels: port.Levels{Split: true}})
	l = newListenerByWords(s)
	wav, flown = s.recorded()
	return l, wav, flown
}

// opensRecording goes from the start page to a recording that is measured.
func (l *listenerByWords) opensRecording(wav string) {
	l.t.Helper()
	l.goTo("Down", "Logbook")
	l.press("Return")
	l.goTo("Tab", "A recording")
	l.asks("Return", "A recording from the air")
	l.typed(wav, "Measured")
	time.Sleep(500 * time.Millisecond) // for whoever looks at the picture
}

// laysPassBeside lays the pass beside a recording that is measured, with the
// dials as they stood at a moment at which they rested.
func (l *listenerByWords) laysPassBeside(flown *sim.Sheet) {
	l.t.Helper()
	l.goTo("Tab", "Its pass")
	l.asks("Return", "When it began")
	l.typed(flown.Setup.Start.UTC().Format("2006-01-02T15:04:05.000"), "up when it began")
	l.asks("Return", "How you turned the dials")
	dials, at := restingDials(l.t, flown)
	l.goTo("Tab", "Uplink dial")
	l.typed(fmt.Sprintf("%.6f", float64(dials)/1e6), "Receive dial")
	l.typed(fmt.Sprintf("%.6f", float64(flown.Setup.StartReceiveHz)/1e6), "That moment")
	l.typed(fmt.Sprintf("%.2f", at), "Lay it beside")
	l.asks("Return", "off for good")
}

// TestPicturesOfARecording photographs the debrief of a recording with its pass,
// and the stretch of it that is to be flown again.
func TestPicturesOfARecording(t *testing.T) {
	if !*takePictures {
		t.Skip("only with -pictures")
	}
	s := newStage(t)
	l, wav, flown := s.bringsHome()
	app, window := l.opens()
	l.hears("Start page")
	l.opensRecording(wav)
	l.laysPassBeside(flown)
	l.goTo("shift+Tab", "See and hear it")
	l.asks("Return", "Held")
	time.Sleep(1500 * time.Millisecond)
	l.photograph(filepath.Join("..", "..", "assets", "pictures", "recording.png"))
	l.closeWindow(window)
	app.endedWell()
}

// recorded lets a simulated hand fly three quarters of a minute by voice, and
// returns its sound, the microphone on the left and the receiver on the right,
// and its sheet.
func (s *stage) recorded() (wav string, flown *sim.Sheet) {
	s.t.Helper()
	drill := filepath.Join(s.dir, "short.toml")
	s.write(drill, strings.Replace(bundledFile(s.t, "drills/slow-climb-voice.toml"), "length_s = 300", "length_s = 45", 1))
	wav = filepath.Join(s.dir, "air.wav")
	sheet := filepath.Join(s.dir, "air.jsonl")
	s.run("rehearse", "--drill", drill, "--hand", "regular", "--wav", wav, "--wav-holds", "mic", "--sheet", sheet)
	flown, err := trainer.ReadSheet(sheet)
	if err != nil {
		s.t.Fatal(err)
	}
	return wav, flown
}

// restingDials is where the uplink dial stood at a moment, seconds, at which the
// hand did not turn and was on the air.
func restingDials(t *testing.T, flown *sim.Sheet) (uplinkHz int64, atS float64) {
	t.Helper()
	tr, err := scoring.TraceOf(flown)
	if err != nil {
		t.Fatal(err)
	}
	for i := 20; i+20 < len(tr.Samples); i++ {
		a, b := &tr.Samples[i-20], &tr.Samples[i+20]
		if a.UplinkHz == b.UplinkHz && a.Keyed && b.Keyed {
			uplinkHz, atS = tr.Samples[i].UplinkHz, tr.Samples[i].Tick.Seconds()
		}
	}
	if uplinkHz == 0 {
		t.Fatal("the hand never rested")
	}
	return uplinkHz, atS
}

// worstIsHeard plays the costliest moment and finds it in what the sound server
// plays: each side of the file in its own ear, softly at first, at a level that
// hurts nobody. Where the sound ran dry it is played again, as a person would.
func worstIsHeard(l *listenerByWords, wav string) {
	t := l.t
	var told struct {
		Worst []struct {
			FromS float64 `json:"from_s"`
		} `json:"worst"`
	}
	if err := json.Unmarshal([]byte(l.run("recording", wav, "--out", "json")), &told); err != nil || len(told.Worst) == 0 {
		t.Fatal("no worst moment", err)
	}
	from := max(told.Worst[0].FromS-1, 0)
	played := sidesOf(t, wav, from, 7.5)
	heard := l.listen()
	best := [2]float64{}
	for try := 0; try < 8 && min(best[left], best[right]) < 0.9; try++ {
		l.until("silence", func() bool {
			n := heard.frames()
			return n > recordedRate && peakOf(heard.ear(left, n-recordedRate/2, recordedRate/2)) < 1e-4
		})
		begin := heard.frames()
		l.press("1")
		l.until("the moment to be played", func() bool { return heard.frames() > begin+10*recordedRate })
		for side := range best {
			best[side] = max(best[side], sideIsHeard(t, side, played[side], heard.ear(side, begin, heard.frames()-begin)))
		}
	}
	if min(best[left], best[right]) < 0.9 {
		t.Errorf("the file's sound was not heard: correlation %.3f in the left ear, %.3f in the right one", best[left], best[right])
	}
}

// sideIsHeard finds a quarter of a second of what is played, one in which the
// sound did not run dry, and returns how like it is.
func sideIsHeard(t *testing.T, side int, played, all []float64) (like float64) {
	t.Helper()
	const span = recordedRate / 4
	var x []float64
	var past, place int
	for second := 2; second < 7 && like < 0.9; second++ {
		y := played[second*recordedRate:][:span]
		if peakOf(y) < 0.2*peakOf(played) {
			continue
		}
		rough, _ := find(decimate(y, 24), decimate(all, 24), 0, len(all)/24)
		if at, c := find(y, all, 24*rough-48, 24*rough+48); c > like {
			x, past, place, like = y, second*recordedRate, at, c
		}
	}
	peak := peakOf(all)
	t.Logf("side %d: what is played at %d s is heard %.2f s after, correlation %.3f, peak %.3f of full scale", side, past/recordedRate, float64(place)/recordedRate, like, peak)
	if peak > 0.9 {
		t.Errorf("side %d: peak %.3f", side, peak)
	}
	const piece = recordedRate / 20
	for i := 0; like >= 0.9 && i+piece <= recordedRate/10; i += piece { // the first tenth of a second of a quarter in which it rises
		y := played[i : i+piece]
		if peakOf(y) < 0.05*peakOf(x) {
			continue
		}
		loud := gainOf(y, all, place-past+i) / gainOf(x, all, place)
		t.Logf("side %d: %.2f s after the start it is %.0f %% as loud", side, float64(i)/recordedRate, 100*loud)
		if loud > 0.6 {
			t.Errorf("side %d: it begins at %.0f %%: that is no soft start", side, 100*loud)
		}
	}
	return like
}

// peakOf is the greatest sample, without sign.
func peakOf(x []float64) (peak float64) {
	for _, v := range x {
		peak = math.Max(peak, math.Abs(v))
	}
	return peak
}

// gainOf is how many times as loud x stands in y from at on.
func gainOf(x, y []float64, at int) float64 {
	sum, own := 0.0, 0.0
	for i, v := range x {
		if at+i >= 0 && at+i < len(y) {
			sum, own = sum+v*y[at+i], own+v*v
		}
	}
	return sum / math.Max(own, 1e-12)
}

// sidesOf reads a stretch of both sides of a sound file at 48 kHz.
func sidesOf(t *testing.T, wav string, fromS, lengthS float64) [2][]float64 {
	t.Helper()
	f, err := os.Open(wav)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := soundfile.Open(f)
	if err != nil || s.Rate() != recordedRate || s.Channels() != 2 {
		t.Fatalf("%v; %d Hz, %d sides", err, s.Rate(), s.Channels())
	}
	var sides [2][]float64
	first, n := int(fromS*recordedRate), int(lengthS*recordedRate)
	buf := make([]float32, 8192)
	for at := 0; at < first+n; {
		got, err := s.Read(buf)
		for i := range got {
			if at >= first && at < first+n {
				sides[0], sides[1] = append(sides[0], float64(buf[2*i])), append(sides[1], float64(buf[2*i+1]))
			}
			at++
		}
		if err != nil || got == 0 {
			t.Fatalf("%s ends at %d: %v", wav, at, err)
		}
	}
	return sides
}

// whatWasKept checks what the evening has left: correction, logbook, page and
// numbers, and a run on the pass of the recording.
func whatWasKept(s *stage, flown *sim.Sheet) {
	t := s.t
	rows := strings.Split(strings.TrimSpace(s.run("correction", "list", "--out", "csv")), "\n")
	if len(rows) != 2 {
		t.Fatalf("corrections: %q", rows)
	}
	column := strings.Split(rows[1], ",")
	hz, err := strconv.ParseFloat(column[5], 64)
	sd, err2 := strconv.ParseFloat(column[6], 64)
	if err != nil || err2 != nil || column[0] != "FULMAR-3" || math.Abs(hz-flown.Setup.UnknownHz) > math.Max(2*sd, 10) {
		t.Errorf("kept %q; the run's oscillators are %+.0f Hz off", rows[1], flown.Setup.UnknownHz)
	}
	if air := s.run("logbook", "air", "--out", "csv"); strings.Count(air, "\n") != 2 || !strings.Contains(air, "FULMAR-3,air.wav") {
		t.Errorf("on the air: %q", air)
	}
	kept := filepath.Join(s.dir, "home", ".local", "share", "driftdrill", "kept")
	if page := contents(filepath.Join(kept, "air.html")); !strings.Contains(page, "Held on the air") {
		t.Errorf("a page of %d bytes", len(page))
	}
	if csv := contents(filepath.Join(kept, "air.csv")); !strings.HasPrefix(csv, "time_s,offset_hz,confidence,snr_db,keyed") || strings.Count(csv, "\n") < 300 {
		t.Errorf("numbers of %d lines", strings.Count(csv, "\n"))
	}
	sheets := s.sheets()
	if len(sheets) != 1 {
		t.Fatalf("%d sheets", len(sheets))
	}
	again, err := trainer.ReadSheet(sheets[0])
	if err != nil {
		t.Fatal(err)
	}
	setup := &again.Setup
	if d := setup.Pass.TCA.Sub(flown.Setup.Pass.TCA).Abs(); d > time.Second || setup.Bird.Name != "FULMAR-3" || len(setup.Drill.Plan.AsKeyedS) == 0 {
		t.Errorf("flown again: %s, %v from its pass, talking %v", setup.Bird.Name, d, setup.Drill.Plan.AsKeyedS)
	}
	if !strings.Contains(setup.BirdFrom, "corrected by") {
		t.Errorf("flown without the correction: %q", setup.BirdFrom)
	}
}
