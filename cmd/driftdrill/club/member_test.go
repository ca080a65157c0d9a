package club

import (
	"context"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/club/member"
)

// A member's program takes the run from the night and sends its sheet, with
// nothing but what the wall shows.
func TestAMembersProgramFliesTheNight(t *testing.T) {
	n := newNight(t, nightText)
	ctx := context.Background()
	m, err := member.Join(n.web.URL+"/?code=heron42", "q1abc", "all aids")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := m.Begin(ctx); err == nil || !strings.Contains(err.Error(), "no heat is open") {
		t.Errorf("before the heat: %v", err)
	}
	waited, said := make(chan error, 1), make(chan string, 1)
	go func() { waited <- m.Wait(ctx, func(line string) { said <- line }) }()
	if line := <-said; !strings.Contains(line, "no heat is open yet") {
		t.Error(line)
	}
	if wall := n.do("GET", "/wall", nil).body; !strings.Contains(wall, "<b>Q1ABC</b>") {
		t.Error("who waits is not on the wall")
	}
	n.open(1)
	if err := <-waited; err != nil {
		t.Fatal(err)
	}
	setup, err := m.Begin(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if !setup.Drill.Aids.Ribbon || !setup.Drill.StepFree || setup.Seed != 7 {
		t.Errorf("told to fly %+v", setup.Drill)
	}
	if said, err := m.Send(ctx, sheetOf(t, setup, "regular", 3)); err != nil || !strings.Contains(said, "sent") {
		t.Errorf("%q %v", said, err)
	}
	if r := n.evening.runs; len(r) != 1 || r[0].Call != "Q1ABC" || r[0].Class != "all aids" {
		t.Errorf("%+v", r)
	}
	if _, err := m.Send(ctx, []byte("nothing\n")); err == nil || !strings.Contains(err.Error(), "is no run sheet") {
		t.Errorf("no sheet: %v", err)
	}
	wrong, err := member.Join(n.web.URL+"/?code=heron43", "Q1ABC", "")
	if err != nil {
		t.Fatal(err)
	}
	if err := wrong.Wait(ctx, func(string) { t.Error("waits with a wrong code") }); err == nil || !strings.Contains(err.Error(), "code") {
		t.Errorf("a wrong code: %v", err)
	}
}

func TestAnAddressThatIsNone(t *testing.T) {
	for _, c := range []struct{ address, call, want string }{
		{"", "Q1ABC", "is no address"}, {"ftp://192.0.2.7/?code=x", "Q1ABC", "is no address"}, {"http://192.0.2.7:8437", "Q1ABC", "code is missing"},
		{"192.0.2.7:8437/?code=heron42", " ", "needs a call"}, {"http://%zz", "Q1ABC", "is no address"},
	} {
		if _, err := member.Join(c.address, c.call, ""); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v", c.address, err)
		}
	}
}
