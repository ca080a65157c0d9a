//go:build !nodesk

package screen

import (
	"fmt"
	"math"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// Clock writes a number of ticks as m:ss.
func Clock(t sim.Tick) string {
	if t < 0 {
		t = -t
	}
	s := int(math.Round(t.Seconds()))
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// LengthWords is a length of time in words: "4 min 10 s".
func LengthWords(d time.Duration) string {
	s := int(d.Round(time.Second).Seconds())
	if s < 60 {
		return fmt.Sprintf("%d s", s)
	}
	if s%60 == 0 || s > 600 {
		return fmt.Sprintf("%d min", (s+30)/60)
	}
	return fmt.Sprintf("%d min %d s", s/60, s%60)
}

// DayWord says which day t is as seen from now: "today", "tomorrow", "Fri 27 Nov".
func DayWord(t, now time.Time) string {
	day := func(t time.Time) time.Time { y, m, d := t.Date(); return time.Date(y, m, d, 12, 0, 0, 0, time.UTC) }
	switch int(math.Round(day(t).Sub(day(now)).Hours() / 24)) {
	case 0:
		return "today"
	case 1:
		return "tomorrow"
	case -1:
		return "yesterday"
	}
	if t.Year() != now.Year() {
		return t.Format("2 Jan 2006")
	}
	return t.Format("Mon 2 Jan")
}

// DrillName is a drill as it is called: "drill 6, Come back".
func DrillName(e *port.DrillEntry) string {
	if e.Number == 0 {
		return e.Title
	}
	return fmt.Sprintf("drill %d, %s", e.Number, e.Title)
}

// Decibels writes a level; the lowest is off.
func Decibels(v float64) string {
	switch {
	case v <= -60:
		return "off"
	case v > 0:
		return fmt.Sprintf("+%.0f dB", v)
	}
	return fmt.Sprintf("%.0f dB", v)
}
