//go:build !nodesk

package desk

import (
	"driftdrill/cmd/driftdrill/desk/birds"
	"driftdrill/cmd/driftdrill/desk/corrections"
	"driftdrill/cmd/driftdrill/desk/debrief"
	"driftdrill/cmd/driftdrill/desk/drills"
	"driftdrill/cmd/driftdrill/desk/flying"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/logbook"
	"driftdrill/cmd/driftdrill/desk/passes"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/recordings"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/cmd/driftdrill/desk/settings"
	"driftdrill/cmd/driftdrill/desk/start"
	"driftdrill/cmd/driftdrill/desk/welcome"
)

// Run opens the window and returns when it is closed.
func Run(cfg screen.Config) error {
	if !cfg.KeepProcs {
		kit.LetOthersRun()
	}
	a, err := screen.New(cfg, routes())
	if err != nil {
		return err
	}
	title := cfg.Title
	if title == "" {
		title = "driftdrill"
	}
	return a.Window.Run(kit.Options{Title: title, Class: "driftdrill", Icons: icons(), Width: cfg.Width, Height: cfg.Height,
		FullScreen: cfg.FullScreen, FrameLog: cfg.FrameLog, Spent: cfg.Spent})
}

// routes are the screens that there are.
func routes() screen.Routes {
	return screen.Routes{
		First:     firstScene,
		Start:     func() screen.Scene { return start.New() },
		Welcome:   func() screen.Scene { return welcome.New() },
		Passes:    func() screen.Scene { return passes.New() },
		PickDrill: func(e port.PassEntry) screen.Scene { return drills.NewPick(e) },
		Birds:     func() screen.Scene { return birds.New() },
		NewBird:   birds.NewForm,
		Correct:   corrections.New,
		Stations:  func() screen.Scene { return corrections.NewStations() },
		Drills:    func() screen.Scene { return drills.New() },
		Logbook:   func() screen.Scene { return logbook.New() },
		Recording: func(file string) screen.Scene { return recordings.New(file) },
		Settings:  func() screen.Scene { return settings.New() },
		Run:       func(r port.RunRequest) screen.Scene { return flying.Begin(r) },
		Debrief:   debrief.New,
	}
}

// firstScene is what the window opens with.
func firstScene(a *screen.App) screen.Scene {
	if a.Cfg.First != nil {
		return flying.Begin(*a.Cfg.First)
	}
	if !a.Set.Welcomed {
		return welcome.New()
	}
	return start.New()
}
