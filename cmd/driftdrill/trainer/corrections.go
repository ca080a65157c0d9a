package trainer

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/sim"
)

// Correction is what one recording of a pass told of the oscillators of bird
// and radios together.
type Correction struct {
	Bird        string    `json:"bird"`
	Transponder int       `json:"transponder"`       // counted from 1
	Station     string    `json:"station,omitempty"` // name of place and radios, as CheckStation lets it be; "" = UsualStation
	ErrorHz     float64   `json:"error_hz"`          // by how much the return lies higher on the downlink than the elements say, hertz of radio frequency
	SDHz        float64   `json:"sd_hz"`             // one standard deviation
	Heard       time.Time `json:"heard_utc"`
	File        string    `json:"file"` // the recording; "" = it was noted by hand
}

// Of tells whether the correction is of that bird's transponder and that station.
func (c *Correction) Of(bird string, transponder int, station string) bool {
	return strings.EqualFold(c.Bird, bird) && c.Transponder == transponder && strings.EqualFold(c.Station, station)
}

func (d Disk) correctionsFile() string { return filepath.Join(d.Data, "corrections.json") }

// Corrections returns what was kept, by bird and the time of its recording.
func (d Disk) Corrections() ([]Correction, error) {
	text, err := readKept(d.correctionsFile())
	if text == nil {
		return nil, err
	}
	return parseCorrections(text, d.correctionsFile())
}

// mostCorrectionHz is the greatest error that makes sense; a bird file allows no more.
const mostCorrectionHz = 20e3

func parseCorrections(text []byte, name string) ([]Correction, error) {
	var all []Correction
	if err := json.Unmarshal(text, &all); err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w; put it aside and keep the corrections anew", name, err)
	}
	for i := range all {
		c := &all[i]
		if c.Bird == "" || c.Transponder < 1 || !(math.Abs(c.ErrorHz) <= mostCorrectionHz) || !(c.SDHz >= 0) || math.IsInf(c.SDHz, 0) {
			return nil, fmt.Errorf("%s: entry %d makes no sense (bird %q, %g Hz); put the file aside and keep the corrections anew", name, i+1, c.Bird, c.ErrorHz)
		}
		if clean, err := CheckStation(c.Station); err != nil || clean != c.Station {
			return nil, fmt.Errorf("%s: entry %d is of a station called %q, which is no name; put the file aside and keep the corrections anew", name, i+1, cutName(c.Station))
		}
	}
	return SortCorrections(all), nil
}

// SortCorrections sorts by bird and the time of the recording, as Corrected takes them.
func SortCorrections(all []Correction) []Correction {
	slices.SortStableFunc(all, func(a, b Correction) int {
		if n := strings.Compare(strings.ToLower(a.Bird), strings.ToLower(b.Bird)); n != 0 {
			return n
		}
		return a.Heard.Compare(b.Heard)
	})
	return all
}

// SameRecording tells whether another one is what the same recording told of
// the same oscillators.
func (c Correction) SameRecording(o Correction) bool {
	return o.Of(c.Bird, c.Transponder, c.Station) && o.Heard.Equal(c.Heard) && o.File == c.File
}

// KeepCorrection keeps one, in place of what the same recording told before.
func (d Disk) KeepCorrection(c Correction) error {
	if !(math.Abs(c.ErrorHz) <= mostCorrectionHz) {
		return fmt.Errorf("an error of %.0f Hz is more than radios have: is it the right bird, and are the dials right?", c.ErrorHz)
	}
	var err error
	if c.Station, err = CheckStation(c.Station); err != nil {
		return err
	}
	all, err := d.Corrections()
	if err != nil {
		return err
	}
	all = slices.DeleteFunc(all, c.SameRecording)
	return d.writeCorrections(append(all, c))
}

// ForgetCorrections forgets those of a bird's transponder, 0 = all of them, at
// one station, and returns how many there were.
func (d Disk) ForgetCorrections(bird string, transponder int, station string) (int, error) {
	all, err := d.Corrections()
	if err != nil {
		return 0, err
	}
	n := len(all)
	all = slices.DeleteFunc(all, func(o Correction) bool {
		return o.Of(bird, o.Transponder, station) && (transponder == 0 || o.Transponder == transponder)
	})
	if len(all) == n {
		return 0, nil
	}
	return n - len(all), d.writeCorrections(all)
}

func (d Disk) writeCorrections(all []Correction) error {
	text, err := json.MarshalIndent(all, "", "  ")
	if err != nil {
		return err
	}
	return outfile.Write(d.correctionsFile(), append(text, '\n'))
}

// NotedSDHz is the standard deviation that is taken for what an operator noted
// by hand: the ear is true within some 25 Hz, and a notch is 10 to 20. Our choice.
const NotedSDHz = 30

// Noted is what an operator noted by hand: by how much the dial that the rule
// turns stood above the dial card where he sounded true, Hz.
func Noted(b *sim.Bird, transponder int, rule string, dialHz float64, now time.Time) Correction {
	t := &b.Transponders[transponder-1]
	return Correction{Bird: b.Name, Transponder: transponder, ErrorHz: InForce{ErrorHz: dialHz}.DialHz(t, rule), SDHz: NotedSDHz, Heard: now.UTC().Truncate(time.Second)}
}

// ByHand tells whether it was noted by hand, and not told by a recording.
func (c *Correction) ByHand() bool { return c.File == "" }

// InForce is the correction that is used: the mean of the last recordings.
type InForce struct {
	ErrorHz  float64 // as in Correction
	SpreadHz float64 // standard deviation of all that were kept; 0 where there is one
	Passes   int     // that it rests on
	Noted    int     // how many of them were noted by hand; the others are recordings
}

// Source says what it rests on: "noted by hand", "from a recording".
func (f InForce) Source() string {
	recordings := fmt.Sprintf("%d recordings", f.Passes-f.Noted)
	if f.Passes-f.Noted == 1 {
		recordings = "a recording"
	}
	switch f.Noted {
	case 0:
		return "from " + recordings
	case f.Passes:
		return "noted by hand"
	}
	return fmt.Sprintf("from %s and %s by hand", recordings, map[bool]string{true: "a note", false: fmt.Sprintf("%d notes", f.Noted)}[f.Noted == 1])
}

// lastPasses is how many recordings are averaged: oscillators age. Our choice.
const lastPasses = 3

// Corrected finds the correction in force.
func Corrected(all []Correction, bird string, transponder int, station string) (InForce, bool) {
	var of []Correction
	for i := range all {
		if all[i].Of(bird, transponder, station) {
			of = append(of, all[i])
		}
	}
	if len(of) == 0 {
		return InForce{}, false
	}
	var f InForce
	var mean, square, weights float64
	for _, c := range of {
		mean += c.ErrorHz / float64(len(of))
	}
	for _, c := range of {
		square += (c.ErrorHz - mean) * (c.ErrorHz - mean)
	}
	if len(of) > 1 {
		f.SpreadHz = math.Sqrt(square / float64(len(of)-1))
	}
	last := of[max(0, len(of)-lastPasses):]
	for _, c := range last {
		w := 1 / (c.SDHz*c.SDHz + 25) // no recording is better than 5 Hz: the oscillators move within a pass
		f.ErrorHz, weights = f.ErrorHz+w*c.ErrorHz, weights+w
		if c.ByHand() {
			f.Noted++
		}
	}
	f.ErrorHz, f.Passes = f.ErrorHz/weights, len(last)
	return f, true
}

// DialHz is by how much the dial that a rule turns must differ from the elements' figure.
func (f InForce) DialHz(t *sim.Transponder, rule string) float64 {
	if rule != "downlink" && !t.Inverting {
		return -f.ErrorHz
	}
	return f.ErrorHz
}

// Correction finds the one in force with a bird's transponder, counted from 1,
// at the operator's station.
func (f Flock) Correction(bird string, transponder int) (InForce, bool) {
	if f.Corrections == nil {
		return InForce{}, false
	}
	return Corrected(f.Corrections(), bird, transponder, f.station())
}

// station is the operator's.
func (f Flock) station() string {
	if f.Station == nil {
		return ""
	}
	return f.Station()
}

// corrected returns the bird with the corrections that were kept for it at the
// operator's station: it is flown with that error, and its dial card knows it.
// words is "" where there is none.
func (f Flock) corrected(b sim.Bird) (bird sim.Bird, words string) {
	if f.Corrections == nil {
		return b, ""
	}
	at := ""
	if name := f.station(); name != "" {
		at = " at " + name
	}
	b.Transponders = slices.Clone(b.Transponders)
	for i := range b.Transponders {
		c, ok := f.Correction(b.Name, i+1)
		if !ok {
			continue
		}
		t := &b.Transponders[i]
		t.OscillatorHz = math.Max(-mostCorrectionHz, math.Min(mostCorrectionHz, t.OscillatorHz+math.Round(c.ErrorHz)))
		which := ""
		if len(b.Transponders) > 1 {
			which = fmt.Sprintf(" on transponder %d", i+1)
		}
		words += fmt.Sprintf(", corrected by %+.0f Hz%s%s, %s", c.ErrorHz, which, at, c.Source())
	}
	return b, words
}
