//go:build !nodesk

package deskwire

import (
	"bytes"
	"errors"
	"fmt"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
	"driftdrill/sim/morse"

	"github.com/pelletier/go-toml/v2"
)

// loadSettings reads the settings; what is not in them is as new. With an
// error all of them are as new, and those that are stored stay until they are
// saved over.
func loadSettings(store trainer.Store) (port.Settings, error) {
	text, where, err := store.Settings()
	if err != nil || text == nil {
		return port.DefaultSettings(), err
	}
	s := port.DefaultSettings()
	if err := toml.Unmarshal(text, &s); err != nil {
		var at *toml.DecodeError
		if errors.As(err, &at) {
			line, column := at.Position()
			return port.DefaultSettings(), fmt.Errorf("%s:%d:%d: %s", where, line, column, at.Error())
		}
		return port.DefaultSettings(), fmt.Errorf("%s: %w", where, err)
	}
	return screen.Sane(s), nil
}

// storeSettings saves the settings.
func storeSettings(store trainer.Store, s port.Settings) error {
	var text bytes.Buffer
	if err := toml.NewEncoder(&text).Encode(s); err != nil {
		return err
	}
	return store.SaveSettings(text.Bytes())
}

// morseOf is how the operator sends Morse.
func morseOf(set *port.Settings) sim.MorseKey {
	return sim.MorseKey{Kind: morse.Kind(set.MorseKey), Swapped: set.MorseSwapped, WPM: set.MorseWPM,
		PitchHz: max(sim.LowestPitchHz, min(sim.HighestPitchHz, set.ToneHz))}
}
