//go:build !nodesk

package desktest

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// Tour is a way through a page by keys alone, as somebody goes who only listens.
type Tour struct {
	Name   string
	Change func(p *port.Pages)           // of the made-up data; nil = nothing
	Before func(s *Seat)                 // before the page is opened; nil = nothing
	Open   func() screen.Scene           // the page
	After  func(s *Seat, p screen.Scene) // when it has come to rest; nil = nothing
	Keys   string                        // one after another, parted by spaces: "Tab ArrowDown Enter"
}

// Tours compares what is said on the way, and which screen each key leads to, with
// lists that were looked at. They stand in testdata/said; -update writes them anew.
func Tours(t *testing.T, tours []Tour) {
	for _, v := range tours {
		name := strings.ReplaceAll(v.Name, " ", "-")
		t.Run(name, func(t *testing.T) { CompareDrawn(t, filepath.Join("testdata", "said", name+".txt"), v.walk(t)) })
	}
}

// walk goes the way and writes down what is said.
func (v Tour) walk(t *testing.T) (lines []string) {
	s := seat(BareStage(t, 1280, 720, 1, "night"), nil)
	s.App.Cfg.Pages = Pages()
	if v.Change != nil {
		v.Change(&s.App.Cfg.Pages)
	}
	said := Hearing(s.Stage)
	s.App.Scenes.Push(s.App, &blank{"what was there before"})
	if v.Before != nil {
		v.Before(s)
	}
	var top screen.Scene
	tell := func(what string) {
		s.Settle()
		lines = append(lines, "== "+what)
		for _, line := range *said {
			lines = append(lines, fmt.Sprintf("%q", line))
		}
		*said = nil
		if is := s.App.Scenes.Top(); is != top {
			top = is
			lines = append(lines, "shows "+SceneName(is))
		}
	}
	p := v.Open()
	s.App.Scenes.Push(s.App, p)
	tell("opened")
	if v.After != nil {
		v.After(s, p)
		tell("then")
	}
	for _, key := range strings.Fields(v.Keys) {
		s.Press(t, keys.Trigger("key:"+key))
		tell(key)
	}
	return lines
}

// SceneName names a screen: one that a test does not draw by its name, others by their type.
func SceneName(s screen.Scene) string {
	if b, ok := s.(*blank); ok {
		return b.name
	}
	return fmt.Sprintf("%T", s)
}
