//go:build !nodesk && !js

package deskwire

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"

	"github.com/pelletier/go-toml/v2"
)

// Every setting that an earlier release wrote is still known, and taken as it
// was: what 0.1.0 wrote is read strictly and compared key by key.
func TestOlderSettingsOpen(t *testing.T) {
	d := trainer.Disk{Config: t.TempDir()}
	data, err := os.ReadFile("../../../testdata/release-0.1.0/settings.toml")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(d.Config, "settings.toml"), data, 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := loadSettings(d)
	if err != nil {
		t.Fatal(err)
	}
	if s.Call != "QX1FUL" || s.Site != "48.2,11.5,540" || !s.Welcomed || s.Levels.MasterDB != -20 {
		t.Errorf("%+v", s)
	}
	var was, is map[string]any
	if err := toml.Unmarshal(data, &was); err != nil {
		t.Fatal(err)
	}
	text, err := toml.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	if err := toml.Unmarshal(text, &is); err != nil {
		t.Fatal(err)
	}
	compareTables(t, "", was, is)
	if reflect.DeepEqual(s, port.DefaultSettings()) {
		t.Error("all settings are as new")
	}
}

func compareTables(t *testing.T, under string, was, is map[string]any) {
	for name, value := range was {
		if table, ok := value.(map[string]any); ok {
			now, _ := is[name].(map[string]any)
			compareTables(t, under+name+".", table, now)
			continue
		}
		if !reflect.DeepEqual(is[name], value) {
			t.Errorf("%s%s: %v; it was %v", under, name, is[name], value)
		}
	}
}
