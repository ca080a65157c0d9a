package trainer

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A pass that was kept beside a drill and cannot be used is told in one line.
func TestAgainThatMakesNoSense(t *testing.T) {
	setup := aSetup(t)
	good := Again{Elements: setup.Elements, Source: "", Site: setup.Site, Pass: setup.Pass.TCA}
	folder := t.TempDir()
	drill := filepath.Join(folder, "x.toml")
	for name, change := range map[string]func(a *Again) []byte{
		"no json":     func(*Again) []byte { return []byte("{") },
		"no place":    func(a *Again) []byte { a.Site.LatDeg = 91; return marshalled(t, a) },
		"no time":     func(a *Again) []byte { a.Pass = time.Time{}; return marshalled(t, a) },
		"no elements": func(a *Again) []byte { a.Elements.MeanMotion = 0; return marshalled(t, a) },
	} {
		bad := good
		if err := os.WriteFile(againFile(drill), change(&bad), 0o644); err != nil {
			t.Fatal(err)
		}
		if _, ok, err := ReadAgain(drill); ok || err == nil || strings.Contains(err.Error(), "\n") || !strings.Contains(err.Error(), "anew") {
			t.Errorf("%s: %v, %v", name, ok, err)
		}
	}
	if _, ok, err := ReadAgain("first-hold"); ok || err != nil {
		t.Error("a drill of the program was made from a recording", err)
	}
	if _, err := KeepAgain(folder, "y", []byte("no drill"), good); err == nil {
		t.Error("no drill is kept")
	}
	if own := OwnDrills(filepath.Join(folder, "none")); len(own) != 0 {
		t.Error(own)
	}
}

func marshalled(t *testing.T, a *Again) []byte {
	t.Helper()
	text, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// What is read is flown with, whatever is in the file.
func FuzzAgain(f *testing.F) {
	f.Add([]byte(`{"elements":{"MeanMotion":14.2,"Eccentricity":0.001,"InclinationDeg":98},"source":"bundled","site":{"LatDeg":50,"LonDeg":8,"AltM":150},"pass_utc":"2026-11-20T09:31:00Z"}`))
	f.Add([]byte(`{"elements":{"MeanMotion":1e308}}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		a, err := parseAgain(text, "x.pass.json")
		if err != nil {
			return
		}
		if a.Pass.IsZero() || a.Site.LatDeg > 90 {
			t.Errorf("%+v", a)
		}
	})
}
