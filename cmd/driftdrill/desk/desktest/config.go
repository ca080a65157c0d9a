//go:build !nodesk

package desktest

import (
	"context"
	"errors"
	"os"
	"strconv"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// Config is the configuration of a desk whose runs are made up. Variables that begin
// with DESK_ change it for whoever looks at it.
func Config() screen.Config {
	set := port.DefaultSettings()
	if v, err := strconv.ParseFloat(os.Getenv("DESK_TEXT"), 64); err == nil {
		set.TextScale = v
	}
	set.Palette = os.Getenv("DESK_PALETTE")
	return screen.Config{Title: "driftdrill", Settings: set, NewSession: func(context.Context, port.RunRequest) (port.Session, error) {
		f := NewSession()
		f.clock = time.Now
		if n := os.Getenv("DESK_TICK"); n != "" {
			d, err := time.ParseDuration(n)
			if err != nil {
				return nil, errors.New("DESK_TICK: " + err.Error())
			}
			f.State.Tick = sim.Tick(d / sim.TickLength)
			f.State.UplinkHz = 435_148_000 + int64(ShiftHz(f.State.Tick)) - 40
			f.Refresh()
			f.Silent = os.Getenv("DESK_SILENT") != ""
		}
		if os.Getenv("DESK_SCENE") == "debrief" {
			f.FlyWhole()
		}
		return f, nil
	}}
}
