package trainer

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/sim"
)

// ByHand are bands that the operator chose for a bird of which nobody has the
// plan, so that it can be flown until somebody types the plan in.
type ByHand struct {
	Name       string  `json:"bird"`
	Catalog    int     `json:"catalog,omitempty"` // 0 = none
	UplinkHz   float64 `json:"uplink_hz"`         // middle of the passband at the satellite
	DownlinkHz float64 `json:"downlink_hz"`
	Inverting  bool    `json:"inverting"`
}

// byHandWidthHz is the width of a passband that was chosen by its middle: that
// of many birds, our choice.
const byHandWidthHz = 40e3

// Words say the bands: "uplink 435.150, downlink 145.900 MHz, inverting".
func (b *ByHand) Words() string {
	kind := "inverting"
	if !b.Inverting {
		kind = "straight"
	}
	return fmt.Sprintf("uplink %.3f, downlink %.3f MHz, %s", b.UplinkHz/1e6, b.DownlinkHz/1e6, kind)
}

// Bird is the bird that is flown with these bands. Power and noise are those of
// the most common transponder; there is no beacon, since nobody knows of one.
// The error says which band cannot be.
func (b *ByHand) Bird() (sim.Bird, error) {
	usual, err := Flock{}.Find(UsualBird)
	if err != nil {
		return sim.Bird{}, err
	}
	bird := usual.Bird
	t := bird.Transponders[0]
	t.Name, t.Inverting, t.Beacon, t.SumHz, t.DifferenceHz = "bands chosen by hand", b.Inverting, nil, 0, 0
	t.UplinkSideband, t.DownlinkSideband = "USB", "USB"
	if b.Inverting {
		t.UplinkSideband = "LSB"
	}
	const half = byHandWidthHz / 2
	t.UplinkLowHz, t.UplinkHighHz, t.DownlinkLowHz, t.DownlinkHighHz = b.UplinkHz-half, b.UplinkHz+half, b.DownlinkHz-half, b.DownlinkHz+half
	t.OscillatorHz = 0
	bird.Name, bird.Catalog, bird.Beacon, bird.Spin = strings.TrimSpace(b.Name), b.Catalog, nil, nil
	bird.About = "Bands chosen by hand: " + b.Words() + "."
	bird.Transponders = []sim.Transponder{t}
	text, err := sim.FormatBird(bird)
	if err != nil {
		return sim.Bird{}, err
	}
	return sim.ParseBird(text, "bands by hand") // whatever a bird file may not hold may not be chosen
}

// Of tells whether the choice is for a bird of that name or number.
func (b *ByHand) Of(name string, catalog int) bool {
	return strings.EqualFold(b.Name, strings.TrimSpace(name)) || b.Catalog != 0 && b.Catalog == catalog
}

// byHandFile is where they are kept; "" = nowhere.
func (f Flock) byHandFile() string {
	if f.Folder == "" {
		return ""
	}
	return filepath.Join(filepath.Dir(f.Folder), "bands-by-hand.json")
}

// BandsByHand returns what was chosen. A file that cannot be read is told.
func (f Flock) BandsByHand() ([]ByHand, error) {
	file := f.byHandFile()
	if file == "" {
		return nil, nil
	}
	text, err := readKept(file)
	if text == nil {
		return nil, err
	}
	return parseByHand(text, file)
}

func parseByHand(text []byte, name string) ([]ByHand, error) {
	var all []ByHand
	if err := json.Unmarshal(text, &all); err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w; put it aside and choose the bands anew", name, err)
	}
	for i := range all {
		if _, err := all[i].Bird(); err != nil {
			return nil, fmt.Errorf("%s: entry %d makes no sense: %w; put the file aside and choose the bands anew", name, i+1, err)
		}
	}
	return all, nil
}

// KeepByHand keeps bands, in place of what was chosen for that bird before.
func (f Flock) KeepByHand(b ByHand) error {
	if f.byHandFile() == "" {
		return errors.New("there is no folder to keep bands in here")
	}
	if _, err := b.Bird(); err != nil {
		return err
	}
	all, err := f.BandsByHand()
	if err != nil {
		return err
	}
	all = slices.DeleteFunc(all, func(o ByHand) bool { return o.Of(b.Name, b.Catalog) })
	return f.writeByHand(append(all, b))
}

// ForgetByHand forgets the bands of a bird and tells whether there were any.
func (f Flock) ForgetByHand(name string, catalog int) (bool, error) {
	all, err := f.BandsByHand()
	if err != nil {
		return false, err
	}
	n := len(all)
	if all = slices.DeleteFunc(all, func(o ByHand) bool { return o.Of(name, catalog) }); len(all) == n {
		return false, nil
	}
	return true, f.writeByHand(all)
}

func (f Flock) writeByHand(all []ByHand) error {
	text, err := json.MarshalIndent(all, "", "  ")
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(f.byHandFile()), 0o755); err != nil {
		return PlainFileError(err)
	}
	return outfile.Write(f.byHandFile(), append(text, '\n'))
}

// Plans are all birds and, after them, those whose bands were chosen by hand: a
// plan that somebody typed in comes before them.
func (f Flock) Plans() (all []Known, broken []error) {
	all, broken = f.All()
	chosen, err := f.BandsByHand()
	if err != nil {
		broken = append(broken, err)
	}
	planned := len(all)
	for i := range chosen {
		if b, err := chosen[i].Bird(); err == nil && !slices.ContainsFunc(all[:planned], func(k Known) bool { return sameBird(&k.Bird, &b) }) {
			all = append(all, Known{Bird: b, ByHand: &chosen[i]})
		}
	}
	return all, broken
}
