//go:build !nodesk

package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"driftdrill/cmd/driftdrill/desk"

	"github.com/adrg/xdg"
	"github.com/pelletier/go-toml/v2"
)

// settingsFile is where the settings lie.
func settingsFile() string { return filepath.Join(xdg.ConfigHome, "driftdrill", "settings.toml") }

// loadSettings reads the settings; what is not in the file is as new. With an
// error all of them are as new, and the file stays until it is saved over.
func loadSettings() (desk.Settings, error) {
	path := settingsFile()
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return desk.DefaultSettings(), nil
	}
	if err != nil {
		return desk.DefaultSettings(), err
	}
	s := desk.DefaultSettings()
	if err := toml.Unmarshal(data, &s); err != nil {
		var where *toml.DecodeError
		if errors.As(err, &where) {
			line, column := where.Position()
			return desk.DefaultSettings(), fmt.Errorf("%s:%d:%d: %s", path, line, column, where.Error())
		}
		return desk.DefaultSettings(), fmt.Errorf("%s: %w", path, err)
	}
	return s.Sane(), nil
}

// storeSettings writes the settings through a copy, so that a power cut leaves
// the old ones or the new ones.
func storeSettings(s desk.Settings) error {
	var text bytes.Buffer
	if err := toml.NewEncoder(&text).Encode(s); err != nil {
		return err
	}
	path := settingsFile()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	spare := path + ".new"
	if err := os.WriteFile(spare, text.Bytes(), 0o644); err != nil {
		return err
	}
	return os.Rename(spare, path)
}
