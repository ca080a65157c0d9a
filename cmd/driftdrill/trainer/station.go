package trainer

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
)

// UsualStation is what the station without a name is called.
const UsualStation = "the usual station"

// Bounds of stations: our choice.
const (
	mostStationLetters = 40
	MostStations       = 40
)

// CheckStation returns the name of a station as it is kept, without blanks
// around it. The error says in a line what cannot be a name.
func CheckStation(name string) (string, error) {
	name = strings.Trim(name, " ")
	switch {
	case !utf8.ValidString(name) || strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsPrint(r) }):
		return "", fmt.Errorf("%q is no name of a station: letters, digits, signs and blanks make one", cutName(name))
	case utf8.RuneCountInString(name) > mostStationLetters:
		return "", fmt.Errorf("%q is too long for a station: %d letters at most", cutName(name), mostStationLetters)
	case strings.EqualFold(name, UsualStation):
		return "", nil
	}
	return name, nil
}

// cutName is the beginning of a name, for a message.
func cutName(name string) string {
	if letters := []rune(name); len(letters) > mostStationLetters {
		return string(letters[:mostStationLetters-3]) + "..."
	}
	return name
}

// StationWords are a station's name, or what the one without is called.
func StationWords(name string) string {
	if name == "" {
		return UsualStation
	}
	return name
}

// Stations are the stations that corrections are of, with those that were named
// besides and the usual one first; each once, whatever its capitals.
func Stations(all []Correction, named ...string) []string {
	out := []string{""}
	for i := range all {
		named = append(named, all[i].Station)
	}
	for _, name := range named {
		if !slices.ContainsFunc(out, func(o string) bool { return strings.EqualFold(o, name) }) {
			out = append(out, name)
		}
	}
	return out
}

// Station is the one that the settings name; with an error what stands there is no name.
func (d Disk) Station() (string, error) {
	text, where, err := d.Settings()
	if err != nil {
		return "", err
	}
	var set struct{ Station string }
	if err := toml.Unmarshal(text, &set); err != nil {
		return "", errors.New(where + " cannot be read; mend it, or take it away and choose anew")
	}
	clean, err := CheckStation(set.Station)
	if err != nil {
		return "", fmt.Errorf("%s: Station: %w", where, err)
	}
	return clean, nil
}

// NamedStations are those that were given a name in the settings.
func (d Disk) NamedStations() ([]string, error) {
	text, where, err := d.Settings()
	if err != nil {
		return nil, err
	}
	var set struct{ Stations []string }
	if err := toml.Unmarshal(text, &set); err != nil {
		return nil, errors.New(where + " cannot be read; mend it, or take it away and choose anew")
	}
	return SaneStations(set.Stations), nil
}

// SaneStations are those that are names, no more than there may be.
func SaneStations(names []string) []string {
	var out []string
	for _, name := range names {
		if clean, err := CheckStation(name); err == nil && clean != "" && len(out) < MostStations {
			out = append(out, clean)
		}
	}
	return out
}

// UseStation names the operator's station in the settings, whose other entries stay.
func (d Disk) UseStation(name string) error {
	name, err := CheckStation(name)
	if err != nil {
		return err
	}
	set, _, err := d.someSettings()
	if err != nil {
		return err
	}
	maps.DeleteFunc(set, func(key string, _ any) bool { return strings.EqualFold(key, "Station") })
	set["Station"] = name
	named, _ := set["Stations"].([]any)
	if name != "" && !slices.ContainsFunc(named, func(o any) bool { s, ok := o.(string); return ok && strings.EqualFold(s, name) }) {
		if len(named) >= MostStations {
			return fmt.Errorf("there are %d stations; take one out first", len(named))
		}
		set["Stations"] = append(named, name)
	}
	text, err := toml.Marshal(set)
	if err != nil {
		return err
	}
	return d.SaveSettings(text)
}

// someSettings are the settings by their names; none where there are none yet.
func (d Disk) someSettings() (map[string]any, string, error) {
	text, where, err := d.Settings()
	if err != nil {
		return nil, where, err
	}
	set := map[string]any{}
	if err := toml.Unmarshal(text, &set); err != nil {
		return nil, where, errors.New(where + " cannot be read; mend it, or take it away and choose anew")
	}
	return set, where, nil
}
