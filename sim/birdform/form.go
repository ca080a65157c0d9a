// Package birdform is a bird as a person types it: a text for each field, a
// word on each while it is typed, and the bird that they make. Frequencies are
// typed in megahertz at the satellite, with a point or a comma. The limits are
// those of bird files (sim.ParseBird).
package birdform

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"driftdrill/orbit/legible"
	"driftdrill/sim"
)

// Form is a bird as it is typed.
type Form struct {
	Name, Catalog string
	Transponders  []Transponder
	Beacon        string // MHz; "" = none
	Linear        bool   // polarisation of its antennas: linear, else circular
	InEclipse     string // "on", "low" or "off"

	base sim.Bird // what was edited: everything that the form does not show stays
}

// Transponder is one of the bird's transponders. One of its four edges may be
// left out: it follows from the others, since both passbands are equally wide.
type Transponder struct {
	UpLow, UpHigh, DownLow, DownHigh string // MHz
	Inverting                        bool
	from                             int // its place in the bird that was edited, from 1; 0 = it is new
}

// Field is one field of the form.
type Field int

// The fields that take text. Those from UpLow to DownHigh are of a transponder.
const (
	Name Field = iota
	Catalog
	UpLow
	UpHigh
	DownLow
	DownHigh
	Beacon
)

// most is how many transponders a bird may have in the form.
const most = 8

// New returns an empty form, with a name and a catalogue number where they are
// known; 0 = it is not.
func New(name string, catalog int) *Form {
	f := &Form{Name: name, InEclipse: "on", Transponders: []Transponder{{Inverting: true}}}
	if catalog > 0 {
		f.Catalog = strconv.Itoa(catalog)
	}
	return f
}

// Of returns a bird as a form.
func Of(b sim.Bird) *Form {
	f := New(b.Name, b.Catalog)
	f.base, f.Transponders, f.Linear, f.InEclipse = b, nil, b.Antenna.Polarisation == "linear", b.Power.InEclipse
	for i := range b.Transponders {
		t := &b.Transponders[i]
		f.Transponders = append(f.Transponders, Transponder{MHz(t.UplinkLowHz), MHz(t.UplinkHighHz), MHz(t.DownlinkLowHz), MHz(t.DownlinkHighHz), t.Inverting, i + 1})
	}
	if b.Beacon != nil {
		f.Beacon = MHz(b.Beacon.FrequencyHz)
	}
	return f
}

// Add puts one more transponder at the end; false = there are as many as the form takes.
func (f *Form) Add() bool {
	if len(f.Transponders) >= most {
		return false
	}
	f.Transponders = append(f.Transponders, Transponder{Inverting: true})
	return true
}

// Remove takes a transponder out; the last one stays.
func (f *Form) Remove(i int) {
	if len(f.Transponders) > 1 {
		f.Transponders = slices.Delete(f.Transponders, i, i+1)
	}
}

// Text returns where the text of a field is kept; transponder counts from 0.
func (f *Form) Text(field Field, transponder int) *string {
	switch field {
	case Name:
		return &f.Name
	case Catalog:
		return &f.Catalog
	case Beacon:
		return &f.Beacon
	}
	return f.Transponders[transponder].text(field)
}

func (t *Transponder) text(field Field) *string {
	return map[Field]*string{UpLow: &t.UpLow, UpHigh: &t.UpHigh, DownLow: &t.DownLow, DownHigh: &t.DownHigh}[field]
}

// MHz writes a frequency in hertz as it is typed: at least to the kilohertz.
func MHz(hz float64) string {
	text := strings.TrimRight(strconv.FormatFloat(hz/1e6, 'f', 6, 64), "0")
	if point := strings.IndexByte(text, '.'); len(text)-point-1 < 3 {
		text = strconv.FormatFloat(hz/1e6, 'f', 3, 64)
	}
	return text
}

// Frequencies that a bird file takes, MHz.
const lowestMHz, highestMHz = 20, 25000

// hertz reads a frequency that was typed in megahertz.
func hertz(text string) (float64, error) {
	text = strings.TrimSpace(strings.TrimSuffix(strings.ToLower(strings.TrimSpace(text)), "mhz"))
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	switch {
	case err != nil || math.IsNaN(v):
		return 0, fmt.Errorf("a frequency looks like 145.950")
	case v < lowestMHz || v > highestMHz:
		return 0, fmt.Errorf("in megahertz, from %d to %d", lowestMHz, highestMHz)
	}
	return math.Round(v * 1e6), nil
}

// Note says a word on what stands in a field, and whether it can stay.
func (f *Form) Note(field Field, transponder int) (note string, ok bool) {
	switch field {
	case Name:
		return f.nameNote()
	case Catalog:
		return f.catalogNote()
	case Beacon:
		return f.beaconNote()
	}
	return f.Transponders[transponder].note(field)
}

// mostName is how long a bird's name may be, bytes.
const mostName = 40

func (f *Form) nameNote() (string, bool) {
	name := strings.TrimSpace(f.Name)
	switch {
	case name == "":
		return "it needs a name", false
	case len(name) > mostName:
		return fmt.Sprintf("%d letters at most", mostName), false
	case strings.ContainsFunc(name, legible.Unsafe) || !utf8.ValidString(name):
		return "a sign in it cannot be shown", false
	case !strings.ContainsFunc(name, func(r rune) bool { return unicode.IsDigit(r) && r < 0x80 || r < 0x80 && unicode.IsLetter(r) }):
		return "a letter or a digit, to call its file by", false
	}
	return "", true
}

func (f *Form) catalogNote() (string, bool) {
	text := strings.TrimSpace(f.Catalog)
	if text == "" {
		return "left out: its elements are found by the name", true
	}
	if n, err := strconv.Atoi(text); err != nil || n < 1 || n > 999999999 {
		return "up to nine digits", false
	}
	return "", true
}

func (f *Form) beaconNote() (string, bool) {
	if strings.TrimSpace(f.Beacon) == "" {
		return "left out: it has none", true
	}
	if _, err := hertz(f.Beacon); err != nil {
		return err.Error(), false
	}
	return "", true
}

// edges are the four edges in hertz; 0 = not given or not to be read. One that
// was left out is worked out from the others: missing is its field.
func (t *Transponder) edges() (hz [4]float64, missing Field) {
	missing = Name
	left := 0
	for i := range hz {
		text := strings.TrimSpace(*t.text(UpLow + Field(i)))
		if text == "" {
			left, missing = left+1, UpLow+Field(i)
			continue
		}
		hz[i], _ = hertz(text)
		if hz[i] == 0 {
			left += 2
		}
	}
	if left != 1 {
		return hz, Name
	}
	i := int(missing - UpLow)
	other := (i + 2) % 4 / 2 * 2 // where the other passband begins
	width := hz[other+1] - hz[other]
	if i%2 == 0 {
		width = -width
	}
	hz[i] = hz[i^1] + width
	return hz, missing
}

// leastPassbandHz is the width of one voice (bird files).
const leastPassbandHz = 2700

func (t *Transponder) note(field Field) (string, bool) {
	text := strings.TrimSpace(*t.text(field))
	hz, missing := t.edges()
	i := int(field - UpLow)
	if text == "" && field == missing {
		if hz[i|1] <= hz[i&^1] {
			return "", false
		}
		return MHz(hz[i]) + ", from the others", true
	}
	if text == "" {
		return "", false
	}
	if _, err := hertz(text); err != nil {
		return err.Error(), false
	}
	low, high := hz[i&^1], hz[i|1]
	if i%2 == 0 || low == 0 {
		return "", true
	}
	width, up := high-low, hz[1]-hz[0]
	switch {
	case width <= 0:
		return "must lie above the lower edge", false
	case width < leastPassbandHz:
		return fmt.Sprintf("%.1f kHz wide; a voice takes 2.7", width/1e3), false
	case field == DownHigh && up > 0 && hz[0] > 0 && math.Abs(up-width) > 0.5:
		return fmt.Sprintf("%s wide, the uplink %s: %s?", kHz(width), kHz(up), MHz(low+up)), false
	}
	return kHz(width) + " wide", true
}

func kHz(hz float64) string { return strconv.FormatFloat(hz/1e3, 'f', -1, 64) + " kHz" }

// Plan is a transponder as it is typed, as far as it can be read: ok = all of it can.
func (f *Form) Plan(i int) (plan sim.Transponder, ok bool) {
	t := &f.Transponders[i]
	hz, _ := t.edges()
	if t.from > 0 && t.from <= len(f.base.Transponders) {
		plan = f.base.Transponders[t.from-1]
	}
	if t.from == 0 || plan.Inverting != t.Inverting {
		plan.UplinkSideband, plan.DownlinkSideband = "USB", "USB"
		if t.Inverting {
			plan.UplinkSideband = "LSB"
		}
	}
	plan.Inverting = t.Inverting
	plan.UplinkLowHz, plan.UplinkHighHz, plan.DownlinkLowHz, plan.DownlinkHighHz = hz[0], hz[1], hz[2], hz[3]
	plan.SumHz, plan.DifferenceHz = 0, 0
	if ok = f.whole(i); ok && t.Inverting {
		plan.SumHz = plan.Constant()
	} else if ok {
		plan.DifferenceHz = plan.Constant()
	}
	return plan, ok
}

func (f *Form) whole(i int) bool {
	for field := UpLow; field <= DownHigh; field++ {
		if _, ok := f.Note(field, i); !ok {
			return false
		}
	}
	return true
}

// Wrong finds the first field that cannot stay as it is; there = false: none.
func (f *Form) Wrong() (field Field, transponder int, note string, there bool) {
	for _, field := range []Field{Name, Catalog} {
		if note, ok := f.Note(field, 0); !ok {
			return field, 0, note, true
		}
	}
	for i := range f.Transponders {
		for field := UpLow; field <= DownHigh; field++ {
			if note, ok := f.Note(field, i); !ok {
				if note == "" {
					note = "a frequency is missing"
				}
				return field, i, note, true
			}
		}
	}
	if note, ok := f.Note(Beacon, 0); !ok {
		return Beacon, 0, note, true
	}
	return 0, 0, "", false
}

// BeaconHz is the beacon's frequency; 0 = there is none, or it cannot be read.
func (f *Form) BeaconHz() float64 {
	hz, _ := hertz(f.Beacon)
	return hz
}

// The beacon that a form gives a bird which had none: our choice, like that of
// a bundled bird.
const beaconEIRPDBW = -7

// File returns the bird file that the form makes. It can be read by
// sim.ParseBird where Wrong finds nothing.
func (f *Form) File() ([]byte, error) {
	b := f.base
	b.Name = strings.TrimSpace(f.Name)
	b.Catalog, _ = strconv.Atoi(strings.TrimSpace(f.Catalog))
	b.Transponders = nil
	for i := range f.Transponders {
		plan, _ := f.Plan(i)
		b.Transponders = append(b.Transponders, plan)
	}
	b.Antenna.Polarisation = "circular"
	if f.Linear {
		b.Antenna.Polarisation = "linear"
	}
	b.Power.InEclipse = f.InEclipse
	hz, err := hertz(f.Beacon)
	switch {
	case strings.TrimSpace(f.Beacon) == "" || err != nil:
		b.Beacon = nil
	case b.Beacon == nil:
		b.Beacon = &sim.Beacon{FrequencyHz: hz, EIRPDBW: beaconEIRPDBW}
	default:
		beacon := *b.Beacon
		beacon.FrequencyHz = hz
		b.Beacon = &beacon
	}
	return sim.FormatBird(b)
}
