//go:build !nodesk

package recordings

import (
	"context"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// A file that is measured again is drawn while the rows of the first have gone.
func TestMeasuredAgainInTheSameFrame(t *testing.T) {
	s, _ := spoken(t)
	p := s.App.Scenes.Top().(*page)
	p.file.Value = "pass.wav"
	p.begin(s.App)
	s.Settle()
	if p.list.Count == 0 {
		t.Fatal("nothing was told")
	}
	p.begin(s.App)
	s.Texts()
	s.Settle()
	if p.list.Count == 0 || p.rec == nil {
		t.Error("it was not measured again")
	}
}

// What a recording is taken for is chosen beside what was found, by what is said
// alone; what cannot be is told, and keeps the page; another file begins anew.
func TestARecordingIsReadAgain(t *testing.T) {
	s, said := spoken(t)
	var got []port.ReadAs
	s.App.Cfg.OpenRecording = func(ctx context.Context, name string, as port.ReadAs, p port.Progress) (*port.Recording, error) {
		got = append(got, as)
		return measured(ctx, name, as, p)
	}
	p := s.App.Scenes.Top().(*page)
	p.file.Value = "cw.wav"
	p.begin(s.App)
	s.Settle()
	if last := (*said)[len(*said)-1]; !strings.Contains(last, "A tone is heard") || !strings.Contains(last, "Next: read it again as") {
		t.Fatalf("nothing was told, and it says %q", last)
	}
	p.other.Do()
	r := s.App.Scenes.Top().(*readingAs)
	if len(r.Widgets) != 5 {
		t.Errorf("%d widgets where nothing was chosen", len(r.Widgets))
	}
	r.sent.At = 2
	r.sent.Changed(2)
	pitchesAreRefused(t, r, said)
	r.pitch.Value, r.call.Value = "650,5", "Q3 FEN"
	r.read.Do()
	if last := (*said)[len(*said)-1]; !strings.Contains(last, "letters and figures") || s.App.Scenes.Top() != r {
		t.Errorf("a call with a gap: %q", last)
	}
	r.call.Value, r.side.At, r.take.At = "Q3FEN", 1, 1
	r.read.Do()
	s.Settle()
	want := port.ReadAs{Sent: port.SentCW, Side: port.SideLeft, Alone: true, PitchHz: 650.5, Call: "Q3FEN"}
	if len(got) != 2 || got[0] != (port.ReadAs{}) || got[1] != want || p.rec == nil || p.rec.Result == nil {
		t.Fatalf("read as %+v", got)
	}
	for _, words := range []string{"CW", "Q3FEN", "sidetone on the left side", "the receiver alone"} {
		if !strings.Contains(p.about(), words) {
			t.Errorf("it is not said that it was read as %s: %q", words, p.about())
		}
	}
	p.file.Value = "pass.wav"
	p.begin(s.App)
	s.Settle()
	if got[2] != (port.ReadAs{}) {
		t.Errorf("another file is read as %+v", got[2])
	}
}

// pitchesAreRefused types what no pitch is: it is said aloud and beside the
// field, and the keys are on it.
func pitchesAreRefused(t *testing.T, r *readingAs, said *[]string) {
	t.Helper()
	for _, text := range []string{"120", "3000", "high", "NaN"} {
		r.pitch.Value = text
		r.read.Do()
		if last := (*said)[len(*said)-1]; !strings.Contains(last, "between 200 and 2500 Hz") || r.Widgets[r.Focus.At] != kit.Widget(&r.pitch) {
			t.Errorf("%q: %q, the keys are on %s", text, last, r.Widgets[r.Focus.At].Spoken())
		}
		if !strings.Contains(r.pitch.Spoken(), "between 200 and 2500 Hz") {
			t.Errorf("beside the field: %q", r.pitch.Spoken())
		}
	}
}
