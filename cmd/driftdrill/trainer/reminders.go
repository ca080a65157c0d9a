package trainer

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"time"

	"driftdrill/cmd/driftdrill/outfile"
)

// Reminder is a pass that the operator wants to be reminded of.
type Reminder struct {
	Key    string    `json:"pass"` // as the page of passes names it
	Bird   string    `json:"bird"`
	AOS    time.Time `json:"rises"`
	LOS    time.Time `json:"sets"`
	TopDeg float64   `json:"top_deg"`
	Rung   bool      `json:"rung,omitempty"` // it was told
}

// RemindBefore is how long before a bird rises one is reminded of it.
const RemindBefore = 10 * time.Minute

// Told is what is said of a reminder.
type Told struct {
	Text  string
	Chime bool // the bird can still be worked: it is worth a sound
}

// Ring goes through reminders at a time and returns those that are left and
// what is to be said now. Each rings once. One whose time came while the
// computer slept or the program was closed is told as late as it is, and one
// whose bird has set is told as missed. Where the clock was put back to before
// its time by more than a few minutes it rings once more: the clock was wrong.
func Ring(all []Reminder, now time.Time) (left []Reminder, told []Told) {
	missed := 0
	var lost Reminder
	for _, r := range all {
		due := r.AOS.Add(-RemindBefore)
		switch {
		case !now.Before(r.LOS):
			if !r.Rung {
				missed++
				lost = r
			}
			continue
		case now.Before(due):
			r.Rung = r.Rung && due.Sub(now) < clockSlack
		case !r.Rung:
			r.Rung = true
			told = append(told, Told{r.words(now), true})
		}
		left = append(left, r)
	}
	switch {
	case missed == 1:
		told = append(told, Told{fmt.Sprintf("%s rose at %s and has set: nobody could remind you, the program did not run or the computer slept.", lost.Bird, lost.AOS.Local().Format("15:04")), false})
	case missed > 1:
		told = append(told, Told{fmt.Sprintf("%d passes that you wanted to be reminded of are over: the program did not run or the computer slept.", missed), false})
	}
	return left, told
}

// clockSlack is by how much a clock may be put back without anything ringing
// twice: clocks are set by seconds all the time. Our choice.
const clockSlack = 5 * time.Minute

// words say a reminder as it is at a time.
func (r *Reminder) words(now time.Time) string {
	high := fmt.Sprintf("%.0f° high at the top", r.TopDeg)
	wait := r.AOS.Sub(now)
	switch minutes := int(math.Ceil(wait.Minutes())); {
	case wait <= 0:
		return fmt.Sprintf("%s is up since %s and sets at %s, %s.", r.Bird, r.AOS.Local().Format("15:04"), r.LOS.Local().Format("15:04"), high)
	case minutes == 1:
		return fmt.Sprintf("%s rises in a minute, at %s, %s.", r.Bird, r.AOS.Local().Format("15:04"), high)
	default:
		return fmt.Sprintf("%s rises in %d minutes, at %s, %s.", r.Bird, minutes, r.AOS.Local().Format("15:04"), high)
	}
}

func (d Disk) remindersFile() string { return filepath.Join(d.Data, "reminders.json") }

// Reminders returns the reminders that are kept, by the time they ring.
func (d Disk) Reminders() ([]Reminder, error) {
	text, err := readKept(d.remindersFile())
	if text == nil {
		return nil, err
	}
	return parseReminders(text, d.remindersFile())
}

func parseReminders(text []byte, name string) ([]Reminder, error) {
	var all []Reminder
	if err := json.Unmarshal(text, &all); err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w; put it aside and set the reminders anew", name, err)
	}
	for i := range all {
		if r := &all[i]; r.Bird == "" || !r.LOS.After(r.AOS) || !(r.TopDeg >= 0 && r.TopDeg <= 90) {
			return nil, fmt.Errorf("%s: entry %d makes no sense (bird %q, rises %s); put the file aside and set the reminders anew", name, i+1, r.Bird, r.AOS.Format(time.RFC3339))
		}
	}
	slices.SortStableFunc(all, func(a, b Reminder) int { return a.AOS.Compare(b.AOS) })
	return all, nil
}

// KeepReminders puts reminders in the place of those before.
func (d Disk) KeepReminders(all []Reminder) error {
	if all == nil {
		all = []Reminder{}
	}
	text, err := json.MarshalIndent(all, "", "  ")
	if err != nil {
		return err
	}
	return outfile.Write(d.remindersFile(), append(text, '\n'))
}
