package trainer

import (
	"os"
	"reflect"
	"strings"
	"testing"
	"time"
)

// aReminder is of a pass from 19:00 to 19:14 local time.
func aReminder(bird string) Reminder {
	rises := time.Date(2026, 11, 25, 19, 0, 0, 0, time.Local)
	return Reminder{Key: bird + "@", Bird: bird, AOS: rises, LOS: rises.Add(14 * time.Minute), TopDeg: 56}
}

// ringing goes through a day by clock readings and returns what was said at which.
func ringing(all []Reminder, clock ...time.Duration) (said []string, left []Reminder) {
	rises := all[0].AOS
	for _, at := range clock {
		var told []Told
		all, told = Ring(all, rises.Add(at))
		for _, x := range told {
			said = append(said, at.String()+" "+x.Text)
		}
	}
	return said, all
}

// A reminder rings ten minutes before the bird rises, once; after a sleep it
// says how things stand then; a bird that has set was missed; a clock that is
// put back by an hour lets it ring once more, one that is set by seconds does not.
func TestRing(t *testing.T) {
	const m = time.Minute
	for name, c := range map[string]struct {
		clock []time.Duration
		want  []string // in order, each part of what is said
		left  int
	}{
		"as it should be":     {[]time.Duration{-11 * m, -10*m - time.Second, -10 * m, -9 * m, 0, 13 * m, 14 * m}, []string{"-10m0s LARK-1 rises in 10 minutes, at 19:00, 56° high"}, 0},
		"slept a little":      {[]time.Duration{-60 * m, -3*m - time.Second, -2 * m}, []string{"-3m1s LARK-1 rises in 4 minutes"}, 1},
		"slept into the pass": {[]time.Duration{-60 * m, 5 * m, 6 * m}, []string{"5m0s LARK-1 is up since 19:00 and sets at 19:14"}, 1},
		"slept through":       {[]time.Duration{-60 * m, 90 * m, 91 * m}, []string{"1h30m0s LARK-1 rose at 19:00 and has set"}, 0},
		"put back by seconds": {[]time.Duration{-10 * m, -10*m - 30*time.Second, -10 * m}, []string{"-10m0s LARK-1 rises"}, 1},
		"put back by an hour": {[]time.Duration{-10 * m, -70 * m, -11 * m, -10 * m}, []string{"-10m0s LARK-1 rises", "-10m0s LARK-1 rises"}, 1},
		"in the last minute":  {[]time.Duration{-50 * time.Second}, []string{"-50s LARK-1 rises in a minute"}, 1},
	} {
		said, left := ringing([]Reminder{aReminder("LARK-1")}, c.clock...)
		if len(said) != len(c.want) || len(left) != c.left {
			t.Errorf("%s: said %q, %d left", name, said, len(left))
			continue
		}
		for i, want := range c.want {
			if !strings.HasPrefix(said[i], want) {
				t.Errorf("%s: said %q, want %q", name, said[i], want)
			}
		}
	}
}

// Several ring each for itself; many that were missed are one sentence.
func TestRingSeveral(t *testing.T) {
	a, b := aReminder("LARK-1"), aReminder("DIPPER-2")
	b.AOS, b.LOS = b.AOS.Add(5*time.Minute), b.LOS.Add(5*time.Minute)
	said, left := ringing([]Reminder{a, b}, -10*time.Minute, -5*time.Minute, time.Minute)
	if len(said) != 2 || !strings.Contains(said[0], "LARK-1") || !strings.Contains(said[1], "DIPPER-2 rises in 10 minutes") || len(left) != 2 {
		t.Errorf("said %q, %d left", said, len(left))
	}
	if said, left = ringing([]Reminder{a, b}, 10*time.Hour); len(said) != 1 || !strings.Contains(said[0], "2 passes that you wanted") || len(left) != 0 {
		t.Errorf("said %q, %d left", said, len(left))
	}
}

// Reminders outlive the program, in order of time; a broken file is told and stays.
func TestRemindersAreKept(t *testing.T) {
	d := Disk{Data: t.TempDir()}
	if all, err := d.Reminders(); err != nil || len(all) != 0 {
		t.Fatal(all, err)
	}
	late, early := aReminder("LARK-1"), aReminder("DIPPER-2")
	early.AOS, early.Rung = early.AOS.Add(-time.Hour), true
	if err := d.KeepReminders([]Reminder{late, early}); err != nil {
		t.Fatal(err)
	}
	got, err := d.Reminders()
	if err != nil || len(got) != 2 || got[0].Bird != "DIPPER-2" || !got[0].Rung || !got[1].AOS.Equal(late.AOS) {
		t.Errorf("%v, %+v", err, got)
	}
	if err := os.WriteFile(d.remindersFile(), []byte(`[{"bird":""}]`), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := d.Reminders(); err == nil || !strings.Contains(err.Error(), "entry 1") {
		t.Errorf("a broken file: %v", err)
	}
}

func FuzzReminders(f *testing.F) {
	f.Add([]byte(`[{"pass":"99901@2026-11-25T19:07:00Z","bird":"LARK-1","rises":"2026-11-25T19:00:00Z","sets":"2026-11-25T19:14:00Z","top_deg":56}]`))
	f.Add([]byte(`[{"bird":"x","rises":"0001-01-01T00:00:00Z","sets":"9999-12-31T23:59:59Z"}]`))
	f.Fuzz(func(t *testing.T, text []byte) {
		all, err := parseReminders(text, "reminders")
		if err != nil && strings.Contains(err.Error(), "\n") {
			t.Errorf("more than a line: %v", err)
		}
		left, _ := Ring(all, time.Date(2026, 11, 25, 18, 55, 0, 0, time.UTC))
		again, told := Ring(left, time.Date(2026, 11, 25, 18, 55, 0, 0, time.UTC))
		if len(told) > 0 || !reflect.DeepEqual(left, again) {
			t.Errorf("the same moment rings twice: %v", told)
		}
	})
}
