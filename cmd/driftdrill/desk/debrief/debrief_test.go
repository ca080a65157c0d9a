//go:build !nodesk

package debrief

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/scoring"
	"driftdrill/scoring/report"
	"driftdrill/sim"
)

// debriefs are the looks of the debrief.
var debriefs = []desktest.View{
	{Name: "debrief", Raced: true, Sun: true, Large: true, Put: func(s *desktest.Stage) {
		f := desktest.NewSession()
		f.FlyWhole()
		f.Result.Rate = nil
		d := newDebrief(&f.Facts, f.Result, port.RunRequest{})
		s.App.Scenes.Push(s.App, d)
		d.rated = &port.Rated{Hand: 56, SD: 7, Words: "56 ± 7", Ladder: []port.LadderPoint{{Level: 0, HoldIndex: 650}, {Level: 25, HoldIndex: 760}, {Level: 50, HoldIndex: 840}, {Level: 75, HoldIndex: 900}, {Level: 100, HoldIndex: 970}}}
		s.Step()
	}},
	{Name: "debrief contacts", Large: true, Put: func(s *desktest.Stage) {
		f := desktest.NewSession()
		f.FlyWhole()
		f.Result.Rate, f.Result.Contacts = nil, someContacts()
		d := newDebrief(&f.Facts, f.Result, port.RunRequest{})
		s.App.Scenes.Push(s.App, d)
		d.panes.At = 2 // where the panes are not side by side
		s.Step()
	}},
	{Name: "debrief of a recording", Sun: true, Put: func(s *desktest.Stage) { s.App.Scenes.Push(s.App, ofARecording()); s.Step() }},
}

// someContacts are three, of which one was noted right.
func someContacts() []scoring.Contact {
	at := time.Date(2026, 11, 20, 9, 34, 0, 0, time.UTC)
	return []scoring.Contact{
		{To: at, Call: "Q3FEN", Report: "59", Locator: "JO31", Noted: [3]string{"Q3FEN", "59", "JO31"}},
		{To: at.Add(2 * time.Minute), Call: "Q7OWL", Report: "57", Locator: "JN58", Noted: [3]string{"Q7OWL", "5?", "JN59"}},
		{To: at.Add(4 * time.Minute), Call: "Q2ASH", Report: "55", Locator: "JO62"},
	}
}

// The debrief says of each entry what is missing and what is wrong, in words, and
// leaves out what is right first where there is no room.
func TestDebriefMarksTheLog(t *testing.T) {
	f := desktest.NewSession()
	f.FlyWhole()
	f.Result.Contacts = someContacts()
	d := newDebrief(&f.Facts, f.Result, port.RunRequest{})
	want := []logLine{{"09:34  Q3FEN  59  JO31", false}, {"09:36  Q7OWL  5?  JN59", false}, {"report 57 missing, locator wrong: JN58", true},
		{"09:38  -----  --  ----", false}, {"call Q2ASH missing, report 55 missing, locator JO62 missing", true}}
	if got := logLines(f.Result.Contacts, 5); !slices.Equal(got, want) {
		t.Errorf("%v", got)
	}
	if got := logLines(f.Result.Contacts, 4); len(got) != 4 || got[0] != want[1] || got[1] != want[2] || got[3].text != "and 1 more" {
		t.Errorf("in four lines: %v", got)
	}
	said := d.spoken()
	for _, part := range []string{"3 contacts; 1 call missing, 2 reports missing, 1 locator missing, 1 locator wrong", "Q7OWL: report 57 missing, locator wrong: JN58"} {
		if !strings.Contains(said, part) {
			t.Errorf("%q is not in %q", part, said)
		}
	}
	if f.Result.Contacts = nil; strings.Contains(d.spoken(), "log") || d.paneWords()[0] != "knob" {
		t.Error("a log is told of where there was no contact")
	}
}

// ofARecording is the debrief of a made-up recording with its pass.
func ofARecording() *debrief {
	f := desktest.NewSession()
	f.FlyWhole()
	f.Result.Rate, f.Result.Air, f.Result.Verdict = nil, true, ""
	var line []port.OffsetPoint
	for i := range f.Result.Trace.Samples {
		x := &f.Result.Trace.Samples[i]
		if !x.Assigned {
			if len(line) > 0 {
				f.Result.Unsteered = append(f.Result.Unsteered, line)
			}
			line = nil
			continue
		}
		hz := x.OffsetHz
		if n := len(line); n > 0 {
			hz = line[n-1].Hz + 20*(x.Tick-line[n-1].Tick).Seconds()
		}
		line = append(line, port.OffsetPoint{Tick: x.Tick, Hz: hz})
	}
	return newDebrief(&f.Facts, f.Result, port.RunRequest{})
}

// Of a recording only that is told which a recording knows.
func TestFiguresOfARecording(t *testing.T) {
	d := ofARecording()
	if len(d.res.Unsteered) == 0 {
		t.Fatal("no over has its drift")
	}
	for _, f := range d.figures() {
		if f.name == "contacts" || f.name == "outside the transponder" {
			t.Errorf("%s: %s", f.name, f.value)
		}
	}
}

// Who was never on the air is not told that his pitch was right.
func TestNoPitchWithoutKeying(t *testing.T) {
	f := desktest.NewSession()
	f.FlyWhole()
	f.Result.Marks.KeyedS, f.Result.Marks.RMSHz, f.Result.Marks.BiasHz = 0, 0, 0
	for _, row := range newDebrief(&f.Facts, f.Result, port.RunRequest{}).figures() {
		if row.name == "on average" && row.value != "–" {
			t.Errorf("on average: %q", row.value)
		}
	}
}

func TestTextsKeepApart(t *testing.T) { desktest.DrawnApart(t, debriefs) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, debriefs) }

// The debrief calls a voice high where it was high, in words and in its picture.
func TestDebriefTellsTheSide(t *testing.T) {
	f := desktest.NewSession()
	f.FlyWhole()
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	d := newDebrief(&f.Facts, f.Result, port.RunRequest{})
	for _, c := range []struct {
		offset float64
		want   string
	}{{120, "120 Hz too high"}, {-120, "120 Hz too low"}} {
		x := &d.run.tr.Samples[10]
		x.OffsetHz = c.offset
		if got := d.run.tell(x.Tick); !strings.Contains(got, c.want) {
			t.Errorf("%+.0f Hz: %q, want %q", c.offset, got, c.want)
		}
		back := scoring.ComeBack{StartHz: c.offset, BackS: 3, Back: true}
		if got, want := (&scoring.Moment{Back: &back}).Words(), strings.Replace("came back "+c.want, "too ", "", 1); !strings.Contains(got, want) {
			t.Errorf("%+.0f Hz: %q, want %q", c.offset, got, want)
		}
		if got := (&scoring.Moment{PeakHz: c.offset}).Words(); !strings.Contains(got, c.want) {
			t.Errorf("%+.0f Hz: %q, want %q", c.offset, got, c.want)
		}
	}
	s.App.Scenes.Push(s.App, d)
	s.Step()
	v := desktest.Look(s, func(c *kit.Canvas) { d.run.Draw(s.App.Window, c, false) })
	if high, low := v.Where(t, "Hz high").Y, v.Where(t, "Hz low").Y; high > low {
		t.Errorf("high stands at %.0f, low at %.0f", high, low)
	}
	if screen.Bend(100) <= 0 || screen.Bend(-100) >= 0 {
		t.Error("a voice too high is not drawn on the side of what is high")
	}
}

// The debrief numbers the moments that the report numbers, in its order and its words.
func TestCostliestMomentsAreTheReports(t *testing.T) {
	f := desktest.NewSession()
	f.FlyWhole()
	d := newDebrief(&f.Facts, f.Result, port.RunRequest{})
	if len(d.run.worst) != 3 { // the keys 1 to 3
		t.Fatalf("%d moments are numbered", len(d.run.worst))
	}
	var page strings.Builder
	if err := report.Write(&page, report.Run{Debrief: scoring.Debrief{Marks: f.Result.Marks}, Trace: f.Result.Trace, Setup: &sim.Setup{}}); err != nil {
		t.Fatal(err)
	}
	var said []string
	for i, m := range d.run.worst {
		at := int(m.From.Seconds())
		said = append(said, fmt.Sprintf("%d: at %d:%02d, %s, %.0f points", i+1, at/60, at%60, m.Words(), m.Cost))
	}
	if want := "The costliest moments. " + strings.Join(said, "; ") + "."; !strings.Contains(page.String(), want) {
		t.Errorf("the debrief shows %q, which the report does not", want)
	}
}

// The key that says it again tells the whole result, with figures and units.
func TestResultIsToldByOneKey(t *testing.T) {
	kittest.NeedWindow(t)
	s := desktest.NewStage(t, 1280, 720, 1, "night")
	said := desktest.Hearing(s)
	debriefs[0].Put(s)
	s.App.SpeakAgain()
	text := (*said)[len(*said)-1]
	for _, want := range []string{"Held 812", "not yet", "One notch every second", "hand rating 56 ± 7", "back after listening: 3.9 s", "turned / needed: 1.3 times"} {
		if !strings.Contains(strings.ToLower(text), strings.ToLower(strings.TrimPrefix(want, "One "))) {
			t.Errorf("%q is not told: %s", want, text)
		}
	}
}

// A moment that is played where nothing can be heard says "no sound", and says
// "playing" again once the device has come back.
func TestReplayWithoutSoundSaysSo(t *testing.T) {
	s := desktest.NewStage(t, 1280, 720, 1, "night")
	f := desktest.NewSession()
	f.FlyWhole()
	unheard := true
	f.Result.Unheard = func() bool { return unheard }
	d := newDebrief(&f.Facts, f.Result, port.RunRequest{})
	s.App.Scenes.Push(s.App, d)
	s.Step()
	d.run.play(s.App.Window)
	for !d.run.sound.Playing() {
		s.Step()
	}
	for _, c := range []struct {
		unheard  bool
		yes, not string
	}{{true, " · no sound", " · playing"}, {false, " · playing", " · no sound"}} {
		unheard = c.unheard
		var all string
		for _, b := range s.Texts() {
			all += b.Text + "\n"
		}
		if !strings.Contains(all, c.yes) || strings.Contains(all, c.not) {
			t.Errorf("unheard %v:\n%s", c.unheard, all)
		}
	}
}

// The picture of the rating says in a sentence what it is, and its axis what is
// read there.
func TestRatingExplainsItself(t *testing.T) {
	for _, size := range []struct{ w, h int }{{1280, 720}, {1920, 1080}} {
		s := desktest.BareStage(t, size.w, size.h, 1, "night")
		debriefs[0].Put(s)
		var all []string
		for _, b := range s.Texts() {
			all = append(all, b.Text)
		}
		text := strings.Join(all, " ")
		for _, want := range []string{ratingMeans, "first evening", "expert"} {
			if !strings.Contains(text, want) {
				t.Errorf("%dx%d: %q is not written", size.w, size.h, want)
			}
		}
	}
}

// What a rating is worth beside the goal is written under it and spoken with it.
func TestRatingsWorthIsTold(t *testing.T) {
	const note = "The goal is within reach of a beginner's hand. A harder drill tells more of yours."
	f := desktest.NewSession()
	f.FlyWhole()
	rate := f.Result.Rate
	f.Result.Rate = func(ctx context.Context, p port.Progress) (*port.Rated, error) {
		r, err := rate(ctx, p)
		r.Words, r.Note = "up to 15", note
		return r, err
	}
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	d := newDebrief(&f.Facts, f.Result, port.RunRequest{})
	s.App.Scenes.Push(s.App, d)
	for d.rated == nil {
		s.Step()
	}
	var all []string
	for _, b := range s.Texts() {
		all = append(all, b.Text)
	}
	if text := strings.Join(all, " "); !strings.Contains(text, note) || !strings.Contains(text, "hand rating up to 15") {
		t.Errorf("written: %s", text)
	}
	if want := "Hand rating up to 15. " + note; d.ratingSaid() != want || !strings.Contains(d.TellNow(s.App), want) {
		t.Errorf("spoken: %q", d.ratingSaid())
	}
}

// An error of kilohertz lies apart from one of hundreds of hertz, and its place is
// named.
func TestKilohertzAreShown(t *testing.T) {
	f := desktest.NewSession()
	f.FlyWhole()
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	d := newDebrief(&f.Facts, f.Result, port.RunRequest{})
	s.App.Scenes.Push(s.App, d)
	s.Step()
	v := desktest.Look(s, func(c *kit.Canvas) { d.run.Draw(s.App.Window, c, false) })
	if v.Where(t, "1 kHz").Y >= v.Where(t, "300").Y {
		t.Error("1 kHz does not stand further out than 300 Hz")
	}
}

// What was flown stands whole under the marks, and the manners beside it as large
// as the rest: in few words where the window is too narrow for the whole line.
func TestHeadHoldsItsText(t *testing.T) {
	for _, c := range []struct {
		w, h     int
		text     float64
		onOthers float64
		manners  string
	}{{1280, 720, 1, 0, "no seconds on other stations · never above the beacon"}, {1280, 720, 2.5, 0, "in nobody's way"},
		{1280, 720, 2.5, 12, "12 s on other stations"}, {2560, 720, 2.5, 0, "no seconds on other stations · never above the beacon"}} {
		s := desktest.BareStage(t, c.w, c.h, c.text, "night")
		f := desktest.NewSession()
		f.FlyWhole()
		f.Result.Marks.OnOthersS, f.Result.Marks.AboveBeaconS = c.onOthers, 0
		d := newDebrief(&f.Facts, f.Result, port.RunRequest{})
		s.App.Scenes.Push(s.App, d)
		s.Step()
		var manners, flown float64
		for _, b := range s.Texts() {
			if strings.HasSuffix(b.Text, "…") {
				t.Errorf("%dx%d, text %.0f %%: %q is cut", c.w, c.h, 100*c.text, b.Text)
			}
			if strings.HasPrefix(b.Text, f.Facts.Bird+" · ") {
				flown = b.Rect.H
			}
			if b.Text == c.manners {
				manners = b.Rect.H
			}
		}
		if flown == 0 || manners < mannersLeast*flown {
			t.Errorf("%dx%d, text %.0f %%: %q is %.0f high beside a line of %.0f", c.w, c.h, 100*c.text, c.manners, manners, flown)
		}
	}
}
